"""What long work there is, how far it is, and whether somebody asked to stop it."""

from datetime import datetime, timedelta
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.utils import timezone

from gridmap.models import Wall

# A runner tells how far it is at every step; after such a silence its worker has stopped.
LOST_AFTER = timedelta(minutes=10)


class JobState(models.TextChoices):
    WAITING = "waiting", "Waiting for the worker"
    RUNNING = "running", "Running"
    DONE = "done", "Done"
    FAILED = "failed", "Failed"
    CANCELLED = "cancelled", "Cancelled"


class Job(models.Model):
    """A piece of background work. `done` of `total` counts steps of the job's own kind."""

    wall = models.ForeignKey(Wall, on_delete=models.CASCADE, related_name="jobs")
    kind = models.CharField(max_length=40)
    title = models.CharField(max_length=200)
    arguments = models.JSONField(default=dict)
    state = models.CharField(max_length=12, choices=JobState, default=JobState.WAITING)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    message = models.TextField(blank=True)
    cancel_asked = models.BooleanField(default=False)
    result = models.JSONField(default=dict)
    attempt = models.PositiveIntegerField(default=1)
    told_at = models.DateTimeField(null=True, help_text="when the worker last said how far it is")
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    made_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.title}: {self.get_state_display()}"

    @property
    def ended(self) -> bool:
        return self.state in {JobState.DONE, JobState.FAILED, JobState.CANCELLED}

    def lost(self, now: datetime) -> bool:
        """Say whether its worker has been silent for so long that it must have stopped."""
        if self.state != JobState.RUNNING:
            return False
        return now - (self.told_at or self.made_at) > LOST_AFTER

    def may_start_again(self, now: datetime) -> bool:
        """Say whether somebody may ask for the same work once more."""
        return self.state in {JobState.FAILED, JobState.CANCELLED} or self.lost(now)
