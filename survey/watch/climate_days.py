"""What did the air by the wall do on each day, and how near did a surface come to its dew point?

Days are those between the midnights given. A day's extremes are those of the readings that were
heard; its unknown hours are said beside them and may hide larger ones. No Django, no I/O.
"""

from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import ArrayLike

from survey.watch.climate_band import DailyRange, daily_ranges, running_range
from survey.watch.hours import moment_of
from survey.watch.psychrometrics import condensation_margin_c, dew_point_c
from survey.watch.spans import (
    HOUR_S,
    MOST_MISSED,
    Floats,
    Span,
    numbers,
    positive,
    unknown_spans,
)


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
    """One day: range of each quantity, the largest change of RH in 24 h, the least margin.

    `change_24h_rh_pct` is None where no 24 h that end on this day were heard whole, the margin
    where no surface was read.
    """

    day: Span
    air_c: DailyRange
    humidity_rh_pct: DailyRange
    dew_c: DailyRange
    change_24h_rh_pct: float | None
    margin_least_c: float | None

    @property
    def at(self) -> datetime:
        """The midnight at which the day begins."""
        return moment_of(self.day.start_s)

    @property
    def unknown_h(self) -> float:
        """How much of the day lies in silences [h]."""
        return (1.0 - self.air_c.known_share) * self.day.duration_s / HOUR_S


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


def days_of_air(air: Air, *, day_starts_s: ArrayLike, interval_s: float) -> tuple[DayOfAir, ...]:
    """Return each day on which something was heard; `day_starts_s` are the local midnights."""
    edges = numbers(day_starts_s, name="day starts")
    spread = [
        daily_ranges(air.times_s, values, day_starts_s=edges, interval_s=interval_s)
        for values in (air.air_c, air.humidity_rh_pct, air.dew_c)
    ]
    change = running_range(air.times_s, air.humidity_rh_pct, interval_s=interval_s)
    margin = air.margin_c
    found = []
    for temperature, humidity, dew in zip(*spread, strict=True):
        first, last = np.searchsorted(
            air.times_s, [temperature.day.start_s, temperature.day.end_s], side="left"
        )
        found.append(
            DayOfAir(
                temperature.day,
                temperature,
                humidity,
                dew,
                _extreme(change[first:last], np.fmax),
                None if margin is None else _extreme(margin[first:last], np.fmin),
            )
        )
    return tuple(found)


def _extreme(values: Floats, of: np.ufunc) -> float | None:
    worst = float(of.reduce(values))
    return None if np.isnan(worst) else worst
