"""Which instruments watch the wall, what they read, against which limits, and what was logged.

`Instrument`, `ReadingsImport`, `Limit`, `Exceedance` and `LogLine` are projections of entries in
the wall's standing logbook. `ReadingBlock` is unpacked from the imported files and can be made
again. Rows name each other by object id and not by key: each is written anew by its own entries.
"""

import uuid
from typing import ClassVar

from django.db import models
from django.utils import timezone

from gridmap.models import Wall
from survey.ledger.models import Blob, Entry


class Kept(models.Model):
    """What every projection of the watch has: its object, wall, head entry and standing."""

    object_id = models.UUIDField(primary_key=True)
    wall = models.ForeignKey(Wall, on_delete=models.CASCADE, related_name="+")
    head = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    conflict = models.BooleanField(default=False)
    content = models.JSONField(help_text="what the head entry says")

    class Meta:
        abstract = True


class Instrument(Kept):
    """An instrument with its channels, place, time keeping, calibration and agreed intervals."""

    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    channels = models.JSONField(help_text="name, quantity, unit, axis, error of each")
    deck = models.CharField(max_length=40, blank=True)
    cell = models.CharField(max_length=20, blank=True)
    interval_s = models.FloatField(null=True, help_text="expected between two readings")
    silence_s = models.FloatField(null=True, help_text="after which silence must be told")
    calibrated_until = models.DateField(null=True)
    from_on = models.DateField(null=True)
    until_on = models.DateField(null=True, help_text="taken away on")

    class Meta:
        ordering: ClassVar = ["wall_id", "code"]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class ReadingsImport(Kept):
    """One file, push or hand-written batch of readings of one instrument."""

    instrument_id = models.UUIDField(db_index=True)
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, related_name="+")
    source = models.CharField(max_length=8, help_text="file, push or hand")
    replaced_by = models.UUIDField(null=True, help_text="the import that corrects this one")
    accepted = models.PositiveIntegerField(default=0)
    refused = models.PositiveIntegerField(default=0)
    first_at = models.DateTimeField(null=True)
    last_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["instrument_id", "first_at", "object_id"]

    def __str__(self) -> str:
        return f"{self.source} of {self.accepted} readings"


class ReadingBlock(models.Model):
    """One channel's readings of one calendar month (UTC) from one import, packed.

    `times`: int64 little-endian microseconds since 1970 UTC, rising. `values`: float64
    little-endian in the channel's unit, NaN where the instrument said that it had none.
    """

    instrument_id = models.UUIDField(db_index=True)
    import_id = models.UUIDField(db_index=True)
    channel = models.CharField(max_length=40)
    month = models.DateField()
    count = models.PositiveIntegerField()
    first_at = models.DateTimeField()
    last_at = models.DateTimeField()
    times = models.BinaryField()
    values = models.BinaryField()

    class Meta:
        ordering: ClassVar = ["instrument_id", "channel", "month", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["import_id", "channel", "month"], name="block_of_import_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.channel} {self.month:%Y-%m}, {self.count} readings"


class InstrumentKey(models.Model):
    """The secret with which an instrument pushes its readings; only its digest is kept."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    wall = models.ForeignKey(Wall, on_delete=models.CASCADE, related_name="+")
    instrument_id = models.UUIDField(db_index=True)
    digest = models.CharField(max_length=64, unique=True)
    made_by = models.CharField(max_length=150)
    made_at = models.DateTimeField(default=timezone.now)
    revoked_at = models.DateTimeField(null=True)
    heard_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["made_at"]

    def __str__(self) -> str:
        return f"key of {self.instrument_id}"


class Limit(Kept):
    """An agreed limit of one quantity at one place; each correction is its next version."""

    version = models.PositiveIntegerField()
    quantity = models.CharField(max_length=40)
    amber = models.FloatField(null=True)
    red = models.FloatField(null=True)
    unit = models.CharField(max_length=20)
    valid_from = models.DateField()
    valid_to = models.DateField(null=True)

    class Meta:
        ordering: ClassVar = ["wall_id", "quantity", "valid_from"]

    def __str__(self) -> str:
        return f"{self.quantity} {self.amber} / {self.red} {self.unit}"


class Exceedance(Kept):
    """A time during which a channel stood beyond a limit, as found when readings came in."""

    instrument_id = models.UUIDField(db_index=True)
    limit_id = models.UUIDField(db_index=True)
    limit_version = models.PositiveIntegerField()
    channel = models.CharField(max_length=40)
    level = models.CharField(max_length=5, help_text="amber or red: the worst reached")
    starts_at = models.DateTimeField(db_index=True)
    ends_at = models.DateTimeField(null=True, help_text="empty while it lasts")
    peak = models.FloatField()

    class Meta:
        ordering: ClassVar = ["-starts_at"]

    def __str__(self) -> str:
        return f"{self.level} {self.channel} {self.starts_at:%Y-%m-%d %H:%M}"


class LogLine(Kept):
    """One line of the watch's log: a call, a look, a release, a facing, a person on the deck."""

    kind = models.CharField(max_length=30)
    at = models.DateTimeField(db_index=True)
    about = models.UUIDField(null=True, db_index=True, help_text="what the line belongs to")
    cells = models.JSONField(default=list)
    withdrawn_because = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["-at", "object_id"]
        indexes: ClassVar = [models.Index(fields=["wall", "kind", "at"], name="log_of_wall")]

    def __str__(self) -> str:
        return f"{self.kind} {self.at:%Y-%m-%d %H:%M}"
