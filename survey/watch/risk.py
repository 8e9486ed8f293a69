"""Which cells should be looked at next, and which at random this week?

The risk of a cell is a plain sum, shown with its parts: fragility, exposure and time since the last
look. It orders a list and is no probability; what was never looked at, and what happened while an
instrument was silent, is never taken as sound. No Django, no I/O, no clock.
"""

import calendar
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from math import hypot
from typing import Final

from gridmap.errors import InvalidInput
from survey.record.sampling import SamplingStatement, sampling_statement
from survey.watch.spans import DAY_S, positive

WORST: Final = 3  # of condition and of urgency, 0 to 3 as in EN 16096 (from memory)
# Each of the four parts reaches from 0 to 3, so that none drowns the others (project choice).
MOST: Final = 3.0
PER_AMBER, PER_RED, PER_SILENCE = 1.0, 2.0, 1.0
REPEAT_MONTHS: Final = (3, 6, 12)  # after hand-back: salts arrive late (common practice, no source)


@dataclass(frozen=True)
class CellState:
    """What is known of a cell.

    `condition` and `urgency`: the worst that stands in it, 0 to 3; None if it was never assessed.
    `ambers` and `reds`: exceedances near it since the last look; `silent`: whether an instrument
    near it was silent since. `looked_s`: the last look [s UTC], None if never.
    """

    cell: str
    condition: int | None
    urgency: int | None
    ambers: int
    reds: int
    silent: bool
    looked_s: float | None

    def __post_init__(self) -> None:
        for name, value in (("condition", self.condition), ("urgency", self.urgency)):
            if value is not None and not 0 <= value <= WORST:
                raise InvalidInput(
                    f"{self.cell}: {name} {value} must be from 0 to {WORST}.", field=name
                )
        for name, count in (("ambers", self.ambers), ("reds", self.reds)):
            if count < 0:
                raise InvalidInput(f"{self.cell}: {name} {count} cannot be below 0.", field=name)


@dataclass(frozen=True)
class DueLine:
    """A cell's risk with its parts, and why it is due if it is."""

    cell: str
    condition: float
    urgency: float
    exposure: float
    age: float
    because: tuple[str, ...]
    statement: str

    @property
    def fragility(self) -> float:
        """Condition and urgency together, 0 to 6."""
        return self.condition + self.urgency

    @property
    def total(self) -> float:
        """The plain sum, 0 to 12."""
        return self.fragility + self.exposure + self.age

    @property
    def due(self) -> bool:
        """Whether there is a reason to look now."""
        return bool(self.because)


def due_list(cells: Iterable[CellState], *, now_s: float, interval_s: float) -> tuple[DueLine, ...]:
    """Return the cells by falling risk (`interval_s`: agreed between two looks at a cell).

    Equal sums stand in the order of their names.
    """
    positive(interval_s, name="interval", unit="s")
    lines = [_line(cell, now_s=now_s, interval_s=interval_s) for cell in cells]
    return tuple(sorted(lines, key=lambda line: (-line.total, line.cell)))


def _line(state: CellState, *, now_s: float, interval_s: float) -> DueLine:
    condition = float(WORST if state.condition is None else state.condition)
    urgency = float(WORST if state.urgency is None else state.urgency)
    met = PER_AMBER * state.ambers + PER_RED * state.reds + PER_SILENCE * state.silent
    exposure = min(met, MOST)
    age = MOST
    if state.looked_s is not None:
        if state.looked_s > now_s:
            raise InvalidInput(
                f"{state.cell}: its last look lies in the future. Check the clocks.",
                field="looked_at",
            )
        age = min((now_s - state.looked_s) / interval_s, MOST)
    because = _reasons(state, now_s=now_s, interval_s=interval_s)
    return DueLine(
        cell=state.cell,
        condition=condition,
        urgency=urgency,
        exposure=exposure,
        age=age,
        because=because,
        statement=_in_words(state, condition, urgency, exposure=exposure, age=age),
    )


