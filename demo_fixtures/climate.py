"""What is the weather about the invented wall, in the air beside it and on its surface?

Every quantity is a function of time alone, so that two loggers agree about the same minute. The
leak of phase 2 wets the air by the town zone for weeks; lamps heat the wall on survey days.
Invented demo data. Times are float64 seconds since 1970 UTC.
"""

from collections.abc import Callable
from datetime import UTC, date, datetime, time
from math import tau
from typing import Final

import numpy as np
from numpy.typing import NDArray

from demo_fixtures.phases import DEMO_PHASES, LEAK_EVENT
from demo_fixtures.plans import ROUNDS
from survey.watch.psychrometrics import saturation_pressure_pa, vapour_pressure_pa

Floats = NDArray[np.float64]
Course = Callable[[Floats], Floats]

HOUR_S, DAY_S, YEAR_S = 3600.0, 86_400.0, 365.25 * 86_400.0
JANUARY_S: Final = datetime(2026, 1, 1, tzinfo=UTC).timestamp()
LEAK_AT_S: Final = datetime.combine(LEAK_EVENT.on, time(2, 10), UTC).timestamp()
OPEN_ROOF: Final = DEMO_PHASES[1].activities[2]  # leadwork under an open roof
COLD_HALL_FROM: Final = DEMO_PHASES[2].starts_on  # heating off until the new one runs
WEATHER_SEED: Final = 1936
LAMP_RISE_K: Final = 7.2  # 13 °F at the surface after hours before one bay
LAMP_TIME_S: Final = 40 * 60.0  # to 63 % of it
LAMP_HOURS: Final = ((8.5, 12.0), (13.0, 16.5))  # UTC, on survey days
SHARE_BESIDE: Final = 0.15  # of the lamps' light and heat while they stand before other bays


def moment_s(day: date, hour: float = 0.0) -> float:
    """Return an hour of a day (UTC) as seconds since 1970."""
    return datetime.combine(day, time(), UTC).timestamp() + hour * HOUR_S


def outdoor_c(times_s: Floats) -> Floats:
    """Return the temperature outdoors [°C]."""
    season = 10.5 - 8.0 * np.cos(tau * (times_s - JANUARY_S - 25 * DAY_S) / YEAR_S)
    sun = 0.6 + 0.4 * np.sin(tau * (times_s - JANUARY_S - 80 * DAY_S) / YEAR_S)
    daily = -4.0 * sun * np.cos(tau * (times_s / DAY_S - 3 / 24))
    return season + daily + 2.4 * _weather(times_s, 1)


def outdoor_rh_pct(times_s: Floats) -> Floats:
    """Return the humidity outdoors [% RH]."""
    daily = 9.0 * np.cos(tau * (times_s / DAY_S - 3 / 24))
    return np.clip(79.0 + daily + 6.0 * _weather(times_s, 2), 30.0, 99.0)


def air_c(times_s: Floats, deck: int) -> Floats:
    """Return the temperature of the air on a deck [°C]."""
    season = 17.6 - 3.4 * np.cos(tau * (times_s - JANUARY_S - 40 * DAY_S) / YEAR_S)
    daily = -(0.7 + 0.2 * deck) * np.cos(tau * (times_s / DAY_S - 4 / 24))
    outside = _slowly(outdoor_c, times_s, hours=24)
    share = 0.10 + 0.22 * _between(times_s, OPEN_ROOF.starts_on, OPEN_ROOF.ends_on)
    unheated = -1.6 * (times_s >= moment_s(COLD_HALL_FROM))
    lamps = 0.5 * (deck == 2) * lamps_on(times_s, before_bay=False) / SHARE_BESIDE
    return season + daily + share * (outside - season) + unheated + 0.3 * deck + lamps


def air_rh_pct(times_s: Floats, deck: int) -> Floats:
    """Return the humidity of the air on a deck [% RH]; deck 2's is that by the town zone."""
    slow_pa = _slowly(_outdoor_vapour_pa, times_s, hours=96)  # the plaster takes up and gives back
    vapour_pa = 0.70 * slow_pa + 0.12 * _outdoor_vapour_pa(times_s) + 150.0
    dry = 100.0 * vapour_pa / saturation_pressure_pa(air_c(times_s, deck))
    most, days = ((7.0, 6.0), (25.0, 24.0))[deck - 1]
    return np.clip(dry + most * wetness(times_s, days=days), 18.0, 97.0)


