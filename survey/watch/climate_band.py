"""How far does a climate swing in a day and in a year, and within which band has it been living?

Daily and 24 h ranges; the seasonal cycle and target band by the method of EN 15757, *used by
analogy*: that standard is for organic hygroscopic materials, lime plaster and wall paint are not
in its scope. Where it is silent the choices are this program's and are named beside each constant.
Where readings are missing, and 15 days before either end, there is no seasonal value. No Django,
no I/O.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.spans import (
    DAY_S,
    MOST_MISSED,
    Floats,
    Span,
    heard,
    numbers,
    piece_numbers,
    positive,
    range_within,
    series,
    unknown_spans,
)

# EN 15757:2010, from memory: 30-day centred mean, 7th and 93rd percentile, at least ±10 % RH.
HALF_WINDOW_S: Final = 15 * DAY_S
LOW_PERCENTILE, HIGH_PERCENTILE = 7.0, 93.0
LEAST_SWING_RH_PCT: Final = 10.0
# Choices of this program: both ends of the window count, percentiles are linear between readings.
LEAST_SHARE: Final = 0.75  # of a window's readings; with fewer there is no seasonal value
LEAST_FLUCTUATIONS_S: Final = 365 * DAY_S  # a full cycle of fluctuations: about 395 days of record
METHOD: Final = (
    "EN 15757 method, used by analogy: it was made for organic hygroscopic materials, not for lime "
    "plaster and wall paint."
)


@dataclass(frozen=True)
class DailyRange:
    """Smallest, largest and range of one local day; `known_share` is how much of it was heard."""

    day: Span
    smallest: float
    largest: float
    readings: int
    known_share: float

    @property
    def range(self) -> float:
        """Largest less smallest; a lower bound where part of the day is unknown."""
        return self.largest - self.smallest


def daily_ranges(
    times_s: ArrayLike,
    values: ArrayLike,
    *,
    day_starts_s: ArrayLike,
    interval_s: float,
    most_missed: float = MOST_MISSED,
) -> tuple[DailyRange, ...]:
    """Return the range of each day that has readings (times s UTC; NaN = missing).

    `day_starts_s` are the local midnights in s UTC, one more than there are days, so that a day of
    23 or 25 hours at a change of clocks is one day.
    """
    times, held = heard(times_s, values)
    edges = numbers(day_starts_s, name="day starts")
    if edges.size < 2 or (np.diff(edges) <= 0).any():
        raise InvalidInput("Days need two rising midnights or more.", field="day_starts_s")
    first = np.searchsorted(times, edges[:-1], side="left")
    last = np.searchsorted(times, edges[1:], side="left")
    found = []
    for start, end, i, j in zip(edges, edges[1:], first, last, strict=False):
        if i == j:
            continue
        day = Span(float(start), float(end))
        silent = unknown_spans(
            times[i:j], held[i:j], interval_s=interval_s, most_missed=most_missed, watched=day
        )
        unknown_s = sum(span.duration_s for span in silent)
        found.append(
            DailyRange(
                day,
                float(held[i:j].min()),
                float(held[i:j].max()),
                int(j - i),
                1.0 - unknown_s / day.duration_s,
            )
        )
    return tuple(found)


def running_range(
    times_s: ArrayLike,
    values: ArrayLike,
    *,
    interval_s: float,
    window_s: float = DAY_S,
    most_missed: float = MOST_MISSED,
) -> Floats:
    """Return the range of the window that ends at each reading; NaN where it is not all known.

    One value per given time. NaN as well in the first window of the series and after a silence.
    """
    given, all_held = series(times_s, values)
    there = ~np.isnan(all_held)
    times, held = given[there], all_held[there]
    found = np.full(given.size, np.nan)
    if times.size == 0:
        return found
    silent = unknown_spans(times, held, interval_s=interval_s, most_missed=most_missed)
    pieces = piece_numbers(times, silent)
    began = times[np.searchsorted(pieces, pieces, side="left")]
    ranges = range_within(times, held, window_s=window_s)
    found[there] = np.where(times - began >= window_s, ranges, np.nan)
    return found


def seasonal_cycle(
    times_s: ArrayLike,
    values: ArrayLike,
    *,
    interval_s: float,
    half_window_s: float = HALF_WINDOW_S,
    least_share: float = LEAST_SHARE,
) -> Floats:
    """Return the centred mean over ±half_window_s at each time, both ends in.

    NaN within half a window of either end of the record, and where fewer than `least_share` of
    the window's readings are there: the edges are not filled from half a window.
    """
    times, held = series(times_s, values)
    if times.size == 0:
        return np.zeros(0)
    step = positive(interval_s, name="interval", unit="s")
    there = ~np.isnan(held)
    middle = float(held[there].mean()) if there.any() else 0.0  # keeps the sums small
    sums = np.concatenate(([0.0], np.cumsum(np.where(there, held - middle, 0.0))))
    counts = np.concatenate(([0], np.cumsum(there)))
    slack = step * 1e-6  # stamps that are the window's very end must not fall out by rounding
    first = np.searchsorted(times, times - half_window_s - slack, side="left")
    last = np.searchsorted(times, times + half_window_s + slack, side="right")
    count = counts[last] - counts[first]
    expected = 2 * half_window_s / step + 1
    whole = (times - half_window_s >= times[0] - slack) & (
        times + half_window_s <= times[-1] + slack
    )
    enough = whole & (count >= least_share * expected) & (count > 0)
    mean = middle + (sums[last] - sums[first]) / np.maximum(count, 1)
    return np.where(enough, mean, np.nan)


@dataclass(frozen=True)
class TargetBand:
    """A band around the seasonal cycle, per reading, and how it came about.

    `low` and `high` are the offsets used; `low_percentile` and `high_percentile` those found
    before the floor of ±10 % RH. `statements` say what it rests on.
    """

    seasonal: Floats
    low_percentile: float
    high_percentile: float
    low: float
    high: float
    fluctuations: int
    statements: tuple[str, ...]

    @property
    def lower(self) -> Floats:
        """Lower limit at each reading; NaN where there is no seasonal value."""
        return self.seasonal + self.low

    @property
    def upper(self) -> Floats:
        """Upper limit at each reading; NaN where there is no seasonal value."""
        return self.seasonal + self.high


@dataclass(frozen=True)
class NoBand:
    """Why no band is given."""

    reason: str


def fluctuation_percentiles(values: ArrayLike, seasonal: ArrayLike) -> tuple[float, float, int]:
    """Return the 7th and 93rd percentile of reading less seasonal value, and their number."""
    apart = numbers(values, name="values") - numbers(seasonal, name="seasonal")
    known = apart[~np.isnan(apart)]
    if known.size == 0:
        raise InvalidInput("No reading has a seasonal value.", field="seasonal")
    low, high = np.percentile(known, [LOW_PERCENTILE, HIGH_PERCENTILE])
    return float(low), float(high), int(known.size)


def target_band(
    times_s: ArrayLike, humidity_rh_pct: ArrayLike, *, interval_s: float
) -> TargetBand | NoBand:
    """Return the target band of a humidity record, or why there is none (times s UTC; % RH).

    A full year of fluctuations is needed, which takes about 13 months of readings.
    """
    times, held = series(times_s, humidity_rh_pct, name="humidity")
    seasonal = seasonal_cycle(times, held, interval_s=interval_s)
    usable = times[~np.isnan(held - seasonal)]
    covered_s = float(np.ptp(usable)) + interval_s if usable.size else 0.0
    if covered_s < LEAST_FLUCTUATIONS_S:
        return NoBand(
            f"{covered_s / DAY_S:.0f} days have a seasonal value; a full year of 365 is needed, "
            "which takes about 395 days of readings."
        )
    expected = LEAST_FLUCTUATIONS_S / interval_s
    if usable.size < LEAST_SHARE * expected:
        return NoBand(
            f"{usable.size:,} readings have a seasonal value; fewer than {LEAST_SHARE:.0%} of a "
            f"year's {expected:,.0f} say nothing of the year."
        )
    low, high, count = fluctuation_percentiles(held, seasonal)
    return TargetBand(
        seasonal=seasonal,
        low_percentile=low,
        high_percentile=high,
        low=min(low, -LEAST_SWING_RH_PCT),
        high=max(high, LEAST_SWING_RH_PCT),
        fluctuations=count,
        statements=_statements(low, high, count=count, readings=times.size),
    )


def _statements(low: float, high: float, *, count: int, readings: int) -> tuple[str, ...]:
    said = [
        METHOD,
        f"Fluctuations of {count:,} of {readings:,} readings: 7th percentile {low:+.1f}, 93rd "
        f"{high:+.1f} % RH. The first and last 15 days have no seasonal value, nor has a window "
        f"with fewer than {LEAST_SHARE:.0%} of its readings.",
    ]
    if low > -LEAST_SWING_RH_PCT or high < LEAST_SWING_RH_PCT:
        said.append("A side narrower than 10 % RH is taken as 10: less is held needlessly strict.")
    return tuple(said)
