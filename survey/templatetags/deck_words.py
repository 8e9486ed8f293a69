"""How templates say what stands on the deck's log: days, lamps, answers, things checked."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import template

from survey.vocabulary.words import MODE_NAMES

register = template.Library()

_SIDES = {
    "left": "from the left",
    "right": "from the right",
    "top": "from above",
    "below": "from below",
    "even": "even",
}
_ANSWERS = {
    "same": "same",
    "worse": "worse",
    "cannot-see": "can’t see",
    "look-closer": "look closer",
}
_QUANTITIES = {"uv": "UV"}


@register.filter
def day(text: str | None) -> str:
    """Print a day of an entry's body as every page does: 18 Nov 2026."""
    if not text:
        return ""
    read = date.fromisoformat(text)
    return f"{read.day} {read:%b %Y}"


@register.filter
def mode_words(mode: str) -> str:
    """Print a mode by its name."""
    return MODE_NAMES.get(mode, mode)


@register.filter
def lamp_side(side: str) -> str:
    """Print from where a lamp shines."""
    return _SIDES.get(side, side)


@register.filter
def answer_words(answer: str) -> str:
    """Print an answer of the round as it stood on its button."""
    return _ANSWERS.get(answer, answer)


@register.filter
def checked_words(what: str) -> str:
    """Print a thing checked: scaffold tag, seals."""
    return what.replace("-", " ")


@register.filter
def quantity_words(body: Mapping[str, Any]) -> str:
    """Print what was read; for another quantity, the words that were typed."""
    quantity = body["quantity"]
    if quantity == "other":
        return str(body.get("what", "other"))
    return _QUANTITIES.get(quantity, quantity.replace("-", " ").capitalize())


@register.filter
def plain_number(value: float | str | None) -> str:
    """Print a number as it was given, without digits that nobody read."""
    return f"{value:,.10g}" if isinstance(value, int | float) else ""
