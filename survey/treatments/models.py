"""What was done to the wall: projections of treatment entries in its standing logbook."""

from functools import cached_property
from typing import ClassVar

import shapely
from django.db import models
from shapely.geometry.base import BaseGeometry

from survey.ledger.models import Entry, Logbook


class Treatment(models.Model):
    """The head of a treatment's entries, with its outline in wall inches."""

    object_id = models.UUIDField(primary_key=True)
    logbook = models.ForeignKey(Logbook, on_delete=models.CASCADE, related_name="treatments")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    withdrawn_because = models.TextField(blank=True)
    term = models.CharField(max_length=80)
    geometry_kind = models.CharField(max_length=5)
    geometry = models.JSONField()
    shape_wkb = models.BinaryField()
    area_sq_in = models.FloatField(default=0.0)
    cells = models.JSONField(default=list)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    reveals = models.BooleanField(default=False)
    details = models.JSONField(default=dict)
    recorded_by = models.CharField(max_length=150)

    class Meta:
        ordering: ClassVar = ["started_at", "object_id"]

    def __str__(self) -> str:
        return f"{self.term}, {self.started_at:%Y-%m-%d}"

    @cached_property
    def shape(self) -> BaseGeometry:
        return shapely.from_wkb(bytes(self.shape_wkb))
