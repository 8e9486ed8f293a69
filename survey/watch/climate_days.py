"""What did the air by the wall do on each day, and how near did a surface come to its dew point?

Days are calendar days in UTC. A day's extremes are those of the readings that were heard; its
unknown hours are said beside them and may hide larger ones. No Django, no I/O.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime

import numpy as np
from numpy.typing import ArrayLike

from survey.watch.psychrometrics import condensation_margin_c, dew_point_c
from survey.watch.spans import (
    DAY_S,
    MOST_MISSED,
    Floats,
    Span,
    numbers,
    positive,
    range_within,
    unknown_spans,
)

HOUR_S = 3600.0


@dataclass(frozen=True)
class Air:
    """Air temperature [°C] and humidity [%] at rising times [s UTC], each reading there.

    `unknown`: the silences in them. `surface_c`: a surface's temperature at the same moments, NaN
    where none was read near enough; None without such a sensor.
    """

    times_s: Floats
    air_c: Floats
    humidity_rh_pct: Floats
    unknown: tuple[Span, ...]
    surface_c: Floats | None = None

    @property
    def dew_c(self) -> Floats:
        """The dew point [°C]."""
        return dew_point_c(self.air_c, self.humidity_rh_pct)

    @property
    def margin_c(self) -> Floats | None:
        """How far the surface is above the dew point [°C]."""
        if self.surface_c is None:
            return None
        return condensation_margin_c(self.air_c, self.humidity_rh_pct, self.surface_c)


@dataclass(frozen=True)
class DayOfAir:
    """One day: least and most of each quantity, the change of RH in 24 h, what is unknown."""

    day: date
    air_c: tuple[float, float]
    humidity_rh_pct: tuple[float, float]
    dew_c: tuple[float, float]
    change_24h_rh_pct: float  # largest less smallest of the 24 h that end on this day
    margin_least_c: float | None
    unknown_h: float

    @property
    def range_c(self) -> float:
        """Most less least temperature of the day [°C]."""
        return self.air_c[1] - self.air_c[0]

    @property
    def range_rh_pct(self) -> float:
        """Most less least humidity of the day [% RH]."""
        return self.humidity_rh_pct[1] - self.humidity_rh_pct[0]


def beside(
    times_s: ArrayLike, other_times_s: ArrayLike, values: ArrayLike, *, within_s: float
) -> Floats:
    """Return for each time the value read nearest to it, NaN where none is within `within_s`.

    Nothing is interpolated: each number is one that an instrument wrote down.
    """
    positive(within_s, name="within", unit="s")
    times, others = numbers(times_s, name="times"), numbers(other_times_s, name="other_times")
    found = numbers(values, name="values")
    if others.size == 0:
        return np.full(times.size, np.nan)
    after = np.clip(np.searchsorted(others, times), 1, max(others.size - 1, 1))
    after = np.minimum(after, others.size - 1)
    before = np.maximum(after - 1, 0)
    nearest = np.where(times - others[before] <= others[after] - times, before, after)
    return np.where(np.abs(others[nearest] - times) <= within_s, found[nearest], np.nan)


def air_of(
    temperature: tuple[Floats, Floats],
    humidity: tuple[Floats, Floats],
    *,
    interval_s: float,
    surface: tuple[Floats, Floats] | None = None,
    watched: Span | None = None,
) -> Air:
    """Return the air where temperature and humidity were both heard; each is times s and values."""
    times, air = temperature
    rh = beside(times, *humidity, within_s=interval_s / 2)
    there = ~np.isnan(air) & ~np.isnan(rh) & (rh > 0)
    times, air, rh = times[there], air[there], rh[there]
    unknown = unknown_spans(
        times, air, interval_s=interval_s, most_missed=MOST_MISSED, watched=watched
    )
    on_surface = None if surface is None else beside(times, *surface, within_s=interval_s / 2)
    return Air(times, air, rh, unknown, on_surface)


def days_of_air(air: Air) -> tuple[DayOfAir, ...]:
    """Return each day on which something was heard, in order."""
    if air.times_s.size == 0:
        return ()
    number = np.floor(air.times_s / DAY_S).astype(int)
    first = np.flatnonzero(np.concatenate(([True], np.diff(number) > 0)))
    change = range_within(air.times_s, air.humidity_rh_pct, window_s=DAY_S)
    spread = [
        _least_and_most(values, first) for values in (air.air_c, air.humidity_rh_pct, air.dew_c)
    ]
    largest = np.maximum.reduceat(change, first)
    margin = None if air.margin_c is None else np.fmin.reduceat(air.margin_c, first)
    return tuple(
        DayOfAir(
            day=datetime.fromtimestamp(day * DAY_S, UTC).date(),
            air_c=spread[0][index],
            humidity_rh_pct=spread[1][index],
            dew_c=spread[2][index],
            change_24h_rh_pct=float(largest[index]),
            margin_least_c=_or_none(margin, index),
            unknown_h=unknown_hours(air.unknown, day * DAY_S),
        )
        for index, day in enumerate(number[first].tolist())
    )


def unknown_hours(unknown: tuple[Span, ...], day_s: float) -> float:
    """Return how much of a day lies in silences [h]."""
    overlaps = (min(span.end_s, day_s + DAY_S) - max(span.start_s, day_s) for span in unknown)
    return sum(max(overlap, 0.0) for overlap in overlaps) / HOUR_S


def _least_and_most(values: Floats, first: np.ndarray) -> list[tuple[float, float]]:
    least, most = np.minimum.reduceat(values, first), np.maximum.reduceat(values, first)
    return list(zip(least.tolist(), most.tolist(), strict=True))


def _or_none(values: Floats | None, index: int) -> float | None:
    if values is None or np.isnan(values[index]):
        return None
    return float(values[index])
