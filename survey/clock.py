"""What time it is for this installation: the demo's fixed clock, or now."""

from datetime import datetime

from django.conf import settings
from django.utils import timezone


def moment() -> datetime:
    """Return the present moment as aware UTC; called at the edges only, never in computation."""
    return settings.FIXED_CLOCK or timezone.now()
