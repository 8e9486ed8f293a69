"""Which agreed limit governs a channel on a day, and how far is a reading from it?

The nearest place governs: the instrument's own limit before its cell's, that before its deck's,
that before the wall's; among equals the one that is reached first. Limits on the change in 24 h and
limits that hang on a table of frequencies have no single number and are left to the exceedances.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from gridmap.models import Wall
from survey.watch.limit_kinds import ABOVE, BELOW
from survey.watch.models import Instrument, Limit
from survey.watch.quantities import NO_BREAK, from_canonical, quantity_of, to_canonical

NEAREST = ("instrument", "cell", "deck", "wall")
SUM = "sum"  # the vector sum of velocities, which is held against no limit of an axis


@dataclass(frozen=True)
class AgreedLimit:
    """An agreed limit in the quantity's unit of account, with its row."""

    row: Limit
    direction: str
    amber: float | None
    red: float | None

    @property
    def first(self) -> float:
        """The value that is reached first."""
        held = self.amber if self.amber is not None else self.red
        assert held is not None
        return held

    def reached(self, value: float, limit: float | None) -> bool:
        """Say whether a reading is at or beyond amber or red."""
        if limit is None:
            return False
        return value >= limit if self.direction == ABOVE else value <= limit


def limits_on(wall: Wall, day: date) -> list[Limit]:
    """Return the limits of a wall that are valid on a day."""
    rows = Limit.objects.filter(wall=wall, valid_from__lte=day)
    return [row for row in rows if row.valid_to is None or row.valid_to >= day]


def governing(
    rows: Iterable[Limit], instrument: Instrument, quantity: str, *, axis: str = ""
) -> AgreedLimit | None:
    """Return the limit that governs a channel; None where none is agreed."""
    held = [
        (rank, agreed)
        for row in rows
        if row.quantity == quantity
        and holds_for_axis(row, axis)
        and (rank := rank_of(row, instrument)) is not None
        and (agreed := _agreed(row)) is not None
    ]
    if not held:
        return None
    return min(held, key=lambda one: (one[0], reached_first(one[1].row)))[1]


def margin_in_words(limit: AgreedLimit, value: float) -> str:
    """Return how far a reading (unit of account) is from the next level of its limit."""
    level = next(
        (name for name in ("red", "amber") if limit.reached(value, getattr(limit, name))), ""
    )
    target = limit.first if not level else getattr(limit, level)
    name = level or ("amber" if limit.amber is not None else "red")
    quantity, unit = limit.row.quantity, limit.row.unit
    here, there = (float(from_canonical(one, quantity, unit)) for one in (value, target))
    digits = quantity_of(quantity).shown_in.get(unit, 2)
    distance = f"{abs(here - there):.{digits}f}{NO_BREAK}{unit}"
    if level:
        return f"{level}: {distance} beyond"
    return f"{distance} to {name}"


def holds_for_axis(row: Limit, axis: str) -> bool:
    """Say whether a limit holds for an axis: its own, or any where it names none but the sum."""
    own = row.content.get("axis") or ""
    return own == axis if SUM in (own, axis) else own in ("", axis)


def rank_of(row: Limit, instrument: Instrument) -> int | None:
    """Return how near a limit's place is to an instrument, 0 the nearest; None: elsewhere."""
    place = row.content.get("place") or {}
    what, name = place.get("what"), place.get("name")
    own = {"instrument": instrument.code, "cell": instrument.cell, "deck": instrument.deck}
    if what == "wall" or (what in own and name == own[what]):
        return NEAREST.index(what)
    return None


def _agreed(row: Limit) -> AgreedLimit | None:
    direction = row.content.get("direction", ABOVE)
    if row.content.get("table") or direction not in (ABOVE, BELOW):
        return None
    amber, red = (
        None if value is None else float(to_canonical(value, row.quantity, row.unit))
        for value in (row.amber, row.red)
    )
    if amber is None and red is None:
        return None
    return AgreedLimit(row, direction, amber, red)


def reached_first(row: Limit) -> float:
    """Return an order in which the limit that is reached first comes first."""
    first = row.amber if row.amber is not None else row.red
    assert first is not None
    if row.content.get("table"):
        return first
    value = float(to_canonical(first, row.quantity, row.unit))
    return -value if row.content.get("direction") == BELOW else value
