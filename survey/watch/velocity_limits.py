"""Which agreed limit of particle velocity holds for an instrument on a day?

The nearest place governs: the instrument's own limit before its cell's, that before its deck's,
that before the wall's; among equals the stricter. Limits that hang on a table of frequencies have
no single number and are left to the exceedances.
"""

from dataclasses import dataclass
from datetime import date

from survey.watch.models import Instrument, Limit
from survey.watch.quantities import to_canonical

NEAREST = ("instrument", "cell", "deck", "wall")


@dataclass(frozen=True)
class VelocityLimit:
    """An agreed limit in mm/s, with its row."""

    row: Limit
    amber_mm_s: float | None
    red_mm_s: float | None

    @property
    def first_mm_s(self) -> float | None:
        """The value that is reached first."""
        return self.amber_mm_s if self.amber_mm_s is not None else self.red_mm_s


def velocity_limit(instrument: Instrument, day: date) -> VelocityLimit | None:
    """Return the limit that governs an instrument on a day; None where none is agreed."""
    rows = Limit.objects.filter(
        wall=instrument.wall, quantity="particle-velocity", valid_from__lte=day
    )
    held = [
        (rank, _in_mm_s(row))
        for row in rows
        if (row.valid_to is None or row.valid_to >= day)
        and not row.content.get("table")
        and (rank := _rank(row, instrument)) is not None
    ]
    if not held:
        return None
    return min(held, key=lambda one: (one[0], one[1].first_mm_s or float("inf")))[1]


def _rank(row: Limit, instrument: Instrument) -> int | None:
    place = row.content.get("place") or {}
    what, name = place.get("what"), place.get("name")
    own = {"instrument": instrument.code, "cell": instrument.cell, "deck": instrument.deck}
    if what == "wall" or (what in own and name == own[what]):
        return NEAREST.index(what)
    return None


def _in_mm_s(row: Limit) -> VelocityLimit:
    amber, red = (
        None if value is None else float(to_canonical(value, "particle-velocity", row.unit))
        for value in (row.amber, row.red)
    )
    return VelocityLimit(row, amber, red)
