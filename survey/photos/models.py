"""Which photographs are kept, in which light they were taken, and where on the wall they lie."""

from typing import ClassVar

from django.db import models

from survey.ledger.models import Blob, Entry
from survey.record.models import Mode, Survey


class Photograph(models.Model):
    """A projection of a `photograph` entry. A rectified one covers `bounds_in` of the wall."""

    object_id = models.UUIDField(primary_key=True)
    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="photographs")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    mode = models.CharField(max_length=12, choices=Mode)
    lamp_side = models.CharField(max_length=20, blank=True)
    role = models.CharField(max_length=10, default="record")
    rectified = models.BooleanField(default=False)
    bounds_in = models.JSONField(null=True, help_text="x0, y0, x1, y1 in wall inches")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    taken_at = models.DateTimeField(null=True)
    operator = models.CharField(max_length=150, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["survey_id", "mode", "taken_at", "object_id"]

    def __str__(self) -> str:
        return f"{self.name} ({self.mode})"
