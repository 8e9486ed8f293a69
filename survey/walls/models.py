"""Which phases of building works go on around a wall, and whom to ring there."""

from datetime import date
from typing import ClassVar

from django.db import models

from gridmap.models import Wall


class Phase(models.Model):
    """A phase of works: its dates, what is done, and the listed activities.

    `activities`: list of {"name", "from", "to"}; scaffold erection is one.
    """

    wall = models.ForeignKey(Wall, on_delete=models.CASCADE, related_name="phases")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    starts_on = models.DateField()
    ends_on = models.DateField()
    works = models.TextField(blank=True)
    activities = models.JSONField(default=list, blank=True)

    class Meta:
        ordering: ClassVar = ["wall_id", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["wall", "number"], name="phase_number_once"),
            models.CheckConstraint(
                condition=models.Q(ends_on__gte=models.F("starts_on")),
                name="phase_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"Phase {self.number}, {self.name}"


class Contact(models.Model):
    """A telephone number of the wall: rung from the deck when something is seen to move."""

    wall = models.ForeignKey(Wall, on_delete=models.CASCADE, related_name="contacts")
    order = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=120)
    number = models.CharField(max_length=40)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["wall_id", "order", "pk"]

    def __str__(self) -> str:
        return f"{self.name}, {self.role}"


def first_listed_activity(wall: Wall) -> date | None:
    """Return the day on which the first listed activity or phase began, or None."""
    days = [
        date.fromisoformat(activity["from"])
        for phase in wall.phases.all()
        for activity in phase.activities
        if activity.get("from")
    ]
    days += [phase.starts_on for phase in wall.phases.all()]
    return min(days) if days else None
