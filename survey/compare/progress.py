"""Which sources turned into which successors?

A permitted progression (flaking to paint loss, hollow to plaster loss, hairline to plaster crack)
where source and successor overlap by more than both boundary errors explain is one finding with
both sizes and no query.
"""

from collections.abc import Mapping, Sequence
from math import hypot

import numpy as np
import shapely

from survey.compare import model
from survey.compare.follow import error_in
from survey.compare.items import Case
from survey.compare.measured import size_of
from survey.compare.model import NoiseModel, Outline, TermRule
from survey.compare.rules import successors
from survey.compare.uncertainty import THRESHOLD_SE

MOST_OF_SMALLER = 0.5  # a small successor may be narrower than the errors, yet lie in its source

GONE = frozenset({model.NOT_FOUND, model.NOT_LOOKED_AT_AGAIN, model.TREATED})
CAME = frozenset({model.NEW, model.FIRST_SEEN, model.REVEALED})


def join_progressions(
    cases: Sequence[Case], terms: Mapping[str, TermRule], noise: NoiseModel
) -> list[Case]:
    """Return the cases with every source and successor joined to one finding.

    A source that is gone or shrunk takes the finding; a successor that came by it is then no
    finding of its own. A source that stands unchanged keeps its finding, and the successor's
    is *progressed*, with the source's size as its own before. One that existed before and grew
    into a source keeps its finding too.
    """
    for source, came, outline in _overlapping(cases, terms, noise):
        shrunk = model.DRAWN_SMALLER in (source.finding, source.size_finding)
        if source.finding == model.PROGRESSED or source.finding in GONE or shrunk:
            _source_takes(source, came, outline)
        elif came.finding in CAME | {model.PROGRESSED} and not came.before:
            _successor_takes(came, source, outline)
    return [case for case in cases if not case.absorbed]


def _source_takes(source: Case, came: Case, outline: Outline) -> None:
    if source.finding != model.PROGRESSED:
        if source.after:
            source.remaining = sum(one.size for one in source.after)
        source.after_size = 0.0
        source.finding, source.reason, source.growth = model.PROGRESSED, "", None
        source.size_finding = ""
        source.became = outline.term
    elif not source.successors:
        return  # a continuation already says what it became
    if outline not in source.successors:
        source.successors = (*source.successors, outline)
        source.after_size = (source.after_size or 0.0) + size_of(outline.shape, outline.kind)
    if came.finding in CAME and not came.before:
        came.absorbed = True


def _successor_takes(came: Case, source: Case, outline: Outline) -> None:
    if came.absorbed:
        return
    if came.finding != model.PROGRESSED:
        came.finding, came.reason, came.before_size = model.PROGRESSED, "", 0.0
        came.after_size = size_of(outline.shape, outline.kind)
        came.became, came.term = outline.term, source.term
        came.first_seen_beside = None
    came.sources = (*came.sources, *source.followed.before)
    came.before_size = (came.before_size or 0.0) + sum(
        size_of(one.shape, one.kind) for one in source.followed.before
    )


def _overlapping(
    cases: Sequence[Case], terms: Mapping[str, TermRule], noise: NoiseModel
) -> list[tuple[Case, Case, Outline]]:
    """Return source, successor and the successor's outline, in the cases' order."""
    later = [(case, outline) for case in cases for outline in case.followed.after]
    sources = [
        (case, outline, after)
        for case in cases
        for outline in case.followed.before
        if (after := successors(outline.term, terms)) and case.finding != model.NOT_COMPARABLE
    ]
    if not later or not sources:
        return []
    wanted = frozenset().union(*(after for _, _, after in sources))
    later = [pair for pair in later if pair[1].term in wanted]
    shapes = np.empty(len(later), dtype=object)
    shapes[:] = [outline.shape for _, outline in later]
    tree = shapely.STRtree(shapes)
    found = []
    for case, outline, after in sources:
        for place in sorted(tree.query(outline.shape).tolist()):
            other, successor = later[place]
            if other is case or successor.term not in after or successor.conflict:
                continue
            if other.finding == model.NOT_COMPARABLE:
                continue
            if overlap_is_real(outline, successor, noise):
                found.append((case, other, successor))
    return found


def overlap_is_real(source: Outline, successor: Outline, noise: NoiseModel) -> bool:
    """Whether two outlines overlap by more than both their boundary errors explain.

    Two that only share a border overlap in strips as wide as the errors (1.96 of both in
    quadrature): a real overlap is wider, or holds most of the smaller outline.
    """
    width = THRESHOLD_SE * hypot(
        error_in(source, noise.default_boundary_error_in),
        error_in(successor, noise.default_boundary_error_in),
    )
    if source.kind != "area" or successor.kind != "area":
        return _line_overlap(source, successor, width)
    common = shapely.intersection(source.shape, successor.shape)
    if common.area >= MOST_OF_SMALLER * min(source.shape.area, successor.shape.area):
        return True
    return not shapely.buffer(common, -width / 2).is_empty


def _line_overlap(source: Outline, successor: Outline, width: float) -> bool:
    """A line or point runs along, in or at another if most of the smaller one is within reach."""
    thin, other = sorted((source, successor), key=lambda one: (one.kind == "area", _size(one)))
    near = shapely.intersection(thin.shape, shapely.buffer(other.shape, width))
    return size_of(near, thin.kind) >= MOST_OF_SMALLER * size_of(thin.shape, thin.kind)


def _size(outline: Outline) -> float:
    return size_of(outline.shape, outline.kind)
