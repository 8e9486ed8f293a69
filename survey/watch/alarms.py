"""When did a series stand at or beyond its agreed limit, and when was nothing known?

The instrument's own siren is the alarm; this is its log. A reading at the limit counts as beyond.
What happened in a silence is unknown: an exceedance that runs into one is left open there, and no
stretch without readings is ever within the limit. No Django, no I/O.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gridmap.errors import InvalidInput
from survey.watch.spans import (
    MOST_MISSED,
    Floats,
    Indices,
    Span,
    heard,
    piece_numbers,
    positive,
    range_within,
    unknown_spans,
)

Level = Literal["amber", "red"]
Side = Literal["above", "below"]
# How an exceedance ended: a reading within the limit, a silence, or the series' own end.
End = Literal["back", "unknown", "last reading"]
SIDES: Final = ("above", "below")


@dataclass(frozen=True)
class Thresholds:
    """Amber and red of one quantity in its own unit; either may be None, not both.

    `above`: large readings are beyond (vibration). `below`: small ones are (condensation margin).
    """

    amber: float | None
    red: float | None
    side: Side = "above"

    def __post_init__(self) -> None:
        if self.side not in SIDES:
            raise InvalidInput(f"side is {self.side!r}; it must be above or below.", field="side")
        if self.amber is None and self.red is None:
            raise InvalidInput("A limit needs an amber or a red value.", field="amber")
        for name, value in (("amber", self.amber), ("red", self.red)):
            if value is not None and not np.isfinite(value):
                raise InvalidInput(f"{name}: {value} is no limit.", field=name)
        if self.amber is not None and self.red is not None:
            wrong = self.red < self.amber if self.side == "above" else self.red > self.amber
            if wrong:
                raise InvalidInput(
                    f"red: {self.red:g} is reached before amber ({self.amber:g}); with readings "
                    f"{self.side} the limit, amber comes first.",
                    field="red",
                )

    @property
    def first(self) -> float:
        """The limit that is reached first."""
        return self.amber if self.amber is not None else float(self.red or 0.0)

    def beyond(self, values: Floats, limit: float | None) -> NDArray[np.bool_]:
        """Return where values are at or beyond a limit; nowhere if there is none."""
        if limit is None:
            return np.zeros(values.shape, bool)
        return values >= limit if self.side == "above" else values <= limit


@dataclass(frozen=True)
class Episode:
    """One stretch at or beyond the limit.

    `end_s` is the first reading back within the limit, or the last beyond it where a silence or
    the series' end follows (`ended`); then it lasted at least so long. `follows_unknown`: it
    began in or right after a silence, so that it may be older than `start_s`.
    """

    level: Level
    start_s: float
    end_s: float
    peak: float
    peak_at_s: float
    red_s: float | None  # first reading at or beyond red
    readings: int  # at or beyond the limit
    ended: End
    follows_unknown: bool

    @property
    def duration_s(self) -> float:
        """From start to end [s]; the least that it lasted unless it ended in sight."""
        return self.end_s - self.start_s


@dataclass(frozen=True)
class Findings:
    """Exceedances of a series and its silences, both in order of time."""

    episodes: tuple[Episode, ...]
    unknown: tuple[Span, ...]


def find_exceedances(
    times_s: ArrayLike,
    values: ArrayLike,
    thresholds: Thresholds,
    *,
    interval_s: float,
    most_missed: float = MOST_MISSED,
    hold_s: float = 0.0,
    watched: Span | None = None,
) -> Findings:
    """Return the exceedances and silences of a series (times s UTC; NaN = missing).

    An exceedance ends when the readings stay within the limit for `hold_s` seconds (0: at the
    first reading within). A silence ends it too, without an end in sight.
    """
    if not hold_s >= 0:
        raise InvalidInput(f"hold: {hold_s} s must be 0 s or more.", field="hold_s")
    unknown = unknown_spans(
        times_s, values, interval_s=interval_s, most_missed=most_missed, watched=watched
    )
    times, found = heard(times_s, values)
    if watched is not None:
        inside = (times >= watched.start_s) & (times <= watched.end_s)
        times, found = times[inside], found[inside]
    firsts, lasts = _runs(times, thresholds.beyond(found, thresholds.first), unknown, hold_s=hold_s)
    falls_silent = frozenset(span.start_s for span in unknown)
    heard_again = frozenset(span.end_s for span in unknown)
    episodes = tuple(
        _episode(
            times,
            found,
            thresholds,
            first=first,
            last=last,
            silent_after=float(times[last]) in falls_silent,
            follows_unknown=float(times[first]) in heard_again,
        )
        for first, last in zip(firsts.tolist(), lasts.tolist(), strict=True)
    )
    return Findings(episodes, unknown)


def find_ranges(
    times_s: ArrayLike,
    values: ArrayLike,
    thresholds: Thresholds,
    *,
    window_s: float,
    interval_s: float,
    most_missed: float = MOST_MISSED,
    watched: Span | None = None,
) -> Findings:
    """Return when the range of the last `window_s` seconds reached its limit.

    A limit on speed, such as ±10 % RH in 24 h, is a limit on this range (largest less smallest in
    the window), so that a rise and a fall are both caught. `thresholds` are of the range. With a
    silence in the window the range is a lower bound: reached is reached, not reached is unknown,
    which is why silences are given out longer by the window. The first window of a series is such a
    lower bound as well.
    """
    times, found = heard(times_s, values)
    ranges = range_within(times, found, window_s=window_s)
    findings = find_exceedances(
        times,
        ranges,
        thresholds,
        interval_s=interval_s,
        most_missed=most_missed,
        watched=watched,
    )
    last = float(times[-1]) if times.size else 0.0
    if watched is not None:
        last = max(last, watched.end_s)
    longer = _merged(
        [Span(s.start_s, min(s.end_s + window_s, max(last, s.end_s))) for s in findings.unknown]
    )
    return Findings(findings.episodes, longer)


def find_unchanging(times_s: ArrayLike, values: ArrayLike, *, longest_s: float) -> tuple[Span, ...]:
    """Return the stretches in which the same number was read for longer than longest_s seconds.

    A dead sensor often repeats its last number, or 0. How long is too long is the conservator's to
    agree: 0 lx through a night is sound, through a working day it is not.
    """
    positive(longest_s, name="longest", unit="s")
    times, found = heard(times_s, values)
    if times.size == 0:
        return ()
    cuts = np.flatnonzero(np.diff(found) != 0)
    first = np.concatenate(([0], cuts + 1))
    last = np.concatenate((cuts, [found.size - 1]))
    long = times[last] - times[first] > longest_s
    return tuple(
        Span(float(times[i]), float(times[j])) for i, j in zip(first[long], last[long], strict=True)
    )


@dataclass(frozen=True)
class Hearing:
    """Whether an instrument is heard as agreed."""

    state: Literal["heard", "unknown"]
    silent_for_s: float | None  # None if never heard
    statement: str


def judge_hearing(
    last_heard_s: float | None, *, now_s: float, silence_s: float, say: Callable[[float], str]
) -> Hearing:
    """Return whether silence has lasted longer than agreed; `say` puts seconds into words.

    A reading from the future (a clock that goes wrong) is refused: it would hide a silence.
    """
    positive(silence_s, name="silence", unit="s")
    if last_heard_s is None:
        return Hearing("unknown", None, "Never heard: nothing is known from this instrument.")
    silent = now_s - last_heard_s
    if silent < -silence_s:
        raise InvalidInput(
            f"last heard: the latest reading lies {say(-silent)} in the future. Check the "
            "instrument's clock and time zone.",
            field="last_heard",
        )
    if silent > silence_s:
        return Hearing(
            "unknown",
            silent,
            f"Silent for {say(silent)}, agreed are at most {say(silence_s)}: what happened since "
            "is unknown.",
        )
    return Hearing("heard", max(silent, 0.0), f"Heard {say(max(silent, 0.0))} ago.")


def _runs(
    times: Floats, beyond: NDArray[np.bool_], unknown: tuple[Span, ...], *, hold_s: float
) -> tuple[Indices, Indices]:
    """Return first and last index of each run beyond, joined where the pause is under hold_s."""
    pieces = piece_numbers(times, unknown)
    new_piece = np.concatenate(([True], np.diff(pieces) > 0)) if times.size else np.zeros(0, bool)
    before = np.concatenate(([False], beyond[:-1])) & ~new_piece
    first = np.flatnonzero(beyond & ~before)
    goes_on = np.concatenate((beyond[1:] & ~new_piece[1:], [False]))[: times.size]
    last = np.flatnonzero(beyond & ~goes_on)
    if hold_s > 0 and first.size > 1:
        back = times[np.minimum(last[:-1] + 1, times.size - 1)]
        joined = (times[first[1:]] - back < hold_s) & (pieces[first[1:]] == pieces[last[:-1]])
        first = first[np.concatenate(([True], ~joined))]
        last = last[np.concatenate((~joined, [True]))]
    return first, last


def _episode(
    times: Floats,
    values: Floats,
    thresholds: Thresholds,
    *,
    first: int,
    last: int,
    silent_after: bool,
    follows_unknown: bool,
) -> Episode:
    held = values[first : last + 1]
    worst = int(np.argmax(held) if thresholds.side == "above" else np.argmin(held))
    red = np.flatnonzero(thresholds.beyond(held, thresholds.red))
    ended: End = "unknown" if silent_after else "back" if last + 1 < times.size else "last reading"
    return Episode(
        level="red" if red.size else "amber",
        start_s=float(times[first]),
        end_s=float(times[last + 1] if ended == "back" else times[last]),
        peak=float(held[worst]),
        peak_at_s=float(times[first + worst]),
        red_s=float(times[first + red[0]]) if red.size else None,
        readings=int(thresholds.beyond(held, thresholds.first).sum()),
        ended=ended,
        follows_unknown=follows_unknown,
    )


def _merged(spans: list[Span]) -> tuple[Span, ...]:
    found: list[Span] = []
    for span in sorted(spans, key=lambda one: one.start_s):
        if found and span.start_s <= found[-1].end_s:
            found[-1] = Span(found[-1].start_s, max(found[-1].end_s, span.end_s))
        else:
            found.append(span)
    return tuple(found)
