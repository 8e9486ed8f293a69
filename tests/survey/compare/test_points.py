"""Marked places are counted; a place drawn again nearby is the same place."""

import shapely

from survey.compare.model import Part
from tests.survey.compare.two_surveys import WALL, compared, outline, survey


def pop_outs(*places, **further):
    return outline(shapely.MultiPoint(places), term="pop-out", **further)


def counts(row):
    sizes = row.sizes["point"]
    return sizes.before, sizes.after, sizes.added, sizes.removed, sizes.common


def test_a_place_within_the_tolerance_is_the_same_place():
    comparison = compared(
        survey("B1", pop_outs((10, 10), (40, 10))),
        survey("P1", pop_outs((10.2, 10)), pop_outs((60, 10))),
        tolerance_in=0.25,
    )

    assert counts(comparison.terms[0]) == (2, 2, 1, 1, 1)


def test_a_place_that_crossed_a_cell_line_counts_where_it_stood_first():
    comparison = compared(
        survey("B1", pop_outs((23.9, 10))), survey("P1", pop_outs((24.1, 10))), tolerance_in=0.25
    )

    [row] = comparison.cells
    assert row.place == "G01"
    assert counts(row) == (1, 1, 0, 0, 1)


def test_a_place_outside_what_both_saw_is_not_counted():
    left = {"normal": shapely.box(0, 0, 30, 168)}

    comparison = compared(
        survey("B1", pop_outs((10, 10), (40, 10)), coverage=left),
        survey("P1", coverage={"normal": WALL}),
    )

    assert counts(comparison.terms[0]) == (1, 0, 0, 1, 0)


def test_cells_and_zones_add_up_to_the_whole():
    zones = (
        Part("west", shapely.box(0, 0, 35, 168)),
        Part("east", shapely.box(35.5, 0, 1008, 168)),
    )
    comparison = compared(
        survey("B1", pop_outs((10, 10), (40, 10), (70, 20))),
        survey("P1", pop_outs((10, 10), (90, 90))),
        zones=zones,
        tolerance_in=0.25,
    )

    for rows in (comparison.cells, comparison.zones):
        summed = tuple(map(sum, zip(*(counts(row) for row in rows), strict=True)))
        assert summed == counts(comparison.terms[0])
