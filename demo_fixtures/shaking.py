"""How did the invented wall shake: quarter-hourly peaks, and second by second when it shook hard?

A vibration logger of this sort stores the peak of each quarter of an hour, and above its trigger
the peak of every second instead. Invented demo data; velocities in in/s, times in s since 1970 UTC.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime

import numpy as np
from numpy.typing import NDArray

from demo_fixtures.climate import DAY_S, moment_s
from demo_fixtures.phases import DEMO_PHASES

Floats = NDArray[np.float64]

QUARTER_S = 900.0
TRIGGER_IN_S = 0.045  # no quiet quarter of an hour reaches it
AXES = ("x", "y", "z")  # along the wall, out of the wall, up
TOP, BASE = "V1", "V2"
WORKING_HOURS = (7.5, 16.0)  # UTC, Monday to Friday
QUIET_IN_S, WORKS_IN_S = 0.002, 0.006
LISTED_IN_S = {  # usual peak in a quarter of an hour while a listed activity goes on
    "Scaffold erection": 0.012,
    "Cutting out canopy shoes": 0.013,
    "Lowering canopy steel": 0.009,
    "Breaking out the lantern kerb": 0.016,
    "Setting lantern steel": 0.010,
    "Breaking out the old floor": 0.015,
}


@dataclass(frozen=True)
class Shock:
    """One event above the trigger: when it began, how long it went on, its peak and frequency."""

    instrument: str
    at: datetime
    seconds: int
    peak_in_s: float
    axis: str
    frequency_hz: float
    cause: str

    @property
    def at_s(self) -> float:
        """Return when it began [s since 1970 UTC]."""
        return self.at.timestamp()


def _shock(
    instrument: str, at: str, seconds: int, peak_in_s: float, axis: str, hz: float, cause: str
) -> Shock:
    moment = datetime.fromisoformat(at).replace(tzinfo=UTC)
    return Shock(instrument, moment, seconds, peak_in_s, axis, hz, cause)


SHOCKS = (
    _shock(
        BASE, "2026-03-25 14:20:31", 4, 0.056, "z", 22.0, "Canopy shoe struck off with a sledge"
    ),
    _shock(TOP, "2026-07-16 11:08:12", 5, 0.061, "y", 16.5, "Breaker on the lantern kerb"),
    _shock(TOP, "2026-07-20 15:31:44", 3, 0.057, "y", 15.8, "Breaker on the lantern kerb"),
    _shock(TOP, "2026-07-21 10:42:03", 19, 0.084, "y", 14.2, "Breaker on the lantern kerb"),
    _shock(BASE, "2026-11-05 10:12:26", 4, 0.058, "z", 26.0, "Breaker on the floor slab"),
    _shock(BASE, "2026-11-17 09:15:38", 6, 0.063, "z", 24.5, "Breaker on the floor slab"),
)


@dataclass(frozen=True)
class Shaking:
    """The rows of one logger: peaks of three axes and their vector sum [in/s], frequency [Hz]."""

    times_s: Floats
    peaks_in_s: Floats  # one row per axis
    sum_in_s: Floats
    frequency_hz: Floats


def shaking(instrument: str, *, first_s: float, last_s: float) -> Shaking:
    """Return all rows of a logger between two moments, in order of time."""
    rng = np.random.default_rng((1936, ord(instrument[-1])))
    quiet = _quarters(instrument, np.arange(first_s, last_s, QUARTER_S), rng)
    loud = [_seconds(shock, rng) for shock in SHOCKS if shock.instrument == instrument]
    times = np.concatenate([quiet.times_s, *(one.times_s for one in loud)])
    order = np.argsort(times, kind="stable")
    return Shaking(
        times[order],
        np.concatenate([quiet.peaks_in_s, *(one.peaks_in_s for one in loud)], axis=1)[:, order],
        np.concatenate([quiet.sum_in_s, *(one.sum_in_s for one in loud)])[order],
        np.concatenate([quiet.frequency_hz, *(one.frequency_hz for one in loud)])[order],
    )


def _quarters(instrument: str, times_s: Floats, rng: np.random.Generator) -> Shaking:
    level = _usual_in_s(times_s) * (1.0 if instrument == TOP else 0.8)
    spread = np.exp(rng.normal(0.0, 0.32, (3, times_s.size)))
    weight = np.array([0.6, 1.0, 0.7] if instrument == TOP else [0.6, 0.7, 1.0])[:, None]
    peaks = np.minimum(level * spread * weight, TRIGGER_IN_S - 0.003)
    return _shaking(times_s, peaks, rng.uniform(9.0, 38.0, times_s.size), rng)


def _usual_in_s(times_s: Floats) -> Floats:
    """Return the usual peak of a quarter of an hour: night, working day, listed activity."""
    hour = times_s % DAY_S / 3600.0
    weekday = (np.floor(times_s / DAY_S).astype(int) + 3) % 7  # 1970 began on a Thursday
    at_work = (weekday < 5) & (hour >= WORKING_HOURS[0]) & (hour < WORKING_HOURS[1])
    found = np.full(times_s.size, QUIET_IN_S)
    for phase in DEMO_PHASES:
        found = np.where(at_work & _on(times_s, phase.starts_on, phase.ends_on), WORKS_IN_S, found)
        for activity in phase.activities:
            usual = LISTED_IN_S.get(activity.name, WORKS_IN_S)
            going_on = at_work & _on(times_s, activity.starts_on, activity.ends_on)
            found = np.where(going_on, usual, found)
    return found


def _on(times_s: Floats, first: date, last: date) -> NDArray[np.bool_]:
    return (times_s >= moment_s(first)) & (times_s < moment_s(last, 24.0))


def _seconds(shock: Shock, rng: np.random.Generator) -> Shaking:
    """Return one row per second: three before the event, the event, five after it."""
    offsets = np.arange(-3, shock.seconds + 5)
    going_on = (offsets >= 0) & (offsets < shock.seconds)
    course = np.sin(np.pi * (offsets + 1.0) / (shock.seconds + 1.0))
    least = (TRIGGER_IN_S + 0.006) / shock.peak_in_s
    height = least + (1 - least) * np.clip(course, 0.0, 1.0)
    height[going_on] /= height[going_on].max()
    strongest = np.where(going_on, shock.peak_in_s * height, 0.3 * TRIGGER_IN_S)
    weight = np.array([1.0 if axis == shock.axis else 0.5 for axis in AXES])[:, None]
    frequency = shock.frequency_hz + np.where(going_on, 0.0, rng.uniform(-1, 1, offsets.size))
    times = np.asarray(shock.at_s + offsets, dtype=np.float64)
    return _shaking(times, strongest * weight, frequency, rng)


def _shaking(
    times_s: Floats, peaks_in_s: Floats, frequency_hz: Floats, rng: np.random.Generator
) -> Shaking:
    """Return rows with a vector sum between the strongest axis and the sum of the three peaks."""
    rounded = np.round(peaks_in_s, 4)
    largest, most = rounded.max(axis=0), np.sqrt((rounded**2).sum(axis=0))
    total = largest + rng.uniform(0.3, 0.9, times_s.size) * (most - largest)
    return Shaking(times_s, rounded, np.round(total, 4), np.round(frequency_hz, 1))
