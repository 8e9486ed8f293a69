"""Which walls are kept and what each version of their layout says.

A layout is never edited: a new version stands beside the old one, and outlines name the version
under which they were drawn.
"""

from functools import cached_property
from typing import Any, ClassVar

from django.db import models
from django.utils import timezone

from gridmap.grid import Grid

JsonList = list[dict[str, Any]]


class Wall(models.Model):
    """A painted wall and what identifies it."""

    slug = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    title = models.CharField(max_length=200, blank=True, help_text="Title of the painting")
    artist = models.CharField(max_length=200, blank=True)
    made = models.CharField(max_length=60, blank=True, help_text="Date or period, as known")
    technique = models.CharField(max_length=200, blank=True)
    place = models.CharField(max_length=200, blank=True)
    owner = models.CharField(max_length=200, blank=True)
    inventory_number = models.CharField(max_length=80, blank=True)
    contractor = models.CharField(max_length=200, blank=True)
    insurer = models.CharField(max_length=200, blank=True)
    base_above_floor_in = models.FloatField(default=0.0)
    invented = models.BooleanField(default=False, help_text="Invented demo data")
    created_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name

    @cached_property
    def layout(self) -> "Layout":
        """The newest version of the layout; raises Layout.DoesNotExist before the first."""
        return self.layouts.latest("version")


class Layout(models.Model):
    """One immutable version of a wall's outline, grid, decks, obstructions, zones and openings.

    Polygons are lists of [x, y] in wall inches. `decks`: name, level_above_floor_in.
    `obstructions`: name, cause, mode (or none), polygon, touch_only, from and to (dates or none).
    """

    append_only = True

    wall = models.ForeignKey(Wall, on_delete=models.PROTECT, related_name="layouts")
    version = models.PositiveIntegerField()
    width_in = models.FloatField()
    height_in = models.FloatField()
    grid_json = models.JSONField()
    openings = models.JSONField(default=list)
    zones = models.JSONField(default=list)
    decks = models.JSONField(default=list)
    obstructions = models.JSONField(default=list)
    note = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering: ClassVar = ["wall_id", "version"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["wall", "version"], name="layout_version_once"),
            models.CheckConstraint(
                condition=models.Q(width_in__gt=0, height_in__gt=0), name="layout_has_extent"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.wall} layout {self.version}"

    @cached_property
    def grid(self) -> Grid:
        return Grid.from_json(self.grid_json)

    @property
    def deck_bands(self) -> JsonList:
        """Each deck with the band [y0, y1] in wall inches that is worked from it, lowest first.

        A band runs from the deck's boards to the next deck's; the lowest reaches the painting's
        lower edge, the highest its top.
        """
        levels = sorted(self.decks, key=lambda deck: float(deck["level_above_floor_in"]))
        if not levels:
            return []
        base_in = self.wall.base_above_floor_in
        starts = [
            min(max(d["level_above_floor_in"] - base_in, 0.0), self.height_in) for d in levels
        ]
        starts[0] = 0.0
        ends = [*starts[1:], self.height_in]
        return [
            {**deck, "band": [start, end]}
            for deck, start, end in zip(levels, starts, ends, strict=True)
        ]
