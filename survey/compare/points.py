"""How many marked places of each term were there before and after?

A place drawn again within the tolerance, or said to continue, is the same place; it counts where
it stood first, so that every identity holds cell by cell. Nothing here knows areas or lines.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gridmap.grid import Grid
from survey.compare.follow import Followed
from survey.compare.model import Outline, Part, Sizes


@dataclass(frozen=True)
class CountedPlace:
    """One place [wall in] of a term: marked before, after, or on both dates."""

    term: str
    x_in: float
    y_in: float
    before: bool
    after: bool

    @property
    def sizes(self) -> Sizes:
        before, after = float(self.before), float(self.after)
        added, removed = float(not self.before), float(not self.after)
        common = float(self.before and self.after)
        return Sizes(before, after, added, removed, common, added, removed)


def counted_places(
    followed: Sequence[Followed], regions: Mapping[str, BaseGeometry], tolerance_in: float
) -> list[CountedPlace]:
    """Return every marked place inside its term's region, each once.

    `followed` holds point outlines only, under the terms they are counted under.
    """
    places: list[CountedPlace] = []
    free: dict[str, tuple[list[tuple[float, float]], list[tuple[float, float]]]] = {}
    for item in followed:
        earlier, later = _coordinates(item.before), _coordinates(item.after)
        term = (item.after or item.before)[0].term
        pairs, earlier, later = _nearest_pairs(earlier, later, float("inf"))
        places += [CountedPlace(term, x, y, True, True) for x, y in pairs]
        rest = free.setdefault(term, ([], []))
        rest[0].extend(earlier)
        rest[1].extend(later)
    for term, (earlier, later) in free.items():
        pairs, earlier, later = _nearest_pairs(earlier, later, tolerance_in)
        places += [CountedPlace(term, x, y, True, True) for x, y in pairs]
        places += [CountedPlace(term, x, y, True, False) for x, y in earlier]
        places += [CountedPlace(term, x, y, False, True) for x, y in later]
    return [
        place
        for place in places
        if shapely.intersects_xy(regions[place.term], place.x_in, place.y_in)
    ]


def counts_by_term(places: Sequence[CountedPlace]) -> dict[str, Sizes]:
    """Return the counts of each term on the whole wall."""
    totals: dict[str, Sizes] = {}
    for place in places:
        totals[place.term] = totals.get(place.term, Sizes()) + place.sizes
    return totals


def counts_by_cell(places: Sequence[CountedPlace], grid: Grid) -> dict[tuple[str, str], Sizes]:
    """Return the counts by (cell label, term)."""
    totals: dict[tuple[str, str], Sizes] = {}
    for place in places:
        label = grid.cell_at(place.x_in, place.y_in)
        if label is not None:
            key = (label, place.term)
            totals[key] = totals.get(key, Sizes()) + place.sizes
    return totals


def counts_by_part(
    places: Sequence[CountedPlace], parts: Sequence[Part]
) -> dict[tuple[str, str], Sizes]:
    """Return the counts by (part name, term)."""
    totals: dict[tuple[str, str], Sizes] = {}
    for part in parts:
        for place in places:
            if shapely.intersects_xy(part.shape, place.x_in, place.y_in):
                key = (part.name, place.term)
                totals[key] = totals.get(key, Sizes()) + place.sizes
    return totals


def _coordinates(outlines: Sequence[Outline]) -> list[tuple[float, float]]:
    return [
        (float(x), float(y))
        for outline in outlines
        for x, y in shapely.get_coordinates(outline.shape)
    ]


def _nearest_pairs(
    earlier: list[tuple[float, float]], later: list[tuple[float, float]], reach_in: float
) -> tuple[list[tuple[float, float]], list[tuple[float, float]], list[tuple[float, float]]]:
    """Pair nearest first; return the earlier place of each pair, and what is left of both."""
    if not earlier or not later:
        return [], earlier, later
    a, b = np.array(earlier), np.array(later)
    distance = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    taken_a, taken_b = np.zeros(len(a), dtype=bool), np.zeros(len(b), dtype=bool)
    for flat in np.argsort(distance, axis=None, kind="stable"):
        left, right = divmod(int(flat), len(b))
        if distance[left, right] > reach_in or taken_a.all() or taken_b.all():
            break
        if not taken_a[left] and not taken_b[right]:
            taken_a[left] = taken_b[right] = True
    return (
        [place for place, taken in zip(earlier, taken_a, strict=True) if taken],
        [place for place, taken in zip(earlier, taken_a, strict=True) if not taken],
        [place for place, taken in zip(later, taken_b, strict=True) if not taken],
    )