def _reasons(state: CellState, *, now_s: float, interval_s: float) -> tuple[str, ...]:
    reasons = []
    if state.looked_s is None:
        reasons.append("never looked at")
    elif now_s - state.looked_s >= interval_s:
        days, agreed = (now_s - state.looked_s) / DAY_S, interval_s / DAY_S
        reasons.append(f"last look {days:.0f} days ago, agreed are {agreed:g}")
    if state.reds:
        reasons.append(f"{state.reds} red exceedance{'' if state.reds == 1 else 's'} since")
    if state.urgency == WORST:
        reasons.append("urgency 3")
    return tuple(reasons)


def _in_words(
    state: CellState, condition: float, urgency: float, *, exposure: float, age: float
) -> str:
    assessed = state.condition is not None and state.urgency is not None
    fragility = f"fragility {condition:g} + {urgency:g}"
    fragility += "" if assessed else " (not assessed, so taken as the worst)"
    met = f"{state.ambers} amber, {state.reds} red" + (", a silence" if state.silent else "")
    looked = "never looked at" if state.looked_s is None else "looks"
    return (
        f"{state.cell}: {condition + urgency + exposure + age:.1f} = {fragility} + exposure "
        f"{exposure:g} ({met}) + {age:.1f} intervals ({looked})."
    )


def nearest_first(
    places_in: Sequence[tuple[str, float, float]], sensor_in: tuple[float, float]
) -> tuple[str, ...]:
    """Return cells by the distance of their middle from a sensor (cell, x, y in wall inches)."""
    x_in, y_in = sensor_in
    return tuple(
        cell for _, cell in sorted((hypot(x - x_in, y - y_in), cell) for cell, x, y in places_in)
    )


def repeats_after(handed_back_on: date) -> tuple[date, ...]:
    """Return the days of the looks 3, 6 and 12 months after hand-back.

    The same day of the month, or the month's last where it has no such day.
    """
    found = []
    for months in REPEAT_MONTHS:
        past = handed_back_on.month - 1 + months
        year, month = handed_back_on.year + past // 12, past % 12 + 1
        last = calendar.monthrange(year, month)[1]
        found.append(date(year, month, min(handed_back_on.day, last)))
    return tuple(found)


def weekly_sample(cells: Iterable[str], *, count: int, seed: str) -> tuple[str, ...]:
    """Return so many cells drawn at random, in the order of their names.

    Anybody can draw them again: cells are ordered by the SHA-256 digest of "seed:cell" in UTF-8
    and the first are taken. The seed must be fixed before the draw (wall and week, for example).
    """
    distinct = sorted(set(cells))
    if not 1 <= count <= len(distinct):
        raise InvalidInput(
            f"count: {count} must be from 1 to the {len(distinct)} cells within reach.",
            field="count",
        )
    if not seed.strip():
        raise InvalidInput("seed: a draw without a seed cannot be checked.", field="seed")
    drawn = sorted(distinct, key=lambda cell: sha256(f"{seed}:{cell}".encode()).digest())
    return tuple(sorted(drawn[:count]))


def sample_statement(
    drawn: Sequence[str],
    *,
    changed: Sequence[str],
    cells: int,
    size_of_change: str,
    detection: float | None = None,
) -> SamplingStatement:
    """Return what a finished weekly sample allows to be said of all cells.

    `changed` are drawn cells; one that was not drawn proves nothing about the rest.
    """
    strangers = sorted(set(changed) - set(drawn))
    if strangers:
        raise InvalidInput(
            f"changed: {', '.join(strangers)} was not drawn, so it says nothing of the rest.",
            field="changed",
        )
    return sampling_statement(
        cells=cells,
        looked_at=len(set(drawn)),
        changed=len(set(changed)),
        size_of_change=size_of_change,
        detection=detection,
    )
