"""Which part of the wall did both surveys see, in a mode that a term needs?

Missing coverage means not seen, never seen. Nothing here looks at what was drawn beyond where
an outline lies.
"""

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property

import shapely
from shapely.geometry.base import BaseGeometry

from survey.compare.model import CompareInput, Outline, SurveyRecord, TermRule

NOTHING = shapely.Polygon()
MOST_OF_IT = 0.5  # share of an outline from which on its place counts as seen (common practice)


class Regions:
    """The areas that two surveys saw, each worked out once and kept."""

    def __init__(self, given: CompareInput, before: SurveyRecord | None = None) -> None:
        self._given = given
        self._before = before if before is not None else given.before
        self._after = given.after
        self._kept: dict[tuple[object, ...], BaseGeometry] = {}

    @cached_property
    def wall(self) -> BaseGeometry:
        """The painted field: the wall's rectangle without its openings."""
        field = shapely.box(0.0, 0.0, self._given.width_in, self._given.height_in)
        return areas_of(field - union_of(part.shape for part in self._given.openings))

    @cached_property
    def seen_twice(self) -> BaseGeometry:
        """What both surveys saw in some same mode."""
        modes = set(self._before.coverage) & set(self._after.coverage)
        return union_of(self._in_mode(mode) for mode in sorted(modes))

    @cached_property
    def seen_after(self) -> BaseGeometry:
        """What the later survey saw in any mode."""
        return areas_of(union_of(self._after.coverage.values()) & self.wall)

    @property
    def both_have_coverage(self) -> bool:
        """Whether each survey says at all what it looked at."""
        return has_coverage(self._before) and has_coverage(self._after)

    def compared(self, term: TermRule) -> BaseGeometry:
        """Where both surveys saw the wall in a same mode of the term's and looked for the term."""
        return self._kept_as(
            ("compared", term.modes, self._search_key(term)),
            lambda: union_of(
                self._in_mode(mode)
                & searched_in(self._before, mode, term.code)
                & searched_in(self._after, mode, term.code)
                for mode in term.modes
                if mode in self._before.coverage and mode in self._after.coverage
            ),
        )

    def seen_pair(self, term: TermRule) -> BaseGeometry:
        """Where both surveys saw the wall in a same mode of the term's: what was drawn on both
        dates may be compared there, whether the term was on the search list or not."""
        return self._kept_as(
            ("pair", term.modes),
            lambda: union_of(
                self._in_mode(mode)
                for mode in term.modes
                if mode in self._before.coverage and mode in self._after.coverage
            ),
        )

    def looked_at(
        self, survey: SurveyRecord, modes: tuple[str, ...], term: str | None
    ) -> BaseGeometry:
        """Where a survey saw the wall in any of the modes; with a term, where it looked for it."""
        return self._kept_as(
            ("looked", survey.code, modes, term),
            lambda: areas_of(
                union_of(
                    survey.coverage[mode]
                    if term is None
                    else areas_of(survey.coverage[mode] & searched_in(survey, mode, term))
                    for mode in modes
                    if mode in survey.coverage
                )
                & self.wall
            ),
        )

    def _in_mode(self, mode: str) -> BaseGeometry:
        return self._kept_as(("mode", mode), lambda: self._seen_in(mode))

    def _seen_in(self, mode: str) -> BaseGeometry:
        both = self._before.coverage[mode] & self._after.coverage[mode] & self.wall
        barred = union_of(part.shape for part in self._given.set_aside if part.mode in (None, mode))
        return areas_of(both - barred)

    def _search_key(self, term: TermRule) -> tuple[object, ...]:
        return (
            *self._one_search_key(self._before, term.code, term.modes),
            *self._one_search_key(self._after, term.code, term.modes),
        )

    @staticmethod
    def _one_search_key(survey: SurveyRecord, term: str, modes: Iterable[str]) -> Iterable[object]:
        for mode in modes:
            by_term = survey.searched.get(mode)
            if by_term is None:
                yield None
            else:
                shape = by_term.get(term)
                yield "none" if shape is None else shape.wkb

    def _kept_as(self, key: tuple[object, ...], work: Callable[[], BaseGeometry]) -> BaseGeometry:
        if key not in self._kept:
            region = areas_of(work())
            shapely.prepare(region)
            self._kept[key] = region
        return self._kept[key]


EVERYWHERE = shapely.box(-1e7, -1e7, 1e7, 1e7)


def searched_in(survey: SurveyRecord, mode: str, term: str) -> BaseGeometry:
    """Return where a term was looked for in a mode; everywhere if no search list is kept."""
    by_term: Mapping[str, BaseGeometry] | None = survey.searched.get(mode)
    if by_term is None:
        return EVERYWHERE
    return by_term.get(term, NOTHING)


def modes_to_find(outline: Outline, term: TermRule) -> tuple[str, ...]:
    """Return the modes in which this outline would be seen again: its own, if the term needs it."""
    return (outline.mode,) if outline.mode in term.modes else term.modes


def has_coverage(survey: SurveyRecord) -> bool:
    return any(not shape.is_empty for shape in survey.coverage.values())


def union_of(shapes: Iterable[BaseGeometry]) -> BaseGeometry:
    """Return the union of areas; an empty polygon of none."""
    found = list(shapes)
    return shapely.union_all(found) if found else NOTHING


def areas_of(shape: BaseGeometry) -> BaseGeometry:
    """Return only the areas of a geometry: the lines and points where two regions touch go."""
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    parts = [part for part in shapely.get_parts(shape) if shapely.get_dimensions(part) == 2]
    return union_of(parts)
