"""How strong was a vibration on each axis, at which frequency, and how near to its limit?

Peak particle velocity per axis with its dominant frequency, the ratio of peak to limit at that
frequency, the worst axis governing; the vector sum stands apart and is not held against limits of
components. Events and exposure time are counted; a cumulative dose is not computed, because none
has an accepted meaning for damage. Velocities in mm/s, times in s. No Django, no I/O.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.alarms import Episode, Thresholds, find_exceedances
from survey.watch.spans import (
    MOST_MISSED,
    Floats,
    Span,
    positive,
    seconds_of,
    series,
    within,
)
from survey.watch.vibration_limits import LimitCurve

AXES: Final = ("x", "y", "z")
QUIET_S: Final = 1.0  # an event ends when amber is not reached for so long (project choice, said)
STRONGEST_MM_S: Final = 1000.0  # beyond the range of any building's geophone


@dataclass(frozen=True)
class AxisPeak:
    """The peak of one axis; `frequency_hz` is None where its half cycle is not whole."""

    axis: str
    peak_mm_s: float
    at_s: float
    frequency_hz: float | None
    limit_mm_s: float
    ratio: float


@dataclass(frozen=True)
class Judgement:
    """A record held against one limit; `governing` is the axis with the largest ratio.

    With a limit of the vector sum, `ratio` is that of the sum at the frequency of the strongest
    axis; else that of the governing axis.
    """

    axes: tuple[AxisPeak, ...]
    governing: AxisPeak
    vector_sum_mm_s: float
    vector_sum_at_s: float
    ratio: float
    curve: LimitCurve


@dataclass(frozen=True)
class Exposure:
    """How often and for how long a limit was reached; `statement` says how both were counted."""

    events: tuple[Episode, ...]
    exposure_s: float
    longest_s: float
    unknown: tuple[Span, ...]
    statement: str


def without_offset(velocity_mm_s: ArrayLike) -> Floats:
    """Return a record with its mean taken off; a sensor's offset would shift zero crossings."""
    held = _record(velocity_mm_s)
    return held - held.mean()


def peak_index(velocity_mm_s: Floats) -> int:
    """Return the place of the largest absolute velocity."""
    return int(np.argmax(np.abs(velocity_mm_s)))


def dominant_frequency_hz(velocity_mm_s: ArrayLike, *, rate_hz: float) -> float | None:
    """Return 1/(2Δt), Δt being the half cycle that holds the peak, between its zero crossings.

    The crossings are interpolated between readings (principle: DIN 4150-3 and vendors' practice;
    formula from memory). None if the record begins or ends within that half cycle, or if it has
    fewer than two readings, so that no frequency may be read off it. The record must be free of
    offset.
    """
    held = _record(velocity_mm_s)
    positive(rate_hz, name="rate", unit="Hz")
    peak = peak_index(held)
    if held[peak] == 0:
        return None
    same_side = np.sign(held) == np.sign(held[peak])
    other = np.flatnonzero(~same_side)
    after = other[np.searchsorted(other, peak) :]
    before = other[: np.searchsorted(other, peak)]
    if not before.size or not after.size or after[0] - before[-1] < 3:
        return None
    began = _crossing(held, int(before[-1]))
    ended = _crossing(held, int(after[0]) - 1)
    return float(rate_hz / (2.0 * (ended - began)))


def _crossing(held: Floats, index: int) -> float:
    """Return where, in readings, the line from one reading to the next crosses zero."""
    here, there = held[index], held[index + 1]
    return index + float(here / (here - there))


