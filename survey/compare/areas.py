"""How much of each term was there before and after, what was added, what removed, and where?

Per term and cell: the unions of both surveys' outlines cut to what both saw, their common part,
what was added and removed, and what of that lies beyond the drawing tolerance t: B - (A + t),
where A + t is the union of the round buffers of the whole valid outlines. Lines are measured by
length in the same way. Nothing here follows items or judges a change.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gridmap.grid import Grid
from gridmap.measure import cell_boxes, cell_label, cells_by_bounds, cut_by_grid, only_of_dimension
from survey.compare.model import Outline, Part, Sizes
from survey.compare.overlay import Shapes, covers, differences, grown_round, intersections, unions
from survey.compare.regions import areas_of

Side = Literal["before", "after"]
Indices = NDArray[np.int64]
Bundle = dict[str, BaseGeometry]

LAYERS = ("before", "after", "common", "added_beyond", "removed_beyond")


@dataclass
class _SideRecord:
    """One survey's outlines and where their pieces and buffers lie, by group (term and cell)."""

    outlines: dict[str, Outline] = field(default_factory=dict)
    pieces: dict[int, Bundle] = field(default_factory=dict)
    buffers: dict[int, Bundle] = field(default_factory=dict)
    groups_of: dict[str, set[int]] = field(default_factory=dict)


@dataclass(frozen=True)
class _Group:
    """What stands in one cell under one term: geometries by layer, and their sizes."""

    layers: Mapping[str, BaseGeometry]
    sizes: Sizes


