"""Which decisions of a wall wait for their review."""

from django.urls import reverse

from gridmap.models import Wall
from survey.clock import moment
from survey.people.permissions import Action
from survey.treatments.selectors import item_decisions
from survey.walls.needs import Need


def reviews_due(wall: Wall) -> list[Need]:
    """Return one need that counts the decisions due for review, none where none is."""
    due = sum(row.due for row in item_decisions(wall, moment().date()))
    if not due:
        return []
    text = f"{due} decisions are due for review." if due > 1 else "1 decision is due for review."
    return [Need(text, reverse("treatments:decisions", args=[wall.slug]), Action.DECIDE)]
