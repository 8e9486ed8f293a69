"""What must be read before anything else on the pages of a wall and of a survey?

Rooms above the record register what they know; a stop on the deck is one, a conflict another.
"""

from collections.abc import Callable
from dataclasses import dataclass

from django.contrib.auth.models import AnonymousUser

from gridmap.models import Wall
from survey.people.models import Account
from survey.people.permissions import ALLOWED, Action, role_on

ALARM, WARN = "alarm", "warn"


@dataclass(frozen=True)
class Notice:
    """A sentence about one survey, how grave it is, where it is dealt with and by whom."""

    survey: str  # its code
    tone: str  # ALARM before WARN
    text: str
    href: str
    link: str  # what the link says
    action: Action = Action.SEE_RECORD


Provider = Callable[[Wall], list[Notice]]
_providers: dict[str, Provider] = {}


def register(name: str, provider: Provider) -> None:
    """Make a room's notices known; called once from its AppConfig.ready."""
    _providers[name] = provider


def notices_of(
    wall: Wall, reader: Account | AnonymousUser, *, survey: str | None = None
) -> list[Notice]:
    """Return what the reader must know, alarms first; of one survey if its code is given."""
    allowed = ALLOWED.get(role_on(reader, wall) or "", frozenset())
    found = [
        notice
        for provider in _providers.values()
        for notice in provider(wall)
        if notice.action in allowed and survey in (None, notice.survey)
    ]
    return sorted(found, key=lambda notice: notice.tone != ALARM)
