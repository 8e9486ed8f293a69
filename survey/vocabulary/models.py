"""Which terms held on a wall, version by version.

A version is never edited: a changed term makes a new version, and outlines name the version under
which they were drawn.
"""

from typing import ClassVar

from django.db import models

from gridmap.models import Wall


class VocabularyVersion(models.Model):
    """One immutable version of a wall's terms, as plain data with each term's symbol.

    `digest` is the SHA-256 of the canonical form (RFC 8785) of terms and everyday words.
    """

    append_only = True

    wall = models.ForeignKey(Wall, on_delete=models.PROTECT, related_name="vocabularies")
    version = models.PositiveIntegerField()
    terms = models.JSONField()
    everyday_words = models.JSONField(default=list)
    digest = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=150)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering: ClassVar = ["wall_id", "version"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["wall", "version"], name="vocabulary_version_once")
        ]

    def __str__(self) -> str:
        return f"{self.wall} vocabulary {self.version}"
