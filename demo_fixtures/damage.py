"""What is one piece of damage, of making or of earlier repair, and how is it on a given day?"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from demo_fixtures.shapes import Island, Point, first_part

BEFORE_WORKS = date(1990, 1, 1)


@dataclass(frozen=True)
class Stage:
    """From this day on the damage has this form, until the next stage."""

    since: date
    shape: Island | tuple[Point, ...] | None  # None: no longer there
    term: str


@dataclass(frozen=True)
class Damage:
    """A piece of damage through time.

    `kind` is area, line or point; a point is a line of one vertex. `covered_until` is the day on
    which soot over it was taken off; `merges` names the damage that ran together into it. `severity` 1 to 3 is a condition class.
    """

    key: str
    item: str
    kind: str
    zone: str
    stages: tuple[Stage, ...]
    severity: int = 1
    covered_until: date | None = None
    merges: tuple[str, ...] = ()
    in_boards_strip: bool = False
    note: str = ""
    edge: str = ""
    measures: dict[str, object] = field(default_factory=dict)

    @property
    def term(self) -> str:
        """Return the term of the first stage."""
        return self.stages[0].term

    def on(self, day: date) -> Stage | None:
        """Return the stage in force on a day, None before the first and after the last."""
        found = None
        for stage in self.stages:
            if stage.since <= day:
                found = stage
        return found if found is not None and found.shape is not None else None

    def changed_between(self, before: date, after: date) -> bool:
        """Whether a stage begins after one day and up to another."""
        return any(before < stage.since <= after for stage in self.stages)

    def place(self) -> Point:
        """Return where the damage sits: an island's centre, a line's first vertex."""
        shape = next(stage.shape for stage in self.stages if stage.shape is not None)
        return shape.centre if isinstance(shape, Island) else shape[0]


def still(
    shape: Island | Sequence[Point], term: str, *, since: date = BEFORE_WORKS
) -> tuple[Stage, ...]:
    """Return the stages of what does not change."""
    return (Stage(since, _frozen(shape), term),)


def growing(
    shape: Island,
    term: str,
    steps: Sequence[tuple[date, float]],
    *,
    towards_rad: float,
    since: date = BEFORE_WORKS,
) -> tuple[Stage, ...]:
    """Return the stages of an island that grows by some inches on some days."""
    stages = [Stage(since, shape, term)]
    for day, growth_in in steps:
        shape = shape.grown(growth_in, towards_rad=towards_rad)
        stages.append(Stage(day, shape, term))
    return tuple(stages)


def lengthening(
    line: Sequence[Point],
    term: str,
    steps: Sequence[tuple[date, float]],
    *,
    since: date = BEFORE_WORKS,
) -> tuple[Stage, ...]:
    """Return the stages of a line of which more and more is open; shares of its full length."""
    stages = [Stage(since, tuple(first_part(line, steps[0][1])), term)]
    stages += [Stage(day, tuple(first_part(line, share)), term) for day, share in steps[1:]]
    return tuple(stages)


def _frozen(shape: Island | Sequence[Point]) -> Island | tuple[Point, ...]:
    return shape if isinstance(shape, Island) else tuple(shape)
