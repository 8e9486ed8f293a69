"""Which surveys there are, and what is projected from their logbooks.

Everything but `Survey` is a projection: rows are written by `survey.record.projection` from
entries, and `survey.ledger.services.rebuild` gives the same rows again.
"""

import uuid
from functools import cached_property
from typing import Any, ClassVar

import shapely
from django.db import models
from shapely.geometry.base import BaseGeometry

from gridmap.models import Layout, Wall
from survey.ledger.models import Entry, Logbook
from survey.record.said import error_said
from survey.vocabulary.models import VocabularyVersion


class SurveyKind(models.TextChoices):
    BASELINE = "baseline", "Baseline"
    ROUND = "round", "Round"
    BEFORE_PHASE = "before-phase", "Before a phase"
    AFTER_PHASE = "after-phase", "After a phase"
    INCIDENT = "incident", "After an incident"


class SurveyState(models.TextChoices):
    OPEN = "open", "Open"
    CLOSED = "closed", "Closed"
    SEALED = "sealed", "Sealed"


class Mode(models.TextChoices):
    NORMAL = "normal", "Normal light"
    RAKING = "raking", "Raking light"
    UV = "uv", "UV-induced luminescence"
    INFRARED = "infrared", "Near infrared"
    PERCUSSION = "percussion", "Percussion"
    LOUPE = "loupe", "Hand lens, 10×"
    MICROSCOPE = "microscope", "Digital microscope"
    READING = "reading", "Reading by instrument"


class Survey(models.Model):
    """One survey of a wall: when, how, looking for what, under which layout and vocabulary."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    wall = models.ForeignKey(Wall, on_delete=models.PROTECT, related_name="surveys")
    code = models.CharField(max_length=20)
    kind = models.CharField(max_length=20, choices=SurveyKind)
    starts_on = models.DateField()
    ends_on = models.DateField()
    modes = models.JSONField(default=list)
    search_list = models.JSONField(default=dict, help_text="Mode → term codes looked for")
    layout = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="+")
    vocabulary = models.ForeignKey(VocabularyVersion, on_delete=models.PROTECT, related_name="+")
    logbook = models.OneToOneField(Logbook, on_delete=models.PROTECT, related_name="survey")
    state = models.CharField(max_length=10, choices=SurveyState, default=SurveyState.OPEN)
    closed_on = models.DateField(null=True, blank=True)
    instruction = models.TextField(blank=True, help_text="Who asked for it, for which reader")
    method = models.TextField(blank=True, help_text="Light, distance, instruments, weather")

    class Meta:
        ordering: ClassVar = ["wall_id", "starts_on", "code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["wall", "code"], name="survey_code_once"),
            models.CheckConstraint(
                condition=models.Q(ends_on__gte=models.F("starts_on")),
                name="survey_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Standing(models.TextChoices):
    STANDS = "stands", "Stands"
    WITHDRAWN = "withdrawn", "Withdrawn"
    CONFLICT = "conflict", "Conflict"


class Observation(models.Model):
    """The head of an observation's entries, with its outline in wall inches."""

    object_id = models.UUIDField(primary_key=True)
    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="observations")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    standing = models.CharField(max_length=10, choices=Standing, default=Standing.STANDS)
    term = models.CharField(max_length=80)
    item = models.CharField(max_length=40)
    geometry_kind = models.CharField(max_length=5)
    shape_wkb = models.BinaryField(help_text="Valid shape derived from the ring as drawn")
    shape_json = models.TextField(help_text="The outline as the API sends it")
    area_sq_in = models.FloatField(default=0.0)
    perimeter_in = models.FloatField(default=0.0)
    length_in = models.FloatField(default=0.0)
    boundary_error_in = models.FloatField(null=True)
    boundary_error_source = models.CharField(max_length=40, blank=True)
    picture_id = models.UUIDField(null=True, help_text="the placed picture under the pen")
    picture_error_in = models.FloatField(null=True, help_text="its standard error of place")
    mode = models.CharField(max_length=12, choices=Mode)
    basis = models.CharField(max_length=16)
    observed_by = models.CharField(max_length=150)
    observed_on = models.DateField()
    session = models.CharField(max_length=80, blank=True)
    condition = models.PositiveSmallIntegerField(null=True)
    urgency = models.PositiveSmallIntegerField(null=True)
    details = models.JSONField(default=dict)
    cells = models.JSONField(default=list)
    withdrawn_because = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["survey_id", "object_id"]
        indexes: ClassVar = [
            models.Index(fields=["survey", "standing"], name="observation_standing")
        ]

    def __str__(self) -> str:
        return f"{self.item} {self.term}"

    @cached_property
    def shape(self) -> BaseGeometry:
        return shapely.from_wkb(bytes(self.shape_wkb))

    @property
    def basis_words(self) -> str:
        """How the outline came about, in words for people."""
        return BASIS_WORDS.get(self.basis, self.basis)

    @property
    def error_words(self) -> str:
        """How surely its border lies where it is drawn, in words; empty where nobody said."""
        return error_said(self.boundary_error_in, self.picture_error_in)


