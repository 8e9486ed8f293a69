"""What of the tablets' work must be read first on the pages of a wall and of its surveys?"""

from datetime import UTC, datetime

from django.db.models import Count
from django.urls import reverse

from gridmap.models import Wall
from survey.ledger.models import SetAside
from survey.people.permissions import Action
from survey.record.conflicts import conflict_counts
from survey.record.notices import ALARM, WARN, Notice
from survey.tablet.deck_log import open_stops
from survey.walls.needs import Need

LONGEST_ACTIVITY = 160  # characters of a notice; the log has the whole


def stops_standing(wall: Wall) -> list[Notice]:
    """Return one notice for each stop that nobody has lifted."""
    return [
        Notice(
            survey=stop.code,
            tone=ALARM,
            text=(
                f"Works stopped, survey {stop.code}, {_when(stop.noticed_at)}: "
                f"{_short(stop.body['activity'])}. {_told(stop.told)}"
            ),
            href=f"{_page('tablets:deck_log', wall, stop.code)}#stops",
            link="Read the stop",
        )
        for stop in open_stops(wall)
    ]


def conflicts_standing(wall: Wall) -> list[Notice]:
    """Return one notice for each survey in which statements stand against each other."""
    return [
        Notice(
            survey=code,
            tone=WARN,
            text=(
                f"Survey {code}: {_counted(count, 'conflict')} "
                f"{'waits' if count == 1 else 'wait'} for a decision; until then "
                f"{'it enters' if count == 1 else 'they enter'} no total."
            ),
            href=_page("tablets:conflicts", wall, code),
            link="Decide conflicts",
            action=Action.DECIDE,
        )
        for code, count in conflict_counts(wall).items()
    ]


def _when(noticed_at: datetime) -> str:
    at = noticed_at.astimezone(UTC)
    return f"{at.day} {at:%b %Y, %H:%M} UTC"


def set_aside_waiting(wall: Wall) -> list[Notice]:
    """Return one notice for each survey in which something set aside waits for the lead."""
    rows = SetAside.objects.filter(
        logbook__wall=wall, logbook__survey__isnull=False, settled__isnull=True
    )
    counts = rows.values_list("logbook__survey__code").annotate(count=Count("pk")).order_by()
    return [
        Notice(
            survey=code,
            tone=WARN,
            text=(
                f"Survey {code}: {_counted(count, 'statement')} from tablets "
                f"{'is' if count == 1 else 'are'} set aside and "
                f"{'waits' if count == 1 else 'wait'} for you."
            ),
            href=_page("tablets:set_aside", wall, code),
            link="Look through what is set aside",
            action=Action.SETTLE,
        )
        for code, count in counts
    ]


def needs_of_tablets(wall: Wall) -> list[Need]:
    """Return the same for the start page, where a reader meets all of their walls."""
    notices = [*stops_standing(wall), *set_aside_waiting(wall), *conflicts_standing(wall)]
    return [
        Need(notice.text, notice.href, notice.action, alarm=notice.tone == ALARM)
        for notice in notices
    ]


def _told(told: list[dict[str, str]]) -> str:
    if not told:
        return "Nobody has been told yet."
    return f"Told: {', '.join(call['who'] for call in told)}."


def _short(text: str) -> str:
    text = text.strip().rstrip(".")
    return text if len(text) <= LONGEST_ACTIVITY else f"{text[:LONGEST_ACTIVITY].rstrip()}…"


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _page(name: str, wall: Wall, code: str) -> str:
    return reverse(name, args=[wall.slug, code])
