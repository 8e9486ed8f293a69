"""What of the site register waits for a person: water, protection overdue, people not out?"""

from django.urls import reverse

from gridmap.models import Wall
from survey.clock import moment
from survey.people.permissions import Action
from survey.walls.needs import Need
from survey.watch.enclosure import WET, deck_book, enclosure
from survey.watch.light_ledger import light_of
from survey.watch.models import LogLine
from survey.watch.protection import protections
from survey.watch.register_forms import PART_WORDS, STATE_WORDS


def needs_of_register(wall: Wall) -> list[Need]:
    """Return what the site register and the light ledger of a wall ask for."""
    now = moment()
    site = reverse("watch:site", args=[wall.slug])
    needs = [
        Need(_wanting(line), f"{site}#enclosure", Action.RECORD, alarm=_wet(line))
        for line in enclosure(wall, now).wanting
    ]
    needs += [
        Need(
            f"{one.who} went in on {one.line.at.day} {one.line.at:%b %Y} and is not out by the "
            "deck book.",
            f"{site}#deck-book",
            Action.RECORD,
        )
        for one in deck_book(wall, now).inside
        if one.overnight
    ]
    needs += [
        Need(
            f"{one.line.content['name']}: {one.waits_because[0]}.",
            f"{site}#protection",
            Action.RECORD,
        )
        for one in protections(wall, now.date())
        if one.waits_because
    ]
    full = [one.line.cell for one in light_of(wall, now.date()).cells if one.hours_left == 0]
    if full:
        light = f"{reverse('watch:light', args=[wall.slug])}#ledger"
        cells = ", ".join(full[:6]) + (f" and {len(full) - 6} more" if len(full) > 6 else "")
        needs.append(Need(f"The agreed dose of light is reached on {cells}.", light, Action.RECORD))
    return needs


def _wet(line: LogLine) -> bool:
    return bool(line.content["state"] == WET)


def _wanting(line: LogLine) -> str:
    content = line.content
    place = f", {content['place']}" if content.get("place") else ""
    said = f"{PART_WORDS[content['what']]}{place}: {STATE_WORDS[content['state']]}"
    since = f"since {line.at.day} {line.at:%b %Y, %H:%M} UTC"
    return f"{said} {since}.{' Everybody is told now.' if _wet(line) else ''}"
