"""What the logbooks hold: entries in order, their parents, and what had to be set aside.

Rows here are written by `survey.ledger.services.append` and by nothing else. Triggers refuse
every UPDATE, DELETE and REPLACE (`survey.ledger.triggers`).
"""

import json
from typing import Any, ClassVar

from django.db import models

from gridmap.models import Wall


class Logbook(models.Model):
    """An ordered log of one wall: a survey's, or the wall's standing one (empty name)."""

    wall = models.ForeignKey(Wall, on_delete=models.PROTECT, related_name="logbooks")
    name = models.CharField(max_length=40, blank=True, help_text="Survey code; empty: standing")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["wall", "name"], name="one_logbook_of_a_name")
        ]

    def __str__(self) -> str:
        return self.name or f"standing logbook of {self.wall}"


class Entry(models.Model):
    """One statement. `body` is the exact canonical bytes (RFC 8785) whose SHA-256 is `digest`."""

    append_only = True

    id = models.UUIDField(primary_key=True)
    logbook = models.ForeignKey(Logbook, on_delete=models.PROTECT, related_name="entries")
    seq = models.PositiveBigIntegerField()
    object_id = models.UUIDField()
    kind = models.CharField(max_length=40)
    kind_version = models.PositiveSmallIntegerField()
    body = models.BinaryField()
    digest = models.CharField(max_length=64)
    observed_by = models.CharField(max_length=150)
    recorded_by = models.CharField(max_length=150)
    carried_by = models.CharField(max_length=150)
    device = models.CharField(max_length=80)
    device_seq = models.PositiveBigIntegerField(null=True)
    made_at = models.DateTimeField()
    received_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["logbook_id", "seq"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["logbook", "seq"], name="entry_place_once"),
            models.UniqueConstraint(fields=["device", "device_seq"], name="entry_of_device_once"),
        ]
        indexes: ClassVar = [models.Index(fields=["logbook", "object_id"], name="entry_object")]

    def __str__(self) -> str:
        return f"{self.logbook} {self.seq}: {self.kind}"

    @property
    def statement(self) -> dict[str, Any]:
        """Everything that was digested."""
        return json.loads(bytes(self.body))

    @property
    def content(self) -> dict[str, Any]:
        """What the statement says, without who, when and after what."""
        return self.statement["body"]


class EntryParent(models.Model):
    """Says which earlier entry of the same object an entry knew and replaces."""

    append_only = True

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="parent_links")
    parent = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="child_links")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["entry", "parent"], name="parent_named_once")
        ]

    def __str__(self) -> str:
        return f"{self.entry_id} after {self.parent_id}"


class SetAside(models.Model):
    """What a device sent and could not be taken as an entry: kept raw, in the lead's sight."""

    append_only = True

    logbook = models.ForeignKey(Logbook, on_delete=models.PROTECT, related_name="set_aside")
    raw = models.BinaryField()
    raw_digest = models.CharField(max_length=64, help_text="SHA-256 of raw: the same is kept once")
    reason = models.TextField()
    claimed_id = models.UUIDField(null=True, help_text="The entry's id as sent, where it reads")
    device = models.CharField(max_length=80)
    device_seq = models.PositiveBigIntegerField(null=True)
    carried_by = models.CharField(max_length=150, blank=True)
    received_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["logbook_id", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["logbook", "device", "raw_digest"], name="set_aside_once"
            )
        ]
        indexes: ClassVar = [
            models.Index(fields=["device", "device_seq"], name="set_aside_of_device")
        ]

    def __str__(self) -> str:
        return f"set aside from {self.device}: {self.reason}"


class SetAsideSettled(models.Model):
    """Says what a person did about something set aside: took it into the record, or left it."""

    append_only = True

    set_aside = models.OneToOneField(SetAside, on_delete=models.PROTECT, related_name="settled")
    entry = models.OneToOneField(
        Entry, on_delete=models.PROTECT, related_name="+", null=True, help_text="None: left out"
    )
    settled_by = models.CharField(max_length=150)
    settled_at = models.DateTimeField()
    reason = models.TextField(blank=True)

    def __str__(self) -> str:
        return f"{self.set_aside}: {'taken' if self.entry_id else 'left out'}"


class Blob(models.Model):
    """Bytes kept by content: the file's name in the store is its SHA-256."""

    append_only = True

    digest = models.CharField(max_length=64, primary_key=True)
    size_bytes = models.PositiveBigIntegerField()
    mime = models.CharField(max_length=80)
    received_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.mime} {self.digest[:12]}"


class BlobArrival(models.Model):
    """Says that the bytes of a blob were handed over for a wall; a digest alone opens nothing."""

    append_only = True

    wall = models.ForeignKey(Wall, on_delete=models.PROTECT, related_name="blob_arrivals")
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="arrivals")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["wall", "blob"], name="blob_arrives_once")
        ]

    def __str__(self) -> str:
        return f"{self.blob_id[:12]} for {self.wall}"
