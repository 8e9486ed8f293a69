"""What on a wall waits for a person? Each room says for itself; the start page lists it."""

from collections.abc import Callable
from dataclasses import dataclass

from django.urls import reverse

from gridmap.models import Wall
from survey.people.permissions import Action


@dataclass(frozen=True)
class Need:
    """A thing to do on a wall: the sentence, the page where it is done, who can do it."""

    text: str
    href: str
    action: Action
    alarm: bool = False  # stands before everything else, in alarm colours


Provider = Callable[[Wall], list[Need]]
_providers: dict[str, Provider] = {}


def register(name: str, provider: Provider) -> None:
    """Make a room's needs known; called once from its AppConfig.ready."""
    _providers[name] = provider


def needs_of(wall: Wall) -> list[Need]:
    """Return everything that waits on the wall: alarms first, then room by room."""
    found = [need for provider in _providers.values() for need in provider(wall)]
    return sorted(found, key=lambda need: not need.alarm)


def of_set_up(wall: Wall) -> list[Need]:
    """Return what the wall's own description still lacks."""
    set_up = reverse("walls:setup", args=[wall.slug])
    needs = []
    if not wall.phases.exists():
        needs.append(
            Need(
                "Write down the phases of works: a baseline counts as pre-works only before them.",
                f"{set_up}#phases",
                Action.SET_UP,
            )
        )
    if wall.surveys.exists():
        needs += [
            Need(
                f"Survey {survey.code} is open, from {survey.starts_on.day} "
                f"{survey.starts_on:%b %Y}.",
                reverse("record:survey", args=[wall.slug, survey.code]),
                Action.RECORD,
            )
            for survey in wall.surveys.filter(state="open")
        ]
    else:
        needs.append(
            Need(
                "Open the first survey: the baseline.",
                reverse("record:new_survey", args=[wall.slug]),
                Action.SET_UP,
            )
        )
    return needs
