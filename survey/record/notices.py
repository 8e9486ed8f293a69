"""What must be read before anything else on the pages of a wall and of a survey?

Rooms above the record register what they know; a stop on the deck is one, a conflict another.
"""

from collections.abc import Callable
from dataclasses import dataclass

from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest

from gridmap.models import Wall
from survey.people.models import Account
from survey.people.permissions import ALLOWED, Action, role_on

ALARM, WARN = "alarm", "warn"


@dataclass(frozen=True)
class Notice:
    """A sentence about one survey, how grave it is, where it is dealt with and by whom."""

    survey: str  # its code; empty for the whole wall
    tone: str  # ALARM before WARN
    text: str
    href: str
    link: str  # what the link says
    action: Action = Action.SEE_RECORD


Provider = Callable[[Wall], list[Notice]]
_providers: dict[str, Provider] = {}
_everywhere: set[str] = set()


def register(name: str, provider: Provider, *, everywhere: bool = False) -> None:
    """Make a room's notices known; called once from its AppConfig.ready.

    Alarms of a provider that is heard `everywhere` stand on every page of the wall.
    """
    _providers[name] = provider
    if everywhere:
        _everywhere.add(name)


def notices_of(
    wall: Wall, reader: Account | AnonymousUser, *, survey: str | None = None
) -> list[Notice]:
    """Return what the reader must know, alarms first; of one survey if its code is given.

    What concerns the whole wall belongs to every survey.
    """
    allowed = ALLOWED.get(role_on(reader, wall) or "", frozenset())
    found = [
        notice
        for provider in _providers.values()
        for notice in provider(wall)
        if notice.action in allowed and (not notice.survey or survey in (None, notice.survey))
    ]
    return sorted(found, key=lambda notice: notice.tone != ALARM)


def alarms_everywhere(request: HttpRequest) -> dict[str, list[Notice]]:
    """Return for the head of every page of a wall what must not be missed: its open stops."""
    wall = getattr(request, "wall", None)
    if not isinstance(wall, Wall):
        return {"alarms": []}
    allowed = ALLOWED.get(role_on(request.user, wall) or "", frozenset())
    return {
        "alarms": [
            notice
            for name in sorted(_everywhere)
            for notice in _providers[name](wall)
            if notice.tone == ALARM and notice.action in allowed
        ]
    }
