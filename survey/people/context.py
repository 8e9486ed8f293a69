"""What the head of every page shows: the clock of a demo and the reader's role."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from gridmap.models import Wall
from survey.people.models import Role
from survey.people.permissions import ALLOWED, role_on


def what_every_page_shows(request: HttpRequest) -> dict[str, Any]:
    """Return `clock` (the demo's fixed moment or None), `account_role` and `allowed` actions."""
    wall = getattr(request, "wall", None)
    role = role_on(request.user, wall) if isinstance(wall, Wall) else None
    return {
        "clock": settings.FIXED_CLOCK,
        "account_role": Role(role).label if role else "",
        "allowed": {action.name for action in ALLOWED[role]} if role else set(),
    }
