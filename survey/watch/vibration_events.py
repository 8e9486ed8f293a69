"""Which vibration events does a logger's record hold, axis by axis, and how near to which limit?

From peaks per interval, as a logger stores them, with a frequency beside each. An event begins when
any axis reaches amber and ends when all stay below for a second. The vector sum stands apart.
No cumulative dose is computed: none has an accepted meaning for damage. mm/s, s UTC, Hz.
No Django, no I/O.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from gridmap.errors import InvalidInput
from survey.watch.alarms import Episode, Level, Thresholds, find_exceedances
from survey.watch.quantities import shown
from survey.watch.spans import MOST_MISSED, Floats, Span, seconds_of
from survey.watch.vibration import QUIET_S, ratio_to_limit
from survey.watch.vibration_limits import LimitCurve


@dataclass(frozen=True)
class Shaken:
    """What a logger stored: peaks of each axis, and frequency and vector sum if it does."""

    times_s: Floats
    axes: Mapping[str, Floats]
    interval_s: float
    frequency_hz: Floats | None = None
    sum_mm_s: Floats | None = None

    @property
    def strongest_mm_s(self) -> Floats:
        """The largest of the axes at each time [mm/s]; NaN where none was heard."""
        if not self.axes:
            raise InvalidInput("The logger has no axis of particle velocity.", field="channels")
        return np.fmax.reduce([np.abs(values) for values in self.axes.values()])


@dataclass(frozen=True)
class ShakeEvent:
    """One event: its time, each axis' peak, and what was read at the strongest moment."""

    level: Level
    start_s: float
    duration_s: float  # at least the interval for which its first reading stands
    peaks_mm_s: Mapping[str, float]
    governing: str  # the axis with the largest peak
    peak_at_s: float
    frequency_hz: float | None
    sum_mm_s: float | None
    ended: str

    @property
    def peak_mm_s(self) -> float:
        """The largest peak of all axes [mm/s]."""
        return self.peaks_mm_s[self.governing]


@dataclass(frozen=True)
class ShakeCount:
    """The events above amber, their time in all, and how both were counted."""

    events: tuple[ShakeEvent, ...]
    exposure_s: float
    unknown: tuple[Span, ...]
    statement: str


@dataclass(frozen=True)
class CurveRatio:
    """An event held against one published curve, at the event's own frequency."""

    curve: LimitCurve
    limit_mm_s: float
    ratio: float


def events_of(
    shaken: Shaken, *, amber_mm_s: float, red_mm_s: float | None, watched: Span | None = None
) -> ShakeCount:
    """Return the events at or above amber and the time that they lasted."""
    findings = find_exceedances(
        shaken.times_s,
        shaken.strongest_mm_s,
        Thresholds(amber=amber_mm_s, red=red_mm_s),
        interval_s=shaken.interval_s,
        most_missed=MOST_MISSED,
        hold_s=QUIET_S,
        watched=watched,
    )
    events = tuple(_event(shaken, episode) for episode in findings.episodes)
    total_s = sum(event.duration_s for event in events)
    said = shown(amber_mm_s, "particle-velocity")
    statement = (
        f"{len(events)} event{'' if len(events) == 1 else 's'}, {total_s:.0f} s in all, at or "
        f"above {said} on any axis. An event ends {QUIET_S:g} s after the last reading of that "
        "height and counts for no less than its first reading's interval. Unknown: "
        f"{seconds_of(findings.unknown) / 3600:.1f} h without readings. No cumulative dose is "
        "computed: none has an accepted meaning for damage."
    )
    return ShakeCount(events, total_s, findings.unknown, statement)


def peak_of_each_axis(shaken: Shaken) -> dict[str, tuple[float, float, float | None]]:
    """Return for each axis its largest peak [mm/s], when [s UTC], and the frequency stored [Hz]."""
    found = {}
    for axis, values in shaken.axes.items():
        if values.size == 0 or np.isnan(values).all():
            continue
        at = int(np.nanargmax(np.abs(values)))
        found[axis] = (
            float(abs(values[at])),
            float(shaken.times_s[at]),
            _at(shaken.frequency_hz, at),
        )
    return found


def against(event: ShakeEvent, curves: Sequence[LimitCurve]) -> tuple[CurveRatio, ...]:
    """Hold an event against published curves; the strictest value where no frequency was stored.

    A curve of the vector sum takes the stored sum, and is left out where there is none.
    """
    frequency = np.nan if event.frequency_hz is None else event.frequency_hz
    found = []
    for curve in curves:
        peak = event.sum_mm_s if curve.compared == "vector sum" else event.peak_mm_s
        if peak is not None:
            ratio = float(ratio_to_limit(peak, frequency, curve=curve))
            found.append(CurveRatio(curve, float(curve.at(frequency)), ratio))
    return tuple(found)


def _event(shaken: Shaken, episode: Episode) -> ShakeEvent:
    times = shaken.times_s
    last_s = episode.end_s if episode.ended != "back" else np.nextafter(episode.end_s, 0)
    inside = np.flatnonzero((times >= episode.start_s) & (times <= last_s))
    peaks = {
        axis: float(np.nanmax(np.abs(values[inside])))
        for axis, values in shaken.axes.items()
        if not np.isnan(values[inside]).all()
    }
    at = int(inside[np.nanargmax(shaken.strongest_mm_s[inside])])
    first = int(inside[0])
    step_s = times[first] - times[first - 1] if first else shaken.interval_s
    return ShakeEvent(
        level=episode.level,
        start_s=episode.start_s,
        duration_s=max(episode.duration_s, min(step_s, shaken.interval_s)),
        peaks_mm_s=peaks,
        governing=max(peaks, key=lambda axis: peaks[axis]),
        peak_at_s=float(times[at]),
        frequency_hz=_at(shaken.frequency_hz, at),
        sum_mm_s=None if shaken.sum_mm_s is None else float(np.nanmax(shaken.sum_mm_s[inside])),
        ended=episode.ended,
    )


def _at(values: Floats | None, index: int) -> float | None:
    if values is None or np.isnan(values[index]):
        return None
    return float(values[index])
