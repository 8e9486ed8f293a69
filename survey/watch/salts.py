"""How often did the air carry a salt through its deliquescence humidity?

Deliquescence by Greenspan's polynomials; sulfate as a range, because sources differ by several
percent. A count is never given without its interval, threshold, hysteresis and dwell, and is
repeated on thinned data to show whether it hangs on the logging interval. It is the air at the
sensor that is counted: salts in the wall come in mixtures and answer to the humidity in the pores.
Only once salts are identified does a count mean anything. No Django, no I/O.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.psychrometrics import WETTEST_RH_PCT
from survey.watch.spans import (
    MOST_MISSED,
    Floats,
    Indices,
    Span,
    first_of_each,
    heard,
    piece_numbers,
    positive,
    seconds_of,
    series,
    unknown_spans,
    within,
)

GREENSPAN: Final = "L. Greenspan, J. Res. Natl. Bur. Stand. 81A (1977) 89"
# RH [%] = Σ aᵢ tⁱ, t in °C.  # source: GREENSPAN, as transcribed in secondary texts
_POLYNOMIALS: Final[dict[str, tuple[float, ...]]] = {
    "NaCl": (75.5164, 0.0398321, -2.65459e-3, 2.848e-5),
    "MgCl2": (33.6686, -0.00797397, -1.08988e-3),
    "Mg(NO3)2": (60.3514, -0.298153),
    "KNO3": (96.3361, 0.0112371, -4.84514e-3),
    "K2SO4": (98.7792, -0.0590502),
    "KCl": (88.6190, -0.193340, 8.99706e-4),
}
SALTS: Final = tuple(_POLYNOMIALS)
COLDEST_C, HOTTEST_C = 0.0, 50.0  # common to all six; Greenspan's own ranges are wider or equal
SULFATE: Final = "Na2SO4"
# Sodium sulfate at 20 °C [% RH]: metastable phase III, thenardite, mirabilite.
# source: salt reference pages that cite Steiger & Asmussen, Geochim. Cosmochim. Acta 72 (2008) 4291
SULFATE_RANGE_RH_PCT: Final = (82.9, 95.6)
# Sodium chloride begins to take up water here in a common mixture.
# source: Godts et al., Heritage Science 9 (2021), abstract
NACL_IN_MIXTURE_RH_PCT: Final = 65.5
LONGEST_INTERVAL_S: Final = 1800.0  # dissolution takes about 30 min; Godts et al. 2021
HYSTERESIS_RH_PCT: Final = 2.0  # about a sensor's error; no source fixes it (project choice)
HOLDS_WITHIN: Final = 0.1  # a thinned count may differ by a tenth, or by one (project choice)


def deliquescence_rh_pct(salt: str, temperature_c: ArrayLike) -> Floats:
    """Return the humidity [%] over a salt's saturated solution (Greenspan 1977, 0 to 50 °C).

    >>> round(float(deliquescence_rh_pct("NaCl", 20.0)), 2)
    75.48
    """
    if salt not in _POLYNOMIALS:
        raise InvalidInput(
            f"{salt!r} is not among the salts with a formula here ({', '.join(SALTS)}).",
            field="salt",
        )
    held = within(
        temperature_c,
        name="temperature",
        unit="°C",
        least=COLDEST_C,
        most=HOTTEST_C,
        advice="Is it in °F?",
    )
    found = np.zeros_like(held)
    for factor in reversed(_POLYNOMIALS[salt]):
        found = found * held + factor
    return found


@dataclass(frozen=True)
class Passage:
    """What counts as wet and as dry, and how long each must last to count.

    A cycle is one drying after one wetting: wet is a humidity at or above `wet_rh_pct`, dry one
    below `dry_rh_pct`; between the two nothing changes. A stay counts when its first and last
    reading beyond the border lie at least `dwell_s` apart.
    """

    wet_rh_pct: float | Floats
    dry_rh_pct: float | Floats
    dwell_s: float = 0.0

    def __post_init__(self) -> None:
        if not self.dwell_s >= 0:
            raise InvalidInput(f"dwell: {self.dwell_s} s must be 0 s or more.", field="dwell")
        if np.any(np.asarray(self.dry_rh_pct) > np.asarray(self.wet_rh_pct)):
            raise InvalidInput(
                "The humidity that counts as dry must not be above that which counts as wet.",
                field="dry",
            )

    @property
    def in_words(self) -> str:
        """Threshold and hysteresis as a count states them."""
        wet, dry = np.asarray(self.wet_rh_pct), np.asarray(self.dry_rh_pct)
        if wet.ndim or dry.ndim:
            return (
                f"the salt's threshold at each temperature, ±{np.nanmean(wet - dry) / 2:.1f} % RH"
            )
        if float(wet) == float(dry):
            return f"{float(wet):.1f} % RH without hysteresis"
        return f"wet from {float(wet):.1f}, dry below {float(dry):.1f} % RH"


def passage_of(threshold_rh_pct: ArrayLike, *, hysteresis_rh_pct: float, dwell_s: float) -> Passage:
    """Return a passage of a threshold with the same hysteresis above and below it."""
    half = within(hysteresis_rh_pct, name="hysteresis", unit="% RH", least=0.0, most=20.0)
    middle = within(threshold_rh_pct, name="threshold", unit="% RH", least=1.0, most=WETTEST_RH_PCT)
    wet, dry = middle + half, middle - half
    if middle.ndim == 0:
        return Passage(float(wet), float(dry), dwell_s)
    return Passage(wet, dry, dwell_s)


@dataclass(frozen=True)
class CycleCount:
    """How many cycles a series shows, and by which rules."""

    cycles: int
    interval_s: float
    passage: Passage
    watched_s: float
    unknown: tuple[Span, ...]

    @property
    def unknown_s(self) -> float:
        """How long nothing was known [s]; cycles in it are not counted."""
        return seconds_of(self.unknown)

    @property
    def statement(self) -> str:
        """The count with everything that it hangs on."""
        share = self.unknown_s / self.watched_s if self.watched_s else 1.0
        said = (
            f"{self.cycles} cycle{'' if self.cycles == 1 else 's'} ({self.passage.in_words}, dwell "
            f"{self.passage.dwell_s / 60:g} min, a reading every {self.interval_s / 60:g} min); "
            f"{share:.1%} of the time is unknown and not counted."
        )
        if self.interval_s > LONGEST_INTERVAL_S:
            said += " Readings are more than 30 min apart: cycles may have been missed."
        return said


def count_cycles(
    times_s: ArrayLike,
    humidity_rh_pct: ArrayLike,
    passage: Passage,
    *,
    interval_s: float,
    most_missed: float = MOST_MISSED,
    known_unknown: tuple[Span, ...] = (),
) -> CycleCount:
    """Count wet-to-dry cycles of a series (times s UTC; % RH; NaN = missing).

    No cycle is counted across a silence. `known_unknown` are silences known from elsewhere: those
    of the full series, when this one is thinned. A threshold that varies has one value per time.
    """
    times, humidity = series(times_s, humidity_rh_pct, name="humidity")
    within(humidity, name="humidity", unit="% RH", least=0.0, most=WETTEST_RH_PCT)
    own = unknown_spans(times, humidity, interval_s=interval_s, most_missed=most_missed)
    unknown = _joined(own + known_unknown)
    wet, dry = (_one_each(border, times) for border in (passage.wet_rh_pct, passage.dry_rh_pct))
    there = ~(np.isnan(humidity) | np.isnan(wet) | np.isnan(dry))
    times, humidity, wet, dry = times[there], humidity[there], wet[there], dry[there]
    state = np.where(humidity >= wet, 1, np.where(humidity < dry, -1, 0))
    return CycleCount(
        cycles=_dryings(times, state, piece_numbers(times, unknown), passage.dwell_s),
        interval_s=interval_s,
        passage=passage,
        watched_s=float(times[-1] - times[0]) if times.size else 0.0,
        unknown=unknown,
    )


def _dryings(times: Floats, state: Indices, pieces: Indices, dwell_s: float) -> int:
    """Return how often a counted stay in the dry follows a counted stay in the wet."""
    if times.size == 0:
        return 0
    cuts = np.flatnonzero((np.diff(state) != 0) | (np.diff(pieces) != 0))
    first = np.concatenate(([0], cuts + 1))
    last = np.concatenate((cuts, [times.size - 1]))
    counted = (state[first] != 0) & (times[last] - times[first] >= dwell_s)
    stays, where = state[first][counted], pieces[first][counted]
    return int(((stays[:-1] == 1) & (stays[1:] == -1) & (where[:-1] == where[1:])).sum())


def _one_each(border: float | Floats, times: Floats) -> Floats:
    held = np.asarray(border, np.float64)
    if held.ndim and held.shape != times.shape:
        raise InvalidInput(
            f"threshold: {held.size} values for {times.size} readings; there must be one for each.",
            field="threshold",
        )
    return np.broadcast_to(held, times.shape)


def _joined(spans: tuple[Span, ...]) -> tuple[Span, ...]:
    found: list[Span] = []
    for span in sorted(spans, key=lambda one: (one.start_s, one.end_s)):
        if found and span.start_s < found[-1].end_s:
            found[-1] = Span(found[-1].start_s, max(found[-1].end_s, span.end_s))
        else:
            found.append(span)
    return tuple(found)


@dataclass(frozen=True)
class Sensitivity:
    """A count and what is left of it when fewer readings are taken."""

    full: CycleCount
    thinned: tuple[CycleCount, ...]

    @property
    def holds(self) -> bool:
        """Whether every thinned count differs by at most a tenth, or by one cycle."""
        allowed = max(1.0, HOLDS_WITHIN * self.full.cycles)
        return all(abs(one.cycles - self.full.cycles) <= allowed for one in self.thinned)

    @property
    def statement(self) -> str:
        """Whether the count holds, with the counts that say so."""
        counts = ", ".join(
            f"{one.cycles} at one reading in {one.interval_s / 60:g} min" for one in self.thinned
        )
        verdict = (
            "the count holds within a tenth or one cycle"
            if self.holds
            else "the count hangs on the logging interval; compare it only with counts taken alike"
        )
        return f"{self.full.statement} Thinned: {counts}: {verdict}."


def count_with_thinning(
    times_s: ArrayLike,
    humidity_rh_pct: ArrayLike,
    passage: Passage,
    *,
    interval_s: float,
    thinned_to_s: Sequence[float],
    most_missed: float = MOST_MISSED,
) -> Sensitivity:
    """Count cycles in full and as loggers set to longer intervals would have shown them.

    Silences of the full series stay silences of the thinned ones.
    """
    full = count_cycles(
        times_s, humidity_rh_pct, passage, interval_s=interval_s, most_missed=most_missed
    )
    every = [positive(every_s, name="thinned to", unit="s") for every_s in thinned_to_s]
    if not every or min(every) <= interval_s:
        raise InvalidInput(
            f"thinned to: choose intervals longer than the series' own {interval_s:g} s.",
            field="thinned_to",
        )
    times, humidity = heard(times_s, humidity_rh_pct, name="humidity")
    counts = []
    for every_s in every:
        kept, values = first_of_each(times, humidity, every_s=every_s)
        at = np.searchsorted(np.asarray(times_s, np.float64), kept)
        counts.append(
            count_cycles(
                kept,
                values,
                _at_indices(passage, at),
                interval_s=every_s,
                most_missed=most_missed,
                known_unknown=full.unknown,
            )
        )
    return Sensitivity(full, tuple(counts))


def _at_indices(passage: Passage, at: Indices) -> Passage:
    wet, dry = np.asarray(passage.wet_rh_pct), np.asarray(passage.dry_rh_pct)
    if not (wet.ndim or dry.ndim):
        return passage
    size = max(wet.size, dry.size)
    return Passage(np.broadcast_to(wet, size)[at], np.broadcast_to(dry, size)[at], passage.dwell_s)


def hours_between(
    times_s: ArrayLike,
    humidity_rh_pct: ArrayLike,
    *,
    low_rh_pct: float,
    high_rh_pct: float,
    interval_s: float,
    most_missed: float = MOST_MISSED,
) -> float:
    """Return the hours [h] at or above low and below high; each reading stands until the next.

    Silences are not counted, neither in nor out.
    """
    times, humidity = heard(times_s, humidity_rh_pct, name="humidity")
    step = np.diff(times)
    known = step <= interval_s * most_missed
    inside = (humidity[:-1] >= low_rh_pct) & (humidity[:-1] < high_rh_pct)
    return float(step[known & inside].sum() / 3600.0)
