"""Which tablets work on a wall, what is known of each, and which installation this is."""

import uuid
from typing import ClassVar

from django.db import models

from gridmap.models import Wall
from survey.people.models import Account
from survey.photos.models import Photograph
from survey.record.models import Survey


class Tablet(models.Model):
    """One enrolled tablet. Enrolled anew (reinstalled, another survey) it is another one."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    wall = models.ForeignKey(Wall, on_delete=models.PROTECT, related_name="tablets")
    survey = models.ForeignKey(Survey, on_delete=models.PROTECT, related_name="tablets")
    name = models.CharField(max_length=60)
    enrolled_by = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="+")
    enrolled_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)
    retired_by = models.ForeignKey(
        Account, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    retired_because = models.CharField(max_length=300, blank=True)
    last_contact_at = models.DateTimeField(null=True, blank=True)
    last_carried_by = models.CharField(max_length=150, blank=True)
    received_to = models.PositiveBigIntegerField(
        default=0, help_text="Everything that it numbered up to here is held"
    )
    unsent = models.PositiveIntegerField(default=0, help_text="Entries, as of its last contact")
    photographs_unsent = models.PositiveIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["wall_id", "enrolled_at", "id"]

    def __str__(self) -> str:
        return self.name

    @property
    def device(self) -> str:
        """What its entries name as their device."""
        return f"tablet {self.id}"

    def wall_photographs(self) -> models.QuerySet[Photograph]:
        """Return the photographs of its wall, of every survey."""
        return Photograph.objects.filter(survey__wall_id=self.wall_id)


class Installation(models.Model):
    """The running database itself: its epoch changes whenever an older state is put back."""

    epoch = models.UUIDField(default=uuid.uuid4)
    since = models.DateTimeField()

    def __str__(self) -> str:
        return str(self.epoch)
