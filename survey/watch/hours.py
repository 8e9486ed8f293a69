"""How are moments and spans of the watch said on its pages: in words, in UTC? No Django, no I/O."""

from datetime import UTC, date, datetime, timedelta

MINUTE_S, HOUR_S, DAY_S = 60, 3600, 86_400


def span_in_words(seconds: float) -> str:
    """Return a span in its two largest units.

    >>> span_in_words(95_400)
    '1 d 2 h'
    """
    whole = round(seconds)
    days, hours, minutes = whole // DAY_S, whole % DAY_S // HOUR_S, whole % HOUR_S // MINUTE_S
    if days:
        return f"{days} d {hours} h" if hours else f"{days} d"
    if hours:
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    if minutes:
        return f"{minutes} min"
    return f"{whole} s"


def moment_in_words(at: datetime) -> str:
    """Return a moment, such as 21 Jul 2026, 10:42 UTC."""
    there = at.astimezone(UTC)
    return f"{there.day} {there:%b %Y, %H:%M} UTC"


def moment_of(seconds: float) -> datetime:
    """Return seconds since 1970 as a moment."""
    return datetime.fromtimestamp(seconds, UTC)


def midnights_s(first: date, last: date) -> list[float]:
    """Return the midnights (UTC) that bound the days from first to last, both days in."""
    start = datetime(first.year, first.month, first.day, tzinfo=UTC)
    return [(start + timedelta(days=n)).timestamp() for n in range((last - first).days + 2)]