class ComparedAreas:
    """Sizes per term and cell, kept so that one edited outline renews only what it touches.

    `regions` gives per term the part of the wall that both surveys saw. All outlines are of one
    kind: areas (dimension 2, sq in) or lines (dimension 1, in).
    """

    def __init__(
        self,
        *,
        grid: Grid,
        regions: Mapping[str, BaseGeometry],
        before: Iterable[Outline],
        after: Iterable[Outline],
        tolerance_in: float = 0.0,
        dimension: Literal[1, 2] = 2,
    ) -> None:
        self._grid = grid
        self._regions = regions
        self._terms = list(regions)
        self._term_places = {term: place for place, term in enumerate(self._terms)}
        self._tolerance_in = tolerance_in
        self._dimension = dimension
        self._measure = shapely.area if dimension == 2 else shapely.length
        self._inside: dict[str, NDArray[np.bool_]] = {}
        self._sides: dict[str, _SideRecord] = {"before": _SideRecord(), "after": _SideRecord()}
        self._groups: dict[int, _Group] = {}
        self._place("before", list(before))
        self._place("after", list(after))
        self._renew(
            sorted(self._sides["before"].pieces.keys() | self._sides["after"].pieces.keys())
        )

    def replace_outline(self, side: Side, outline_id: str, outline: Outline | None) -> list[str]:
        """Put one outline in another's place (None withdraws it); return the cells renewed."""
        record = self._sides[side]
        touched = set(record.groups_of.pop(outline_id, ()))
        record.outlines.pop(outline_id, None)
        for group in touched:
            for bundles in (record.pieces, record.buffers):
                if group in bundles:
                    bundles[group].pop(outline_id, None)
        if outline is not None:
            self._place(side, [outline])
            touched |= record.groups_of[outline.id]
        self._renew(sorted(touched))
        cells = {group % self._grid.cell_count for group in touched}
        return sorted(cell_label(cell, self._grid) for cell in cells)

    def by_term(self) -> dict[str, Sizes]:
        """Return the sizes of each term on the whole wall: the sum over its cells."""
        totals: dict[str, Sizes] = {}
        for group in sorted(self._groups):
            term = self._terms[group // self._grid.cell_count]
            totals[term] = totals.get(term, Sizes()) + self._groups[group].sizes
        return totals

    def by_cell(self) -> dict[tuple[str, str], Sizes]:
        """Return the sizes by (cell label, term)."""
        count = self._grid.cell_count
        return {
            (cell_label(group % count, self._grid), self._terms[group // count]): found.sizes
            for group, found in self._groups.items()
        }

    def by_part(self, parts: Sequence[Part]) -> dict[tuple[str, str], Sizes]:
        """Return the sizes by (part name, term), for zones or decks of any shape."""
        totals: dict[tuple[str, str], Sizes] = {}
        for part in parts:
            for term, sizes in self._in_part(part):
                key = (part.name, term)
                totals[key] = totals.get(key, Sizes()) + sizes
        return totals

    def cells_of(self, side: Side, outline_id: str) -> list[str]:
        """Return the labels of the cells in which an outline has a piece."""
        record = self._sides[side]
        return sorted(
            cell_label(group % self._grid.cell_count, self._grid)
            for group in record.groups_of.get(outline_id, ())
            if outline_id in record.pieces.get(group, ())
        )

    def _in_part(self, part: Part) -> Iterable[tuple[str, Sizes]]:
        boxes = cell_boxes(self._grid)
        shapely.prepare(part.shape)
        within = shapely.covers(part.shape, boxes)
        meets = shapely.intersects(part.shape, boxes) & ~within
        count = self._grid.cell_count
        crossing = []
        for group in sorted(self._groups):
            if within[group % count]:
                yield self._terms[group // count], self._groups[group].sizes
            elif meets[group % count]:
                crossing.append(group)
        for group, sizes in zip(crossing, self._cut_to(part, crossing), strict=True):
            yield self._terms[group // count], sizes

    def _cut_to(self, part: Part, groups: Sequence[int]) -> Iterable[Sizes]:
        if not groups:
            return []
        cells = [group % self._grid.cell_count for group in groups]
        # A part may meet a cell in an area and, elsewhere, in a single point.
        cutters = _array(
            [
                areas_of(cutter)
                for cutter in intersections(
                    cell_boxes(self._grid)[cells], np.full(len(groups), part.shape, dtype=object)
                )
            ]
        )
        cut = {
            layer: intersections(
                _array([self._groups[group].layers[layer] for group in groups]), cutters
            )
            for layer in LAYERS
        }
        return [found.sizes for found in self._measured(cut)]

    def _place(self, side: Side, outlines: list[Outline]) -> None:
        """Enter outlines into the groups that their pieces and buffers reach."""
        if not outlines:
            return
        record, grid = self._sides[side], self._grid
        shapes = _array([outline.shape for outline in outlines])
        offsets = (
            np.array([self._term_places[outline.term] for outline in outlines]) * grid.cell_count
        )
        for outline in outlines:
            record.outlines[outline.id] = outline
            record.groups_of[outline.id] = set()
        owners, cells, pieces = cut_by_grid(shapes, grid)
        _enter(record, record.pieces, outlines, owners, cells + offsets[owners], pieces)
        if self._tolerance_in > 0:
            buffers = grown_round(shapes, self._tolerance_in)
            owners, cells = cells_by_bounds(buffers, grid)
            groups = cells + offsets[owners]
            _enter(record, record.buffers, outlines, owners, groups, buffers[owners])

    def _renew(self, groups: Sequence[int]) -> None:
        """Work out the given groups again; an empty one is dropped."""
        kept = [group for group in groups if self._is_in_region(group)]
        layers = {
            side: unions(
                [list(self._sides[side].pieces.get(group, {}).values()) for group in kept],
                self._dimension,
            )
            for side in ("before", "after")
        }
        cutters = self._region_cutters(kept)
        for side in ("before", "after"):
            layers[side] = self._cut(layers[side], cutters)
        common = intersections(layers["after"], layers["before"])
        layers["common"] = only_of_dimension(common, self._dimension)
        layers["added_beyond"] = self._cut(self._beyond(kept, "after", "before"), cutters)
        layers["removed_beyond"] = self._cut(self._beyond(kept, "before", "after"), cutters)
        for group in groups:
            self._groups.pop(group, None)
        for group, found in zip(kept, self._measured(layers), strict=True):
            if found.sizes.before or found.sizes.after:
                self._groups[group] = found

    def _measured(self, layers: Mapping[str, Shapes]) -> list[_Group]:
        """Return the groups of the layers' sizes; without a tolerance every change is beyond it."""
        exact = self._tolerance_in == 0
        size = {layer: self._measure(shapes).tolist() for layer, shapes in layers.items()}
        return [
            _Group(
                layers={layer: layers[layer][place] for layer in LAYERS},
                sizes=Sizes(
                    before=before,
                    after=after,
                    added=max(after - common, 0.0),
                    removed=max(before - common, 0.0),
                    common=min(common, before, after),
                    added_beyond=max(after - common, 0.0) if exact else added_beyond,
                    removed_beyond=max(before - common, 0.0) if exact else removed_beyond,
                ),
            )
            for place, (before, after, common, added_beyond, removed_beyond) in enumerate(
                zip(*(size[layer] for layer in LAYERS), strict=True)
            )
        ]

    def _beyond(self, groups: Sequence[int], side: Side, other: Side) -> Shapes:
        """Return what of one survey's pieces lies beyond all buffers of the other's outlines.

        A piece inside one single buffer leaves nothing; only the others are worth an overlay.
        """
        pieces, buffers = self._sides[side].pieces, self._sides[other].buffers
        found = [
            (place, piece)
            for place, group in enumerate(groups)
            for piece in pieces.get(group, {}).values()
        ]
        rest = _array([piece for _, piece in found])
        waiting = [list(buffers.get(groups[place], {}).values()) for place, _ in found]
        rest = _without(rest, waiting)
        left: list[list[BaseGeometry]] = [[] for _ in groups]
        for (place, _), shape in zip(found, rest, strict=True):
            if not shape.is_empty:
                left[place].append(shape)
        return unions(left, self._dimension)

    def _is_in_region(self, group: int) -> bool:
        term = self._terms[group // self._grid.cell_count]
        return not self._regions[term].is_empty

    def _region_cutters(self, groups: Sequence[int]) -> tuple[Indices, Shapes]:
        """Return which groups stand in cells that were compared in part only, and that part."""
        count = self._grid.cell_count
        places = [
            place
            for place, group in enumerate(groups)
            if not self._covered_cells(self._terms[group // count])[group % count]
        ]
        boxes = cell_boxes(self._grid)[[groups[place] % count for place in places]]
        regions = _array([self._regions[self._terms[groups[place] // count]] for place in places])
        cutters = only_of_dimension(intersections(boxes, regions), 2)
        return np.array(places, dtype=np.int64), cutters

    def _cut(self, shapes: Shapes, cutters: tuple[Indices, Shapes]) -> Shapes:
        places, regions = cutters
        if len(places):
            cut = intersections(shapes[places], regions)
            shapes[places] = only_of_dimension(cut, self._dimension)
        return shapes

    def _covered_cells(self, term: str) -> NDArray[np.bool_]:
        if term not in self._inside:
            region = self._regions[term]
            shapely.prepare(region)
            self._inside[term] = shapely.covers(region, cell_boxes(self._grid))
        return self._inside[term]


def _enter(
    record: _SideRecord,
    bundles: dict[int, Bundle],
    outlines: Sequence[Outline],
    owners: NDArray[np.int64],
    groups: NDArray[np.int64],
    shapes: Shapes,
) -> None:
    for owner, group, shape in zip(owners.tolist(), groups.tolist(), shapes, strict=True):
        outline_id = outlines[owner].id
        bundles.setdefault(group, {})[outline_id] = shape
        record.groups_of[outline_id].add(group)


def _without(pieces: Shapes, cutters: Sequence[Sequence[BaseGeometry]]) -> Shapes:
    """Return each piece without the union of its cutters, taken off one at a time."""
    owner = np.repeat(np.arange(len(pieces)), [len(some) for some in cutters])
    cutter = _array([shape for some in cutters for shape in some])
    piece_bounds, cutter_bounds = shapely.bounds(pieces)[owner], shapely.bounds(cutter)
    holds = (
        (cutter_bounds[:, :2] <= piece_bounds[:, :2])
        & (cutter_bounds[:, 2:] >= piece_bounds[:, 2:])
    ).all(axis=1)
    covered = np.zeros(len(pieces), dtype=bool)
    covered[owner[holds][covers(cutter[holds], pieces[owner[holds]])]] = True
    rest = pieces.copy()
    rest[covered] = shapely.Polygon()
    near = ~covered[owner] & (
        (cutter_bounds[:, :2] < piece_bounds[:, 2:]) & (cutter_bounds[:, 2:] > piece_bounds[:, :2])
    ).all(axis=1)
    owner, cutter = owner[near], cutter[near]
    turn = np.arange(len(owner)) - np.searchsorted(owner, owner)
    for place in range(turn.max(initial=-1) + 1):
        now = turn == place
        rest[owner[now]] = differences(rest[owner[now]], cutter[now])
    return rest


def _array(shapes: Sequence[BaseGeometry]) -> Shapes:
    array = np.empty(len(shapes), dtype=object)
    array[:] = shapes
    return array
