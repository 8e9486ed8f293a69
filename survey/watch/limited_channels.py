"""Which agreed limits hold for which channels of an instrument, and from when to when?

The nearest place governs: the instrument's own limit before its cell's, that before its deck's,
that before the wall's; among equals the one that is reached first. The vector sum of velocities
is held against its own limits only. Days are days of UTC.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import Any

from survey.watch.computed_series import channels_with_computed
from survey.watch.governing import SUM, holds_for_axis, rank_of, reached_first
from survey.watch.limit_kinds import VELOCITY
from survey.watch.models import Instrument, Limit

Channel = Mapping[str, Any]


@dataclass(frozen=True)
class Held:
    """Channels that are held together against one limit from a moment to another [s UTC].

    The axes of a velocity are held together: an event is one, whichever axis is strongest.
    """

    limit: Limit
    channels: tuple[Channel, ...]
    start_s: float
    end_s: float


def held_by(
    instrument: Instrument, limits: Iterable[Limit], start: datetime, end: datetime
) -> list[Held]:
    """Return which channels are held against which limits between two moments."""
    rows = list(limits)
    return [
        held
        for channels in _together(channels_with_computed(instrument))
        for held in _of_channels(instrument, channels, rows, start.timestamp(), end.timestamp())
    ]


def _together(channels: Sequence[Channel]) -> list[tuple[Channel, ...]]:
    axes = [one for one in channels if one["quantity"] == VELOCITY and one.get("axis") != SUM]
    single: list[tuple[Channel, ...]] = [(one,) for one in channels if one not in axes]
    return [tuple(axes), *single] if axes else single


def _of_channels(
    instrument: Instrument,
    channels: tuple[Channel, ...],
    limits: Sequence[Limit],
    start_s: float,
    end_s: float,
) -> list[Held]:
    fitting = [row for row in limits if _fits(row, instrument, channels)]
    found = []
    for direction in {_direction(row) for row in fitting}:
        of_direction = [row for row in fitting if _direction(row) == direction]
        for first, after in pairwise(_borders(of_direction, start_s, end_s)):
            row = _governing(of_direction, instrument, first)
            if row is not None:
                found.append(Held(row, _of_axis(row, channels), first, after))
    return _joined(found)


def _fits(row: Limit, instrument: Instrument, channels: Sequence[Channel]) -> bool:
    quantity = row.quantity == channels[0]["quantity"]
    return quantity and rank_of(row, instrument) is not None and bool(_of_axis(row, channels))


def _of_axis(row: Limit, channels: Sequence[Channel]) -> tuple[Channel, ...]:
    return tuple(one for one in channels if holds_for_axis(row, one.get("axis") or ""))


def unread(rows: Iterable[Limit], instruments: Iterable[Instrument]) -> list[Limit]:
    """Return the limits by which nothing can be found: no instrument reads their quantity there."""
    channels = [(one, channels_with_computed(one)) for one in instruments]
    return [
        row
        for row in rows
        if not any(
            rank_of(row, instrument) is not None
            and any(channel["quantity"] == row.quantity for channel in read)
            for instrument, read in channels
        )
    ]


def _direction(row: Limit) -> tuple[str, str]:
    return row.content.get("direction", "above"), row.content.get("axis") or ""


def _borders(rows: Sequence[Limit], start_s: float, end_s: float) -> list[float]:
    """Return the moments at which another limit may begin to govern, ends included."""
    inner = {_midnight_s(row.valid_from) for row in rows}
    inner |= {_midnight_s(row.valid_to + timedelta(days=1)) for row in rows if row.valid_to}
    return [start_s, *sorted(at for at in inner if start_s < at < end_s), end_s]


def _midnight_s(day: date) -> float:
    return datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp()


def _governing(rows: Sequence[Limit], instrument: Instrument, at_s: float) -> Limit | None:
    day = datetime.fromtimestamp(at_s, UTC).date()
    valid = [
        row
        for row in rows
        if row.valid_from <= day and (row.valid_to is None or row.valid_to >= day)
    ]
    return min(
        valid, key=lambda row: (rank_of(row, instrument) or 0, reached_first(row)), default=None
    )


def _joined(found: Sequence[Held]) -> list[Held]:
    """Return spans of one limit that touch as one."""
    joined: list[Held] = []
    for one in found:
        last = joined[-1] if joined else None
        if last and last.limit.pk == one.limit.pk and last.end_s == one.start_s:
            joined[-1] = Held(one.limit, one.channels, last.start_s, one.end_s)
        else:
            joined.append(one)
    return joined
