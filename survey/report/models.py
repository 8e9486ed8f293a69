"""Which reports were issued: numbered, kept, and superseded, never replaced."""

from typing import ClassVar

from django.db import models

from gridmap.models import Wall
from survey.ledger.models import Blob
from survey.record.models import Survey


class PaperKind(models.TextChoices):
    CONDITION = "condition", "Condition report"
    PHASE = "phase", "Phase hand-over record"
    INCIDENT = "incident", "Incident report"


class IssuedReport(models.Model):
    """One version of an issued report, with its PDF and the data that it printed."""

    append_only = True

    wall = models.ForeignKey(Wall, on_delete=models.PROTECT, related_name="reports")
    number = models.PositiveIntegerField()
    version = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=12, choices=PaperKind)
    survey = models.ForeignKey(Survey, on_delete=models.PROTECT, related_name="reports")
    against = models.ForeignKey(Survey, on_delete=models.PROTECT, null=True, related_name="+")
    pdf = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    data = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    supersedes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="superseded_by"
    )
    changed = models.CharField(max_length=300, blank=True, help_text="What this version changes")
    issued_by = models.CharField(max_length=150)
    issued_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["-number", "-version"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["wall", "number", "version"], name="report_version_once"
            )
        ]

    def __str__(self) -> str:
        return f"{report_number(self.number)} version {self.version}"

    @property
    def label(self) -> str:
        """The number as it is printed."""
        return report_number(self.number)


def report_number(number: int) -> str:
    """Return a report's number as it is printed, such as R-0007."""
    return f"R-{number:04d}"
