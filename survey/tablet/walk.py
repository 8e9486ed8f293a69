"""In which order are a survey's cells walked: lift by lift, along the deck, top to bottom? Pure."""

from collections.abc import Iterable, Mapping
from typing import Any

from gridmap.grid import Grid


def walking_order(grid: Grid, decks: Iterable[Mapping[str, Any]]) -> list[str]:
    """Return every label, lowest lift first; on a lift column by column from the left.

    `decks` have a `band` of two heights [wall in]; a cell belongs to the band that holds its
    middle, and cells of no band come last.
    """
    bands = sorted((tuple(deck["band"]) for deck in decks), key=lambda band: band[0])

    def place(label: str) -> tuple[int, int, int]:
        column, row = grid.position(label)
        _, y0, _, y1 = grid.bounds(label)
        middle = (y0 + y1) / 2
        lift = next((n for n, (low, high) in enumerate(bands) if low <= middle < high), len(bands))
        return lift, column, -row

    return sorted(grid.labels(), key=place)
