"""Under which term does an outline count when a later look told its kind?

A provisional term (whitish bloom, loss of untold depth) that a later entry resolves is no change
of the wall: the earlier outline counts under the term that it turned out to be.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from survey.compare.follow import Followed
from survey.compare.model import Outline, TermRule


def counted_outlines(
    followed: Sequence[Followed], terms: Mapping[str, TermRule]
) -> tuple[list[Outline], list[Outline], list[Followed]]:
    """Return the outlines that enter totals, before and after, and the items of points.

    Items in conflict enter no total. An outline that turned out to be of two kinds is shared
    between them by where they lie.
    """
    before: list[Outline] = []
    after: list[Outline] = []
    points: list[Followed] = []
    for item in followed:
        if any(outline.conflict for outline in (*item.before, *item.after)):
            continue
        earlier = _resolved(item.before, item.after, terms)
        later = _resolved(item.after, item.before, terms)
        before += earlier
        after += later
        marked = [
            tuple(outline for outline in side if outline.kind == "point")
            for side in (earlier, later)
        ]
        points += _points_by_term(item, *marked)
    return before, after, points


def _points_by_term(
    item: Followed, earlier: tuple[Outline, ...], later: tuple[Outline, ...]
) -> list[Followed]:
    found = []
    for term in dict.fromkeys(outline.term for outline in (*earlier, *later)):
        found.append(
            Followed(
                tuple(outline for outline in earlier if outline.term == term),
                tuple(outline for outline in later if outline.term == term),
                item.followed_by,
            )
        )
    return found


def _resolved(
    outlines: Sequence[Outline], others: Sequence[Outline], terms: Mapping[str, TermRule]
) -> list[Outline]:
    found: list[Outline] = []
    for outline in outlines:
        rule = terms.get(outline.term)
        told = [other for other in others if rule and other.term in rule.resolves_to]
        codes = list(dict.fromkeys(other.term for other in told))
        if not codes:
            found.append(outline)
        elif len(codes) == 1 or outline.kind != "area":
            found.append(replace(outline, term=codes[0]))
        else:
            found += _shared_out(outline, told, codes)
    return found


def _shared_out(outline: Outline, told: Sequence[Outline], codes: Sequence[str]) -> list[Outline]:
    """Give each term the part that its outlines cover, and what is left to the one with most."""
    rest = outline.shape
    parts: dict[str, BaseGeometry] = {}
    for code in codes:
        cover = shapely.union_all([other.shape for other in told if other.term == code])
        parts[code] = shapely.intersection(rest, cover)
        rest = shapely.difference(rest, cover)
    largest = max(codes, key=lambda code: parts[code].area)
    parts[largest] = shapely.union(parts[largest], rest)
    return [
        replace(outline, id=f"{outline.id}#{code}", term=code, shape=part)
        for code, part in parts.items()
        if part.area > 0
    ]
