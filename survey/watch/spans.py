"""Where does a series of readings say something, and where is it silent?

Every computation of the watch asks here first. Times are float64 seconds since 1970-01-01 UTC; a
reading that is missing is NaN. A silence longer than agreed is *unknown*: nothing may be computed
across it and nothing in it may be called safe. Nothing is filled in. No Django, no I/O.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gridmap.errors import InvalidInput

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

HOUR_S: Final = 3600.0
DAY_S: Final = 24 * HOUR_S
YEAR_S: Final = 365.25 * DAY_S  # Julian year
MOST_MISSED: Final = 2.5  # intervals; one lost reading is bridged, two are not (project choice)


@dataclass(frozen=True)
class Span:
    """A stretch of time [s UTC]."""

    start_s: float
    end_s: float

    @property
    def duration_s(self) -> float:
        """How long it is [s]."""
        return self.end_s - self.start_s


def numbers(values: ArrayLike, *, name: str) -> Floats:
    """Return values as float64; None and text that is no number are refused."""
    try:
        found = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise InvalidInput(f"{name} must be numbers, with NaN for a missing one.") from error
    if np.isinf(found).any():
        raise InvalidInput(f"{name}: an infinite value is no reading.", field=name)
    return found


def within(
    values: ArrayLike, *, name: str, unit: str, least: float, most: float, advice: str = ""
) -> Floats:
    """Return values as float64 if all that are not missing lie within least and most.

    Raises InvalidInput naming the first value beyond and the limits.
    """
    found = numbers(values, name=name)
    wrong = (found < least) | (found > most)
    if wrong.any():
        index = int(np.flatnonzero(wrong)[0])
        where = f" (reading {index + 1})" if found.size > 1 else ""
        message = (
            f"{name}: {found.flat[index]:g} {unit}{where} is outside {least:g} to {most:g} {unit}."
        )
        raise InvalidInput(f"{message} {advice}".rstrip(), field=name)
    return found


def positive(value: float, *, name: str, unit: str) -> float:
    """Return a number that must be above 0 and finite."""
    if not (np.isfinite(value) and value > 0):
        raise InvalidInput(f"{name}: {value} {unit} must be above 0 {unit}.", field=name)
    return float(value)


def series(times_s: ArrayLike, values: ArrayLike, *, name: str = "values") -> tuple[Floats, Floats]:
    """Return times [s UTC] and values as float64, one value per time, times strictly rising.

    Raises InvalidInput naming the first time that does not follow its forerunner.
    """
    times, found = numbers(times_s, name="times"), numbers(values, name=name)
    if times.ndim != 1 or times.shape != found.shape:
        raise InvalidInput(
            f"{name}: {found.size} readings for {times.size} times; there must be one for each.",
            field=name,
        )
    if np.isnan(times).any():
        raise InvalidInput("times: a reading without a time cannot be placed.", field="times")
    back = np.flatnonzero(np.diff(times) <= 0)
    if back.size:
        raise InvalidInput(
            f"times: reading {int(back[0]) + 2} is not later than the one before it. Sort the "
            "readings and settle doubled ones first.",
            field="times",
        )
    return times, found


def heard(times_s: ArrayLike, values: ArrayLike, *, name: str = "values") -> tuple[Floats, Floats]:
    """Return a checked series without its missing readings."""
    times, found = series(times_s, values, name=name)
    there = ~np.isnan(found)
    return times[there], found[there]


def usual_interval_s(times_s: ArrayLike) -> float:
    """Return the median distance of two readings [s]; refused with fewer than two."""
    times = numbers(times_s, name="times")
    if times.size < 2:
        raise InvalidInput(
            f"times: {times.size} readings show no interval; two or more do.", field="times"
        )
    return float(np.median(np.diff(times)))


def unknown_spans(
    times_s: ArrayLike,
    values: ArrayLike,
    *,
    interval_s: float,
    most_missed: float = MOST_MISSED,
    watched: Span | None = None,
) -> tuple[Span, ...]:
    """Return the stretches in which nothing was heard for longer than most_missed intervals.

    A missing value (NaN) is no reading. `watched` is the time that had to be watched: silence
    from its start to the first reading and from the last to its end counts too. Each span runs
    from the last reading before the silence to the first after it.
    """
    longest_s = positive(interval_s, name="interval", unit="s") * positive(
        most_missed, name="most_missed", unit="intervals"
    )
    times, _ = heard(times_s, values)
    if watched is not None:
        times = times[(times >= watched.start_s) & (times <= watched.end_s)]
        times = np.concatenate(([watched.start_s], times, [watched.end_s]))
    gaps = np.flatnonzero(np.diff(times) > longest_s)
    return tuple(Span(float(times[i]), float(times[i + 1])) for i in gaps)


def seconds_of(spans: tuple[Span, ...]) -> float:
    """Return the sum of spans that do not overlap [s]."""
    return float(sum(span.duration_s for span in spans))


def piece_numbers(times_s: Floats, unknown: tuple[Span, ...]) -> Indices:
    """Return for each time the number of the unbroken piece in which it lies.

    The reading at a span's start belongs to the piece before it, that at its end to the next.
    """
    starts = np.sort(np.array([span.start_s for span in unknown], dtype=np.float64))
    return np.searchsorted(starts, times_s, side="left").astype(np.intp)


def first_of_each(
    times_s: ArrayLike, values: ArrayLike, *, every_s: float
) -> tuple[Floats, Floats]:
    """Return the first reading heard in each stretch of every_s seconds (counted from 1970).

    This is what a logger set to the longer interval would have stored. Its silences must be
    taken from the full series too, or thinning would hide them.
    """
    positive(every_s, name="every", unit="s")
    times, found = heard(times_s, values)
    _, first = np.unique(np.floor(times / every_s), return_index=True)
    return times[first], found[first]


def range_within(times_s: Floats, values: Floats, *, window_s: float) -> Floats:
    """Return largest less smallest value of the window that ends at each reading, both ends in.

    For readings that are all there and in order. A window with a silence in it gives a lower
    bound: what happened in the silence can only have widened the range.
    """
    positive(window_s, name="window", unit="s")
    if times_s.size == 0:
        return np.zeros(0)
    first = np.searchsorted(times_s, times_s - window_s, side="left")
    last = np.arange(times_s.size)
    return _extreme(values, first, last) + _extreme(-values, first, last)


def _extreme(values: Floats, first: Indices, last: Indices) -> Floats:
    """Return the largest of values[first..last] for each pair, by doubling."""
    level = np.floor(np.log2(last - first + 1)).astype(int)
    largest, found = values.copy(), np.empty(first.size)
    for step in range(int(level.max()) + 1):
        chosen = level == step
        left, right = first[chosen], last[chosen] - (1 << step) + 1
        found[chosen] = np.maximum(largest[left], largest[right])
        width = 1 << step
        if width < largest.size:
            largest = np.maximum(largest[:-width], largest[width:])
    return found
