"""Which cells are due for a look after an exceedance or a stop, in which order, and how long for?

The choice is a proposal: a person sees it, changes it and puts it down. Nobody goes up before a
competent person has inspected the scaffold again.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from gridmap.models import Layout, Wall
from survey.watch.fragile_cells import RULE_WORDS, fragile_cells
from survey.watch.hours import moment_in_words, span_in_words
from survey.watch.models import Instrument
from survey.watch.risk import nearest_first

MINUTES_PER_CELL: Final = 3.0  # common practice, no source: to be tried on this wall
LOOK_WITHIN: Final = timedelta(hours=2)  # after a red event; common practice, no source


@dataclass(frozen=True)
class Choice:
    """Cells proposed for a look, nearest first, with the words that say how they were chosen."""

    cells: tuple[str, ...]
    words: str
    reasons: dict[str, list[str]]


def look_needed_by(started: datetime) -> datetime:
    """Return the moment by which the cells should have been looked at."""
    return started + LOOK_WITHIN


def time_for(cells: int, *, people: int = 1) -> str:
    """Return how long looking at so many cells takes, in words.

    >>> time_for(37)
    '37 cells × 3 min = 1 h 51 min for one person'
    """
    whole = span_in_words(cells * MINUTES_PER_CELL * 60 / people)
    who = "one person" if people == 1 else f"{people} people"
    counted = "1 cell" if cells == 1 else f"{cells} cells"
    return f"{counted} × {MINUTES_PER_CELL:g} min = {whole} for {who}"


def deadline_words(started: datetime) -> str:
    """Return the deadline in words, with where it comes from."""
    return (
        f"{moment_in_words(look_needed_by(started))} "
        f"({span_in_words(LOOK_WITHIN.total_seconds())} after it began; common practice, no source)"
    )


def choose_for_exceedance(wall: Wall, instrument: Instrument | None, at: datetime) -> Choice:
    """Propose the fragile cells, those nearest the sensor first."""
    reasons = fragile_cells(wall, at)
    layout = wall.layout
    place = _sensor_in(instrument, layout) if instrument else None
    known = set(layout.grid.labels())
    cells = [cell for cell in reasons if cell in known]
    words = RULE_WORDS[0].upper() + RULE_WORDS[1:]
    if place is None:
        order = layout.grid.labels()
        chosen = tuple(sorted(cells, key=order.index))
        return Choice(chosen, f"{words}; in reading order, as the sensor's place is not on record.",
                      reasons)  # fmt: skip
    chosen = nearest_first([(cell, *_middle_in(layout, cell)) for cell in cells], place)
    assert instrument is not None
    return Choice(chosen, f"{words}; nearest {instrument.code} first.", reasons)


def choose_for_stop(wall: Wall, named: Sequence[str], at: datetime) -> Choice:
    """Propose the cells that the person on the deck named, then the fragile ones, nearest first."""
    reasons = fragile_cells(wall, at)
    layout = wall.layout
    known = set(layout.grid.labels())
    first = [cell for cell in dict.fromkeys(named) if cell in known]
    others = [cell for cell in reasons if cell in known and cell not in first]
    if first:
        middles = [_middle_in(layout, cell) for cell in first]
        centre = (
            sum(x for x, _ in middles) / len(middles),
            sum(y for _, y in middles) / len(middles),
        )
        others = list(nearest_first([(cell, *_middle_in(layout, cell)) for cell in others], centre))
    words = f"The cells named on the deck first, then {RULE_WORDS}, nearest to them first."
    named_reasons = {cell: ["named on the deck"] for cell in first}
    return Choice((*first, *others), words, {**reasons, **named_reasons})


def _middle_in(layout: Layout, cell: str) -> tuple[float, float]:
    x0, y0, x1, y1 = layout.grid.bounds(cell)
    return (x0 + x1) / 2, (y0 + y1) / 2


def _sensor_in(instrument: Instrument, layout: Layout) -> tuple[float, float] | None:
    """Return where a sensor sits [wall in]: its cell, at the height above the floor if known."""
    if not instrument.cell:
        return None
    x_in, y_in = _middle_in(layout, instrument.cell)
    height = instrument.content.get("height_in")
    if height is not None:
        y_in = min(max(height - instrument.wall.base_above_floor_in, 0.0), layout.height_in)
    return x_in, y_in
