"""Builds small comparisons on the invented wall for the tests beside it."""

from datetime import date
from itertools import count

import shapely

from gridmap.grid import Grid
from survey.compare.engine import compare
from survey.compare.model import (
    CompareInput,
    Comparison,
    ItemFinding,
    Outline,
    SurveyRecord,
    TermRule,
)

WIDTH_IN, HEIGHT_IN = 84 * 12, 14 * 12
GRID = Grid.regular(width_in=WIDTH_IN, height_in=HEIGHT_IN, column_spacing_in=24, row_spacing_in=24)
WALL = shapely.box(0, 0, WIDTH_IN, HEIGHT_IN)
SEEN_ALL = {"normal": WALL, "raking": WALL}

TERMS = {
    rule.code: rule
    for rule in (
        TermRule("paint-loss", "paint loss", "paint", progresses_to=("plaster-loss",)),
        TermRule("plaster-loss", "plaster loss", "plaster"),
        TermRule("flaking", "flaking", "paint", modes=("raking",), progresses_to=("paint-loss",)),
        TermRule("detachment", modes=("percussion",), progresses_to=("moving-detachment",)),
        TermRule("moving-detachment", modes=("percussion",), progresses_to=("plaster-loss",)),
        TermRule("unsupported-edge", geometry=("line",), progresses_to=("plaster-loss",)),
        TermRule("hairline-crack", geometry=("line",), rule="G", progresses_to=("plaster-crack",)),
        TermRule("plaster-crack", geometry=("line",), rule="G"),
        TermRule("pop-out", geometry=("point",)),
        TermRule("efflorescence", layer="surface", rule="V"),
        TermRule("salt-crust", layer="surface", rule="V", query_on_change=True),
        TermRule("dust", layer="surface", rule="A"),
        TermRule("repaint", layer="paint", kind="I", rule="R", modes=("normal", "uv")),
        TermRule("signature", layer="paint", kind="A", rule="F"),
        TermRule("facing", layer="paint", kind="T", rule="R"),
        TermRule("loss-depth-not-told", resolves_to=("plaster-loss", "paint-loss")),
    )
}

_numbers = count(1)


def outline(shape, *, id="", item="", term="paint-loss", hand="Tomas Sedge", **further) -> Outline:
    """An observation by one hand with a boundary error of 0.06 in, in the term's own light."""
    kind = {0: "point", 1: "line", 2: "area"}[shapely.get_dimensions(shape)]
    id = id or f"o{next(_numbers)}"
    further.setdefault("mode", TERMS[term].modes[0])
    further.setdefault("boundary_error_in", 0.06)
    return Outline(id=id, item=item or id, term=term, kind=kind, shape=shape, hand=hand, **further)


def survey(code, *outlines, coverage=SEEN_ALL, **further) -> SurveyRecord:
    return SurveyRecord(code=code, outlines=outlines, coverage=coverage, **further)


def compared(before, after, *, terms=TERMS, **further) -> Comparison:
    return compare(
        CompareInput(
            before=before,
            after=after,
            grid=GRID,
            width_in=WIDTH_IN,
            height_in=HEIGHT_IN,
            terms=terms,
            **further,
        )
    )


def only_item(comparison: Comparison) -> ItemFinding:
    [item] = comparison.items
    return item


def rectangle(*, area_sq_in, perimeter_in, x_in=390, y_in=100):
    """A rectangle of a given area and perimeter, by the two equations of its sides."""
    half = perimeter_in / 2
    root = (half * half - 4 * area_sq_in) ** 0.5
    return shapely.box(x_in, y_in, x_in + (half + root) / 2, y_in + (half - root) / 2)


B1_DATES = {"starts_on": date(2026, 3, 2), "ends_on": date(2026, 3, 11)}
P1_DATES = {"starts_on": date(2026, 6, 15), "ends_on": date(2026, 6, 19)}
