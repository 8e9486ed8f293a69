"""Which days does a page of the watch show?

Four weeks up to now unless the reader says otherwise; a phase of works at one touch.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from gridmap.errors import InvalidInput
from gridmap.models import Wall

USUAL_DAYS = 28
MOST_DAYS = 800


@dataclass(frozen=True)
class Period:
    """The days that a page shows, first and last in, and where the clock stands."""

    first: date
    last: date
    now: datetime

    @property
    def start(self) -> datetime:
        """The midnight (UTC) at which it begins."""
        return datetime.combine(self.first, time(), UTC)

    @property
    def end(self) -> datetime:
        """The midnight (UTC) at which it ends, or now if that is earlier."""
        return min(datetime.combine(self.last + timedelta(days=1), time(), UTC), self.now)


@dataclass(frozen=True)
class NamedSpan:
    """Days that a reader may choose at one touch."""

    name: str
    first: date
    last: date


def usual_period(now: datetime) -> Period:
    """Return the four weeks that end today."""
    today = now.date()
    return Period(today - timedelta(days=USUAL_DAYS - 1), today, now)


def asked_period(query: Mapping[str, str], now: datetime) -> Period:
    """Return the days asked for by `from` and `to`, the usual ones where neither is given.

    Raises InvalidInput for a date that is none, days in the wrong order, too many, or to come.
    """
    usual = usual_period(now)
    first, last = _day(query, "from"), _day(query, "to")
    last = last or (usual.last if first is None or first <= usual.last else first)
    first = first or min(usual.first, last)
    if first > last:
        raise InvalidInput(f"From {first} lies after to {last}; exchange the two.", field="from")
    if first > now.date():
        raise InvalidInput(f"From {first} is still to come; nothing is read yet.", field="from")
    if (last - first).days >= MOST_DAYS:
        raise InvalidInput(
            f"{(last - first).days + 1} days are asked for; at most {MOST_DAYS} are shown at once.",
            field="from",
        )
    return Period(first, last, now)


def named_spans(wall: Wall, now: datetime) -> list[NamedSpan]:
    """Return the last days and weeks, and each phase of works that has begun."""
    today = now.date()
    spans = [
        NamedSpan("3 days", today - timedelta(days=2), today),
        NamedSpan("4 weeks", today - timedelta(days=USUAL_DAYS - 1), today),
    ]
    for phase in wall.phases.filter(starts_on__lte=today).order_by("number"):
        last = min(phase.ends_on, today)
        spans.append(NamedSpan(f"Phase {phase.number}", phase.starts_on, last))
    return spans


def _day(query: Mapping[str, str], name: str) -> date | None:
    text = query.get(name, "").strip()
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise InvalidInput(
            f"{name} is {text[:20]!r}; write a date as year-month-day, such as 2026-07-21.",
            field=name,
        ) from error
