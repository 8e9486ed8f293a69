"""Which outlines of two surveys are the same item?

Continuation first: what the conservator said continues. By overlap otherwise: outlines of one
term (a provisional term goes with what it resolves into) of which most of the smaller one lies
in the other. Nothing here measures growth or gives a finding.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np
import shapely
from numpy.typing import NDArray

from survey.compare.model import Outline, TermRule
from survey.compare.overlay import Shapes, intersections
from survey.compare.uncertainty import THRESHOLD_SE, drawn_error_in

MOST = 0.5  # share of the smaller outline that must lie in the other (common practice, no source)

Pairs = list[tuple[int, int]]
Places = NDArray[np.int64]
Numbers = NDArray[np.float64]
Scores = tuple[Places, Places, Numbers, Numbers, Numbers]  # before, after, common, both sizes


@dataclass(frozen=True)
class Followed:
    """One item: its outlines before and after; either side may be empty."""

    before: tuple[Outline, ...]
    after: tuple[Outline, ...]
    followed_by: str = ""


def follow(
    before: Sequence[Outline],
    after: Sequence[Outline],
    *,
    terms: Mapping[str, TermRule],
    lineage: Mapping[str, tuple[str, ...]],
    tolerance_in: float,
    default_error_in: float,
) -> list[Followed]:
    """Return every outline of both surveys in exactly one item, in a fixed order."""
    said = _continuations(before, after, lineage)
    seen = _Overlaps(before, after, terms, _Reach(tolerance_in, default_error_in))
    overlapping = seen.links(
        taken_before={place for place, _ in said}, taken_after={place for _, place in said}
    )
    return _grouped(before, after, said, overlapping)


def ancestors(outline: Outline, lineage: Mapping[str, tuple[str, ...]]) -> set[str]:
    """Return every earlier object id that an outline continues, through surveys in between."""
    found: set[str] = set()
    waiting = list(outline.continues)
    while waiting:
        earlier = waiting.pop()
        if earlier not in found:
            found.add(earlier)
            waiting.extend(lineage.get(earlier, ()))
    return found


def error_in(outline: Outline, default_error_in: float) -> float:
    """Return an outline's error [in]: its boundary error, the default where none is on record,
    and the error of place of the picture under it."""
    stated = outline.boundary_error_in
    return drawn_error_in(default_error_in if stated is None else stated, outline.picture_error_in)


def _continuations(
    before: Sequence[Outline], after: Sequence[Outline], lineage: Mapping[str, tuple[str, ...]]
) -> Pairs:
    places: dict[str, list[int]] = {}
    for place, outline in enumerate(before):
        places.setdefault(outline.id, []).append(place)
    return [
        (earlier_place, place)
        for place, outline in enumerate(after)
        for earlier in sorted(ancestors(outline, lineage) & places.keys())
        for earlier_place in places[earlier]
    ]


@dataclass(frozen=True)
class _Reach:
    """How far apart two drawings of one line or point may lie."""

    tolerance_in: float
    default_error_in: float

    def of(self, outline: Outline) -> float:
        """Return the reach [in] around an outline; further where its picture lies less surely."""
        error = drawn_error_in(self.default_error_in, outline.picture_error_in)
        return max(self.tolerance_in, THRESHOLD_SE * hypot(error, error))


class _Overlaps:
    """Links by overlap among outlines of the same term."""

    def __init__(
        self,
        before: Sequence[Outline],
        after: Sequence[Outline],
        terms: Mapping[str, TermRule],
        reach: _Reach,
    ) -> None:
        self._before, self._after = before, after
        self._terms = terms
        self._reach = reach

    def links(self, *, taken_before: set[int], taken_after: set[int]) -> Pairs:
        """Return links for outlines without a continuation.

        Two that are each other's likeliest are locked; one left over joins another item only
        if most of itself lies in it, so that chains of neighbours do not grow together.
        """
        left, right, common, size_left, size_right = self._scored(taken_before, taken_after)
        if not len(left):
            return []
        likeness = common / (size_left + size_right - common)
        locked = _mutually_best(left, right, likeness) & (likeness >= MOST)
        free_left = ~np.isin(left, left[locked]) & ~np.isin(left, list(taken_before))
        free_right = ~np.isin(right, right[locked]) & ~np.isin(right, list(taken_after))
        both = free_left & free_right & (common >= MOST * np.minimum(size_left, size_right))
        joins = _best_of(left, free_left & ~free_right & (common >= MOST * size_left), common)
        joined = _best_of(right, free_right & ~free_left & (common >= MOST * size_right), common)
        chosen = locked | both | joins | joined
        return list(zip(left[chosen].tolist(), right[chosen].tolist(), strict=True))

    def _scored(self, taken_before: set[int], taken_after: set[int]) -> Scores:
        found = [
            self._scored_in(left, right)
            for left, right in self._by_term(taken_before, taken_after)
            if len(left) and len(right)
        ]
        if not found:
            nobody, nothing = np.empty(0, dtype=np.int64), np.empty(0)
            return nobody, nobody, nothing, nothing, nothing
        left, right, common, size_left, size_right = (
            np.concatenate(some) for some in zip(*found, strict=True)
        )
        fresh = ~(np.isin(left, list(taken_before)) & np.isin(right, list(taken_after)))
        return left[fresh], right[fresh], common[fresh], size_left[fresh], size_right[fresh]

    def _by_term(
        self, taken_before: set[int], taken_after: set[int]
    ) -> Iterable[tuple[list[int], list[int]]]:
        """Yield places before and after that may be one item, skipping terms with nothing left."""
        left, right = _places_by_term(self._before), _places_by_term(self._after)
        for term in sorted(left):
            alike = {term} | set(self._rule_of(term).resolves_to)
            alike |= {code for code in right if term in self._rule_of(code).resolves_to}
            for other in sorted(alike & right.keys()):
                if set(left[term]) <= taken_before and set(right[other]) <= taken_after:
                    continue
                yield left[term], right[other]

    def _rule_of(self, code: str) -> TermRule:
        return self._terms.get(code) or TermRule(code)

    def _scored_in(self, left: list[int], right: list[int]) -> Scores:
        shapes_left = _array([_thickened(self._before[place], self._reach) for place in left])
        shapes_right = _array([_thickened(self._after[place], self._reach) for place in right])
        tree = shapely.STRtree(shapes_right)
        near_left, near_right = tree.query(shapes_left)
        pairs = _Pairs(shapes_left, shapes_right, near_left, near_right)
        return (
            np.asarray(left)[pairs.left],
            np.asarray(right)[pairs.right],
            pairs.common_sq_in(),
            pairs.size_left,
            pairs.size_right,
        )


class _Pairs:
    """Pairs of shapes whose bounding boxes leave room for most of the smaller one."""

    def __init__(
        self, shapes_left: Shapes, shapes_right: Shapes, left: Places, right: Places
    ) -> None:
        a, b = shapely.bounds(shapes_left)[left], shapely.bounds(shapes_right)[right]
        size_left, size_right = shapely.area(shapes_left)[left], shapely.area(shapes_right)[right]
        sides = np.minimum(a[:, 2:], b[:, 2:]) - np.maximum(a[:, :2], b[:, :2])
        room = np.prod(np.maximum(sides, 0.0), axis=1)
        smaller = np.minimum(size_left, size_right)
        worth = (room > 0) & (room >= MOST * smaller)
        self.left, self.right = left[worth], right[worth]
        self.size_left, self.size_right = size_left[worth], size_right[worth]
        self._room = np.minimum(room, smaller)[worth]
        self._shapes = shapes_left, shapes_right

    def common_sq_in(self) -> Numbers:
        """Return the common area of each pair; 0 where it can no longer matter.

        The likeliest pair of each outline by its bounding boxes is overlaid first. Where no other
        pair of either outline can be likelier, those others are left: overlays cost the most.
        """
        common = self._room.copy()
        everywhere = np.ones(len(common), dtype=bool)
        first = _best_of(self.left, everywhere, self._likeness(common))
        common[first] = self._overlaid(first)
        likeness = self._likeness(common)
        settled = first & _mutually_best(self.left, self.right, likeness) & (likeness >= MOST)
        open_left = ~np.isin(self.left, self.left[settled])
        open_right = ~np.isin(self.right, self.right[settled])
        second = ~first & (open_left | open_right)
        common[second] = self._overlaid(second)
        common[~first & ~second] = 0.0
        return common

    def _likeness(self, common: Numbers) -> Numbers:
        return common / (self.size_left + self.size_right - common)

    def _overlaid(self, chosen: NDArray[np.bool_]) -> Numbers:
        shapes_left, shapes_right = self._shapes
        common: Numbers = shapely.area(
            intersections(shapes_left[self.left[chosen]], shapes_right[self.right[chosen]])
        )
        return common


def _thickened(outline: Outline, reach: _Reach) -> shapely.Geometry:
    """Lines and points have no area to overlap: half the reach on each side gives them one."""
    if outline.kind == "area":
        return outline.shape
    return shapely.buffer(outline.shape, reach.of(outline))


def _mutually_best(left: Places, right: Places, score: Numbers) -> NDArray[np.bool_]:
    everywhere = np.ones(len(left), dtype=bool)
    return _best_of(left, everywhere, score) & _best_of(right, everywhere, score)


def _best_of(keys: Places, allowed: NDArray[np.bool_], score: Numbers) -> NDArray[np.bool_]:
    """Mark for each key its best allowed link; of equals the first."""
    best = np.zeros(len(keys), dtype=bool)
    places = np.flatnonzero(allowed)
    order = places[np.lexsort((places, -score[places], keys[places]))]
    if len(order):
        best[order[np.r_[True, np.diff(keys[order]) != 0]]] = True
    return best


def _places_by_term(outlines: Sequence[Outline]) -> dict[str, list[int]]:
    places: dict[str, list[int]] = {}
    for place, outline in enumerate(outlines):
        places.setdefault(outline.term, []).append(place)
    return places


def _grouped(
    before: Sequence[Outline], after: Sequence[Outline], said: Pairs, overlapping: Pairs
) -> list[Followed]:
    """Join links to items: what is linked, through however many links, is one item."""
    root = list(range(len(before) + len(after)))

    def find(place: int) -> int:
        while root[place] != place:
            root[place] = root[root[place]]
            place = root[place]
        return place

    for left, right in [*said, *overlapping]:
        one, other = sorted((find(left), find(len(before) + right)))
        root[other] = one
    members: dict[int, tuple[list[Outline], list[Outline]]] = {}
    for place in range(len(root)):
        sides = members.setdefault(find(place), ([], []))
        if place < len(before):
            sides[0].append(before[place])
        else:
            sides[1].append(after[place - len(before)])
    continued = {find(left) for left, _ in said}
    return [
        Followed(
            tuple(earlier),
            tuple(later),
            ("continuation" if top in continued else "overlap") if earlier and later else "",
        )
        for top, (earlier, later) in members.items()
    ]


def _array(shapes: Sequence[shapely.Geometry]) -> Shapes:
    array = np.empty(len(shapes), dtype=object)
    array[:] = shapes
    return array