BASIS_WORDS = {
    "drawn": "drawn",
    "edited-copy": "copy of the last outline, edited",
    "seen-no-change": "seen, no change visible",
    "imported": "imported",
}


class Continuation(models.Model):
    """Says that an observation continues an item of an earlier survey."""

    observation = models.ForeignKey(
        Observation, on_delete=models.CASCADE, related_name="continuations"
    )
    prior_object_id = models.UUIDField(db_index=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["observation", "prior_object_id"], name="continuation_named_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.observation_id} continues {self.prior_object_id}"


class Examination(models.Model):
    """How one cell was examined in one mode: by eye, within touch, partly hidden, or not."""

    object_id = models.UUIDField(primary_key=True)
    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="examinations")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    layout_version = models.PositiveIntegerField()
    cell = models.CharField(max_length=16)
    mode = models.CharField(max_length=12, choices=Mode)
    state = models.CharField(max_length=16)
    seen_wkb = models.BinaryField()
    touch_wkb = models.BinaryField()
    hidden = models.JSONField(default=list)
    searched = models.JSONField(null=True, help_text="Term codes; none: every term")
    done = models.BooleanField(default=False)
    cause = models.CharField(max_length=200, blank=True)
    note = models.TextField(blank=True)
    observed_by = models.CharField(max_length=150)
    made_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["survey_id", "cell", "mode"]

    def __str__(self) -> str:
        return f"{self.cell} {self.mode}: {self.state}"

    def to_json(self) -> dict[str, Any]:
        """Return the examination for the API."""
        content = self.head.content
        return {
            "id": str(self.object_id),
            "entry": str(self.head_id),
            "cell": self.cell,
            "mode": self.mode,
            "state": self.state,
            "seen": content.get("seen"),
            "touch": content.get("touch"),
            "hidden": self.hidden,
            "searched": self.searched,
            "done": self.done,
            "cause": self.cause,
            "note": self.note,
            "observed_by": self.observed_by,
            "conflict": self.conflict,
        }


class Decision(models.Model):
    """What was decided about an item or a query, by whom, and what was refused."""

    object_id = models.UUIDField(primary_key=True)
    logbook = models.ForeignKey(Logbook, on_delete=models.CASCADE, related_name="decisions")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    subject = models.CharField(max_length=8)
    item = models.UUIDField(null=True, db_index=True)
    query_key = models.CharField(max_length=64, blank=True, db_index=True)
    choice = models.CharField(max_length=24)
    details = models.JSONField(default=dict)
    decided_by = models.CharField(max_length=150)
    review_on = models.DateField(null=True)
    recommendation = models.PositiveSmallIntegerField(null=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["made_at", "object_id"]

    def __str__(self) -> str:
        return f"{self.subject} {self.choice}"


class CauseOpinion(models.Model):
    """Whose opinion of a cause, how ranked, and whether it is agreed, disputed or reserved."""

    object_id = models.UUIDField(primary_key=True)
    logbook = models.ForeignKey(Logbook, on_delete=models.CASCADE, related_name="cause_opinions")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    item = models.UUIDField(db_index=True)
    cause = models.TextField()
    opinion_of = models.CharField(max_length=150)
    rank = models.PositiveSmallIntegerField(default=1)
    standing = models.CharField(max_length=10)
    made_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["item", "rank", "object_id"]

    def __str__(self) -> str:
        return f"{self.opinion_of}: {self.cause}"
