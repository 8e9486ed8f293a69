"""Which photographs are kept, in which light they were taken, and where on the wall they lie.

`Photograph`, `Placement`, `Mosaic`, `HintAnswer` and `PresenceStatement` are projections of
entries. `RectifiedCopy` and `PicturePair` are work derived from them: it can be made again and is
no evidence.
"""

import uuid
from typing import ClassVar

from django.db import models
from django.utils import timezone

from gridmap.models import Wall
from survey.jobs.models import Job
from survey.ledger.models import Blob, Entry
from survey.record.models import Mode, Survey


class Photograph(models.Model):
    """A projection of a `photograph` entry. A rectified one covers `bounds_in` of the wall.

    `width_px` and `height_px` are those of the upright picture, after the file's orientation.
    """

    object_id = models.UUIDField(primary_key=True)
    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="photographs")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    raw_blob = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, related_name="+")
    name = models.CharField(max_length=120)
    mode = models.CharField(max_length=12, choices=Mode)
    lamp_side = models.CharField(max_length=20, blank=True)
    role = models.CharField(max_length=10, default="record")
    rectified = models.BooleanField(default=False)
    bounds_in = models.JSONField(null=True, help_text="x0, y0, x1, y1 in wall inches")
    cells = models.JSONField(default=list, help_text="labels that the slate or a person names")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    taken_at = models.DateTimeField(null=True, help_text="camera's time, put right by its slates")
    operator = models.CharField(max_length=150, blank=True)
    light = models.JSONField(default=dict, help_text="lamp, angle_deg, scale_bar, colour_target")
    testimony = models.JSONField(default=dict, help_text="what the file says of itself")
    slate = models.JSONField(default=dict, help_text="the slate by which it was sorted")
    historic = models.JSONField(default=dict, help_text="date and source with their certainty")
    note = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["survey_id", "mode", "taken_at", "object_id"]

    def __str__(self) -> str:
        return f"{self.name} ({self.mode})"


class Placement(models.Model):
    """Where a photograph lies on the wall: a projection of a `placement` entry."""

    object_id = models.UUIDField(primary_key=True)
    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="placements")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    photograph_id = models.UUIDField(db_index=True)
    points = models.JSONField(help_text="marked points: name, kind, px, wall_in")
    homography = models.JSONField(help_text="3 × 3, upright pixels to wall inches")
    lens = models.JSONField(default=dict, help_text="k1, k2 of the radial model; empty: none")
    fit = models.JSONField(help_text="residuals and what they say")
    error_in = models.FloatField(help_text="one standard deviation of a place on the picture")
    bounds_in = models.JSONField(help_text="x0, y0, x1, y1 in wall inches")
    px_per_in = models.FloatField()

    class Meta:
        ordering: ClassVar = ["survey_id", "object_id"]

    def __str__(self) -> str:
        return f"placement of {self.photograph_id}"


class RectifiedCopy(models.Model):
    """A photograph drawn square to the wall under one placement: a JPEG without metadata."""

    placement_entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    photograph_id = models.UUIDField(db_index=True)
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    bounds_in = models.JSONField(help_text="x0, y0, x1, y1 in wall inches")
    px_per_in = models.FloatField()
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["placement_entry"], name="one_copy_of_a_placement")
        ]

    def __str__(self) -> str:
        return f"{self.photograph_id} at {self.px_per_in:g} px/in"


class Mosaic(models.Model):
    """The whole wall in one mode as one picture: a projection of a `mosaic` entry.

    `pyramid` is one stored file of all tiles; a later version never replaces an earlier one.
    """

    object_id = models.UUIDField(primary_key=True)
    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="mosaics")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    mode = models.CharField(max_length=12, choices=Mode)
    lamp_side = models.CharField(max_length=20, blank=True)
    version = models.PositiveIntegerField()
    source = models.CharField(max_length=12, help_text="photographs or imported")
    pyramid = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    bounds_in = models.JSONField(help_text="x0, y0, x1, y1 in wall inches")
    px_per_in = models.FloatField()
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    tile_px = models.PositiveSmallIntegerField()
    levels = models.PositiveSmallIntegerField()
    error_in = models.FloatField(help_text="the largest of its pictures'")
    taken_on = models.DateField(null=True)
    pieces = models.JSONField(default=list, help_text="cell, photograph, placement, gain, error")
    missing = models.JSONField(default=list, help_text="cells without a picture")

    class Meta:
        ordering: ClassVar = ["survey_id", "mode", "-version"]

    def __str__(self) -> str:
        return f"{self.mode} mosaic {self.version} of {self.survey}"


class PairState(models.TextChoices):
    WAITING = "waiting", "Waiting to be compared"
    COMPARED = "compared", "Compared"
    REFUSED = "refused", "Not comparable"


class PicturePair(models.Model):
    """Two pictures of one place laid on each other, and the hints found in their difference."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    wall = models.ForeignKey(Wall, on_delete=models.CASCADE, related_name="picture_pairs")
    before_survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="+")
    after_survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="pairs")
    mode = models.CharField(max_length=12, choices=Mode)
    cell = models.CharField(max_length=20)
    bounds_in = models.JSONField(help_text="x0, y0, x1, y1 in wall inches")
    before = models.JSONField(help_text="kind, id, entry, digest, taken_on, lamp_side, error_in")
    after = models.JSONField(help_text="the same of the later picture")
    state = models.CharField(max_length=10, choices=PairState, default=PairState.WAITING)
    reason = models.TextField(blank=True, help_text="why it was refused")
    quality = models.JSONField(default=dict, help_text="error_px, error_in and what they rest on")
    px_per_in = models.FloatField(default=0.0)
    before_blob = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, related_name="+")
    after_blob = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, related_name="+")
    difference_blob = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, related_name="+")
    hints = models.JSONField(default=list, help_text="key, ring, area_sq_in, strength, below_error")
    job = models.ForeignKey(Job, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar = ["wall_id", "cell", "-made_at"]

    def __str__(self) -> str:
        return f"{self.cell}: {self.before_survey} and {self.after_survey}"


class HintAnswer(models.Model):
    """What a person decided about a hint: a projection of a `hint-answer` entry."""

    object_id = models.UUIDField(primary_key=True)
    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="hint_answers")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    pair_id = models.UUIDField(db_index=True)
    key = models.CharField(max_length=40)
    answer = models.CharField(max_length=10, help_text="accepted or dismissed")
    reason = models.TextField(blank=True)
    observation_id = models.UUIDField(null=True)

    class Meta:
        ordering: ClassVar = ["survey_id", "object_id"]

    def __str__(self) -> str:
        return f"{self.key}: {self.answer}"


class PresenceStatement(models.Model):
    """What a historical picture shows of a place: a projection of a `presence` entry."""

    object_id = models.UUIDField(primary_key=True)
    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="presences")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    photograph_id = models.UUIDField(db_index=True)
    observation_id = models.UUIDField(null=True)
    cell = models.CharField(max_length=20)
    what = models.CharField(max_length=300)
    answer = models.CharField(max_length=12, help_text="present, absent or cannot-tell")
    note = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["survey_id", "object_id"]

    def __str__(self) -> str:
        return f"{self.what}: {self.answer}"