def judge(
    velocity_mm_s: ArrayLike, *, rate_hz: float, curve: LimitCurve, start_s: float = 0.0
) -> Judgement:
    """Hold a three-axis record against a limit (array of three rows: x, y, z; mm/s, no offset).

    Where no frequency can be read off, the strictest value of the limit is used.
    """
    held = within(
        velocity_mm_s,
        name="velocity",
        unit="mm/s",
        least=-STRONGEST_MM_S,
        most=STRONGEST_MM_S,
        advice="Has the sensor's range been mistaken for another unit?",
    )
    if held.ndim != 2 or held.shape[0] != 3:
        raise InvalidInput("velocity must have three rows, one for each axis.", field="velocity")
    axes = tuple(
        _axis_peak(held[row], axis=axis, rate_hz=rate_hz, curve=curve, start_s=start_s)
        for row, axis in enumerate(AXES)
    )
    sums = np.sqrt((held**2).sum(axis=0))
    at = int(np.argmax(sums))
    governing = max(axes, key=lambda one: one.ratio)
    strongest = max(axes, key=lambda one: one.peak_mm_s)
    of_sum = float(sums[at]) / strongest.limit_mm_s
    return Judgement(
        axes=axes,
        governing=governing,
        vector_sum_mm_s=float(sums[at]),
        vector_sum_at_s=start_s + at / rate_hz,
        ratio=governing.ratio if curve.compared == "component" else of_sum,
        curve=curve,
    )


def _axis_peak(
    velocity: Floats, *, axis: str, rate_hz: float, curve: LimitCurve, start_s: float
) -> AxisPeak:
    frequency = dominant_frequency_hz(velocity, rate_hz=rate_hz)
    at = peak_index(velocity)
    peak = float(abs(velocity[at]))
    limit = float(curve.at(np.nan if frequency is None else frequency))
    return AxisPeak(
        axis=axis,
        peak_mm_s=peak,
        at_s=start_s + at / rate_hz,
        frequency_hz=frequency,
        limit_mm_s=limit,
        ratio=peak / limit,
    )


def ratio_to_limit(peak_mm_s: ArrayLike, frequency_hz: ArrayLike, *, curve: LimitCurve) -> Floats:
    """Return peak over limit for a logger's own peaks and frequencies (NaN: frequency unknown)."""
    peaks = within(peak_mm_s, name="peak", unit="mm/s", least=0.0, most=STRONGEST_MM_S)
    return peaks / curve.at(frequency_hz)


def exposure(
    times_s: ArrayLike,
    velocity_mm_s: ArrayLike,
    *,
    amber_mm_s: float,
    interval_s: float,
    red_mm_s: float | None = None,
    most_missed: float = MOST_MISSED,
    quiet_s: float = QUIET_S,
    watched: Span | None = None,
) -> Exposure:
    """Return events and exposure time of one axis (waveform or peaks per interval, mm/s).

    An event begins when |velocity| reaches amber and ends when it stays below for `quiet_s`.
    Exposure is the sum of the events' durations; each is at least one interval long, because a
    single reading stands for its interval. Silences are unknown and no part of it.
    """
    times, held = series(times_s, velocity_mm_s, name="velocity")
    findings = find_exceedances(
        times,
        np.abs(held),
        Thresholds(amber=positive(amber_mm_s, name="amber", unit="mm/s"), red=red_mm_s),
        interval_s=interval_s,
        most_missed=most_missed,
        hold_s=quiet_s,
        watched=watched,
    )
    lengths = [max(event.duration_s, interval_s) for event in findings.episodes]
    count, total = len(lengths), float(sum(lengths))
    unknown_s = seconds_of(findings.unknown)
    statement = (
        f"{count} event{'' if count == 1 else 's'}, {total:.1f} s in all, at or above "
        f"{amber_mm_s:g} mm/s; an event ends {quiet_s:g} s after the last reading of that height. "
        f"Unknown: {unknown_s:.0f} s without readings. No cumulative dose is computed: none has "
        "an accepted meaning for damage."
    )
    return Exposure(
        findings.episodes, total, max(lengths, default=0.0), findings.unknown, statement
    )


def _record(velocity_mm_s: ArrayLike) -> Floats:
    held = within(
        velocity_mm_s,
        name="velocity",
        unit="mm/s",
        least=-STRONGEST_MM_S,
        most=STRONGEST_MM_S,
    )
    if held.ndim != 1 or held.size < 2 or np.isnan(held).any():
        raise InvalidInput(
            "velocity must be one row of two readings or more, none missing.", field="velocity"
        )
    return held
