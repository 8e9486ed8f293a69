"""What the wall page says at a glance: counts and areas by term, coverage, and what waits."""

from collections import defaultdict
from dataclasses import dataclass, field

import shapely

from gridmap.lengths import SQ_IN_PER_SQ_FT
from gridmap.strip import AreaInk, CellInk
from survey.record.models import Mode, Standing, Survey
from survey.record.selectors import (
    coverage_by_mode,
    painted_area,
    standing_observations,
    touch_by_mode,
)
from survey.vocabulary.selectors import vocabulary_of
from survey.vocabulary.terms import LAYER_NAMES, Term


@dataclass
class TermTotal:
    """How much of one term stands in a survey: areas in sq in, lines in inches, points by count."""

    term: Term
    count: int = 0
    area_sq_in: float = 0.0
    length_in: float = 0.0
    points: int = 0
    cells: set[str] = field(default_factory=set)

    @property
    def layer_name(self) -> str:
        return LAYER_NAMES[self.term.layer]


@dataclass(frozen=True)
class ModeCoverage:
    """How much of the painted wall one mode saw and reached."""

    mode: str
    seen_sq_in: float
    touch_sq_in: float
    painted_sq_in: float

    @property
    def mode_name(self) -> str:
        return Mode(self.mode).label

    @property
    def seen_sq_ft(self) -> float:
        return self.seen_sq_in / SQ_IN_PER_SQ_FT

    @property
    def touch_sq_ft(self) -> float:
        return self.touch_sq_in / SQ_IN_PER_SQ_FT

    @property
    def seen_pct(self) -> float:
        return 100.0 * self.seen_sq_in / self.painted_sq_in

    @property
    def touch_pct(self) -> float:
        return 100.0 * self.touch_sq_in / self.painted_sq_in


def term_totals(survey: Survey) -> list[TermTotal]:
    """Return the totals of every term that stands in a survey, in the vocabulary's order.

    Areas of one term may overlap: each outline counts as drawn. Outlines in conflict are left out.
    """
    vocabulary = vocabulary_of(survey.vocabulary)
    totals: dict[str, TermTotal] = {}
    rows = survey.observations.filter(standing=Standing.STANDS).values_list(
        "term", "area_sq_in", "length_in", "cells"
    )
    for code, area_sq_in, length_in, cells in rows:
        total = totals.setdefault(code, TermTotal(vocabulary.term(code)))
        total.count += 1
        total.area_sq_in += area_sq_in
        total.length_in += length_in
        total.cells.update(cells)
    marked = survey.observations.filter(standing=Standing.STANDS, geometry_kind="point")
    for code, wkb in marked.values_list("term", "shape_wkb"):
        totals[code].points += int(shapely.get_num_geometries(shapely.from_wkb(bytes(wkb))))
    order = {term.code: place for place, term in enumerate(vocabulary.terms)}
    return sorted(totals.values(), key=lambda total: order[total.term.code])


def mode_coverages(survey: Survey) -> list[ModeCoverage]:
    """Return per mode the area seen and within touch, openings subtracted [sq in]."""
    examinations = list(survey.examinations.all())
    painted = painted_area(survey.layout)
    seen, touch = coverage_by_mode(examinations), touch_by_mode(examinations)
    nothing = shapely.Polygon()
    return [
        ModeCoverage(
            mode=mode,
            seen_sq_in=shapely.area(shapely.intersection(seen.get(mode, nothing), painted)),
            touch_sq_in=shapely.area(shapely.intersection(touch.get(mode, nothing), painted)),
            painted_sq_in=shapely.area(painted),
        )
        for mode in sorted(set(survey.modes) | set(seen))
    ]


def cells_with_outlines(survey: Survey) -> dict[str, int]:
    """Return how many outlines stand in each cell that has some."""
    counts: dict[str, int] = defaultdict(int)
    for cells in standing_observations(survey).values_list("cells", flat=True):
        for cell in cells:
            counts[cell] += 1
    return dict(counts)


MANY_OUTLINES = 5


def cell_inks(survey: Survey, link: str) -> dict[str, CellInk]:
    """Return how each cell of the strip is tinted; `link` has CELL where the label goes."""
    counts = cells_with_outlines(survey)
    inks = {}
    for label in survey.layout.grid.labels():
        count = counts.get(label, 0)
        style = "has-many" if count >= MANY_OUTLINES else "has-outlines" if count else ""
        words = f"{label}: {count} outlines" if count != 1 else f"{label}: 1 outline"
        inks[label] = CellInk(style=style, words=words, link=link.replace("CELL", label))
    return inks


def unseen_areas(survey: Survey, mode: str) -> list[AreaInk]:
    """Return the parts of the painted wall that a mode did not see, for the strip."""
    seen = coverage_by_mode(survey.examinations.filter(mode=mode))
    left = shapely.difference(painted_area(survey.layout), seen.get(mode, shapely.Polygon()))
    rings = [
        [list(ring.coords) for ring in (part.exterior, *part.interiors)]
        for part in shapely.get_parts(left)
        if isinstance(part, shapely.Polygon) and part.area > 0
    ]
    words = f"Not seen in {Mode(mode).label.lower()}"
    return [AreaInk(rings=found, style="strip-unseen", words=words) for found in rings]


def cells_waiting(survey: Survey) -> list[str]:
    """Return the cells that no examination of the survey calls done, in reading order."""
    done = set(survey.examinations.filter(done=True).values_list("cell", flat=True))
    done |= set(survey.examinations.filter(state="not-examined").values_list("cell", flat=True))
    return [label for label in survey.layout.grid.labels() if label not in done]
