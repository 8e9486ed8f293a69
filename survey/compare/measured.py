"""How large is each outline inside the part of the wall that both surveys saw?

Sizes: sq in for areas, in for lines, a count for points. Nothing here compares two outlines.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from survey.compare.follow import error_in
from survey.compare.model import Growth, NoiseModel, Outline
from survey.compare.regions import MOST_OF_IT
from survey.compare.uncertainty import (
    ENDS_OF_A_LINE,
    THRESHOLD_SE,
    area_sd_sq_in,
    difference_sd,
    growth,
    length_sd_in,
)


@dataclass(frozen=True)
class Measured:
    """An outline, its part inside a region, and that part's size.

    `border` is the drawn border inside the region: the perimeter [in] of an area, the number of
    ends of a line. `share` is how much of the whole outline lies inside.
    """

    outline: Outline
    inside: BaseGeometry
    size: float
    border: float
    share: float


def measured_inside(
    outlines: Iterable[Outline], region_of: Callable[[str], BaseGeometry]
) -> dict[int, Measured]:
    """Return each outline's part inside its term's region, by the outline's identity in memory.

    Outlines wholly inside, nearly all, are told by one prepared test for all and not cut.
    """
    found: dict[int, Measured] = {}
    by_term: dict[str, list[Outline]] = {}
    for outline in outlines:
        by_term.setdefault(outline.term, []).append(outline)
    for term, some in by_term.items():
        region = region_of(term)
        shapes = np.empty(len(some), dtype=object)
        shapes[:] = [outline.shape for outline in some]
        within = shapely.covers(region, shapes)
        areas, lengths = shapely.area(shapes).tolist(), shapely.length(shapes).tolist()
        for outline, whole, area, length in zip(some, within, areas, lengths, strict=True):
            if whole and outline.kind == "area":
                found[id(outline)] = Measured(outline, outline.shape, area, length, 1.0)
            else:
                found[id(outline)] = _measured(outline, region)
    return found


def size_of(shape: BaseGeometry, kind: str) -> float:
    """Return the size of a shape in the unit of its kind."""
    if kind == "area":
        return float(shape.area)
    if kind == "line":
        return float(shape.length)
    return float(shapely.get_num_geometries(shape)) if not shape.is_empty else 0.0


def share_in(outline: Outline, region: BaseGeometry) -> float:
    """Return how much of an outline lies in a region, from 0 to 1."""
    if region.is_empty:
        return 0.0
    whole = size_of(outline.shape, outline.kind)
    if shapely.covers(region, outline.shape):
        return 1.0
    return (
        size_of(shapely.intersection(outline.shape, region), outline.kind) / whole if whole else 0.0
    )


def lies_in(outline: Outline, region: BaseGeometry, noise: NoiseModel) -> bool:
    """Whether an outline's place counts as inside a region: most of it lies there, or more of
    it than its boundary error explains."""
    share = share_in(outline, region)
    if share >= MOST_OF_IT:
        return True
    size = share * size_of(outline.shape, outline.kind)
    return size > THRESHOLD_SE * _sd(outline, _border(outline.shape, outline.kind), noise)


def tested_growth(
    before: Sequence[Measured], after: Sequence[Measured], noise: NoiseModel
) -> Growth:
    """Return the difference of two sets of drawings of one item, with its standard error.

    A hand counts as the same only if one and the same hand is on record for all.
    """
    hands = {one.outline.hand for one in (*before, *after)}
    sessions = {one.outline.session for one in (*before, *after)}
    same_hand = len(hands) == 1 and "" not in hands
    same_session = len(sessions) == 1 and "" not in sessions
    shift = (sum(one.border for one in before) + sum(one.border for one in after)) / 2
    biases = ([] if same_hand else [noise.hand_bias_sd_in]) + (
        [] if same_session else [noise.session_bias_sd_in]
    )
    return growth(
        sum(one.size for one in before),
        sum(one.size for one in after),
        standard_error=difference_sd(
            hypot(*(_sd(one.outline, one.border, noise) for one in before)),
            hypot(*(_sd(one.outline, one.border, noise) for one in after)),
            shift=shift,
            bias_sds_in=biases,
        ),
        same_hand=same_hand,
        same_session=same_session,
    )


def _sd(outline: Outline, border: float, noise: NoiseModel) -> float:
    error = error_in(outline, noise.default_boundary_error_in)
    if outline.kind == "area":
        return area_sd_sq_in(
            boundary_error_in=error,
            perimeter_in=border,
            correlation_length_in=noise.correlation_length_in,
        )
    return (
        length_sd_in(boundary_error_in=error, ends=round(border)) if outline.kind == "line" else 0.0
    )


def _measured(outline: Outline, region: BaseGeometry) -> Measured:
    if region.is_empty:
        return Measured(outline, region, 0.0, 0.0, 0.0)
    inside = shapely.intersection(outline.shape, region)
    whole, size = size_of(outline.shape, outline.kind), size_of(inside, outline.kind)
    if outline.kind == "area":
        border = float(shapely.intersection(outline.shape.boundary, region).length)
    else:
        border = _border(inside, outline.kind)
    return Measured(outline, inside, size, border, size / whole if whole else 0.0)


def _border(shape: BaseGeometry, kind: str) -> float:
    if kind == "area":
        return float(shape.boundary.length)
    if kind == "line":
        return float(ENDS_OF_A_LINE * shapely.get_num_geometries(shapely.line_merge(shape)))
    return 0.0