def wetness(times_s: Floats, *, days: float) -> Floats:
    """Return how much of the leak's water is still in the wall (0 to 1), drying over some days."""
    since_s = times_s - LEAK_AT_S
    rise = 1.0 - np.exp(-np.maximum(since_s, 0.0) / (3 * HOUR_S))
    drying = np.exp(-np.maximum(since_s, 0.0) / (days * DAY_S))
    breath = 1.0 + 0.12 * np.cos(tau * (times_s / DAY_S - 5 / 24))
    return np.where(since_s > 0, rise * drying * breath, 0.0)


def cold_corner_c(times_s: Floats) -> Floats:
    """Return the surface of the coldest corner on deck 2 [°C]: behind the leak, by the outer wall."""
    slow = _slowly(lambda when: air_c(when, 2), times_s, hours=18)
    outside = _slowly(outdoor_c, times_s, hours=24)
    return slow - 0.10 * (slow - outside) - 0.9 * wetness(times_s, days=24.0)


def lit_bay_c(times_s: Floats) -> Floats:
    """Return the surface of a bay on deck 2 before which lamps stand on survey days [°C]."""
    slow = _slowly(lambda when: air_c(when, 2), times_s, hours=9)
    return slow - 0.5 + LAMP_RISE_K * _warmed(times_s)


def lamps_on(times_s: Floats, *, before_bay: bool) -> Floats:
    """Return the share of the lamps' light on the watched bay: 1 before it, less beside it, 0 off."""
    found = np.zeros(times_s.size)
    for plan in ROUNDS:
        for number, day in enumerate(plan.days):
            full = before_bay and number == min(2, len(plan.days) - 1)
            for first, last in LAMP_HOURS:
                on = (times_s >= moment_s(day, first)) & (times_s < moment_s(day, last))
                found = np.where(on, 1.0 if full else SHARE_BESIDE, found)
    return found


def illuminance_lx(times_s: Floats) -> Floats:
    """Return the light on the watched bay [lx]: lamps at 800 lx, a little day from the lantern."""
    sun = 0.55 + 0.45 * np.sin(tau * (times_s - JANUARY_S - 80 * DAY_S) / YEAR_S)
    height = np.sin(tau * (times_s / DAY_S - 6 / 24))
    day = 60.0 * sun * np.maximum(height, 0.0) * (1 + 0.25 * _weather(times_s, 3))
    return np.maximum(day, 0.0) + 800.0 * lamps_on(times_s, before_bay=True)


def _warmed(times_s: Floats) -> Floats:
    """Return the share of the lamps' heat that has come to the surface by now."""
    steps = np.arange(0.0, 5 * LAMP_TIME_S, 600.0)
    weights = np.exp(-steps / LAMP_TIME_S)
    found = sum(
        weight * lamps_on(times_s - step, before_bay=True)
        for step, weight in zip(steps, weights / weights.sum(), strict=True)
    )
    return np.asarray(found, dtype=np.float64)


def _outdoor_vapour_pa(times_s: Floats) -> Floats:
    return vapour_pressure_pa(outdoor_c(times_s), outdoor_rh_pct(times_s))


def _slowly(of: Course, times_s: Floats, *, hours: int) -> Floats:
    """Return the mean of a course over the hours before each time, taken hour by hour."""
    first_s = np.floor(times_s.min() / HOUR_S) * HOUR_S - hours * HOUR_S
    grid_s = np.arange(first_s, times_s.max() + 2 * HOUR_S, HOUR_S)
    sums = np.concatenate(([0.0], np.cumsum(of(grid_s))))
    means = (sums[hours:] - sums[:-hours]) / hours
    return np.interp(times_s, grid_s[hours - 1 :], means)


def _between(times_s: Floats, first: date, last: date) -> Floats:
    inside = (times_s >= moment_s(first)) & (times_s < moment_s(last, 24.0))
    return inside.astype(np.float64)


def _weather(times_s: Floats, stream: int) -> Floats:
    """Return a course of mean 0 and spread of about 1 that comes and goes over days."""
    rng = np.random.default_rng((WEATHER_SEED, stream))
    days = rng.uniform(1.7, 14.0, 9)
    phases = rng.uniform(0.0, tau, 9)
    heights = np.sqrt(days / days.sum() * 2.0)
    since = (times_s - JANUARY_S) / DAY_S
    waves = heights * np.sin(tau * since[:, None] / days + phases)
    return np.asarray(waves.sum(axis=1), dtype=np.float64)
