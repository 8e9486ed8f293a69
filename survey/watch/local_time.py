"""Which moment in UTC does a logger's own clock mean, also at the change of summer time?

The hour that runs twice is told apart by the order of the rows, and said; an hour that never was
is refused. Nothing is guessed in silence. No Django, no I/O.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from survey.watch.spans import DAY_S, Floats

DAYS_BETWEEN_PROBES: Final = 7
SAYABLE: Final = 8  # changes of the clock that are named one by one


@dataclass(frozen=True)
class Change:
    """A change of a zone's clock: when, and its offsets from UTC before and after [s]."""

    at_s: float
    before_s: float
    after_s: float


@dataclass(frozen=True)
class InUtc:
    """Rows in UTC, NaN where the clock never showed such a time; what was told apart, in words."""

    seconds: Floats
    never: NDArray[np.bool_]
    notes: tuple[str, ...]


def from_offset(local_s: Floats, offset_min: int) -> InUtc:
    """Return rows of a clock that keeps one offset from UTC the whole year."""
    return InUtc(local_s - offset_min * 60.0, np.zeros(local_s.shape, bool), ())


def from_zone(local_s: Floats, zone: ZoneInfo) -> InUtc:
    """Return rows of a clock that follows a zone's summer time, in the order of the file."""
    never = np.zeros(local_s.shape, bool)
    there = ~np.isnan(local_s)
    if not there.any():
        return InUtc(local_s.copy(), never, ())
    low, high = float(np.nanmin(local_s)), float(np.nanmax(local_s))
    begin = low - DAY_S  # no zone is a day away from UTC
    offset_s = np.full(local_s.shape, _offset_s(begin, zone))
    notes: list[str] = []
    for change in changes(zone, begin, high + DAY_S):
        gained = change.after_s > change.before_s
        first, last = sorted((change.at_s + change.before_s, change.at_s + change.after_s))
        offset_s[there & (local_s >= last)] = change.after_s
        between = there & (local_s >= first) & (local_s < last)
        if not between.any():
            continue
        if gained:
            never |= between
        else:
            later, words = _second_time(local_s, between, zone, change)
            offset_s[between] = np.where(later[between], change.after_s, change.before_s)
            notes.append(words)
    seconds = np.where(never, np.nan, local_s - offset_s)
    return InUtc(seconds, never, tuple(notes[:SAYABLE]))


def changes(zone: ZoneInfo, start_s: float, end_s: float) -> Iterator[Change]:
    """Yield the changes of a zone's clock in a span [s UTC], to the second."""
    low, offset = start_s, _offset_s(start_s, zone)
    while low < end_s:
        high = low + DAYS_BETWEEN_PROBES * DAY_S
        after = _offset_s(high, zone)
        if after != offset:
            at = _moment_of_change(zone, low, high, offset)
            yield Change(at, offset, after)
        low, offset = high, after


def _moment_of_change(zone: ZoneInfo, low_s: float, high_s: float, offset_s: float) -> float:
    low, high = int(low_s), int(high_s)
    while high - low > 1:
        middle = (low + high) // 2
        if _offset_s(middle, zone) == offset_s:
            low = middle
        else:
            high = middle
    return float(high)


def _offset_s(seconds: float, zone: ZoneInfo) -> float:
    offset = datetime.fromtimestamp(seconds, UTC).astimezone(zone).utcoffset()
    return (offset or timedelta()).total_seconds()


def _second_time(
    local_s: Floats, between: NDArray[np.bool_], zone: ZoneInfo, change: Change
) -> tuple[NDArray[np.bool_], str]:
    """Return which rows of the hour that runs twice belong to its second time, and say so."""
    rows = np.flatnonzero(between)
    stepped_back = np.flatnonzero(np.diff(local_s[rows]) < 0)
    later = np.zeros(local_s.shape, bool)
    day = datetime.fromtimestamp(change.at_s, UTC).astimezone(zone).date()
    if stepped_back.size:
        later[rows[stepped_back[0] + 1 :]] = True
        words = f"The hour that ran twice on {day} is kept as two, in the order of the lines."
    elif _began_late(local_s, int(rows[0])):
        later[rows] = True
        words = (
            f"Of the hour that ran twice on {day} the file holds one; by the lines after it, it is "
            "read as the second, in winter time."
        )
    else:
        words = (
            f"Of the hour that ran twice on {day} the file holds one; it is read as the first, in "
            "summer time, and the second is unknown. If the logger's clock is never changed, give "
            "the instrument a fixed offset instead of a zone."
        )
    return later, words


def _began_late(local_s: Floats, row: int) -> bool:
    """Whether the file begins in the hour that runs twice, so that nothing came before."""
    return not (~np.isnan(local_s[:row])).any()
