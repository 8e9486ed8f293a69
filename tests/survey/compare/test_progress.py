"""What turns into what is one finding with both sizes and no query."""

import pytest
import shapely

from survey.compare import model
from survey.compare.rules import successors
from tests.survey.compare.two_surveys import TERMS, compared, only_item, outline, survey

FLAKES = shapely.box(100, 100, 110, 110)
WITH_PERCUSSION = dict.fromkeys(("normal", "raking", "percussion"), shapely.box(0, 0, 1008, 168))


def test_flaking_that_fell_is_one_finding_with_both_sizes_and_no_query():
    comparison = compared(
        survey("B1", outline(FLAKES, term="flaking", item="F1")),
        survey("P1", outline(shapely.box(101, 101, 108, 108), item="L9")),
    )

    item = only_item(comparison)
    assert (item.finding, item.item, item.term, item.became) == (
        model.PROGRESSED,
        "F1",
        "flaking",
        "paint-loss",
    )
    assert (item.before, item.after) == pytest.approx((100, 49))
    assert comparison.queries == ()


def test_a_continuation_under_a_later_stage_is_progressed():
    comparison = compared(
        survey("B1", outline(FLAKES, id="d", term="detachment"), coverage=WITH_PERCUSSION),
        survey(
            "P1",
            outline(FLAKES, term="moving-detachment", continues=("d",)),
            coverage=WITH_PERCUSSION,
        ),
    )

    assert only_item(comparison).finding == model.PROGRESSED
    assert comparison.queries == ()


def test_flaking_drawn_smaller_where_paint_fell_raises_no_query():
    comparison = compared(
        survey("B1", outline(FLAKES, id="f", term="flaking")),
        survey(
            "P1",
            outline(shapely.box(100, 100, 105, 110), term="flaking", continues=("f",)),
            outline(shapely.box(105, 100, 110, 110)),
        ),
    )

    item = only_item(comparison)
    assert item.finding == model.PROGRESSED
    assert (item.before, item.after, item.remaining) == pytest.approx((100, 50, 50))
    assert comparison.queries == ()


def test_a_loss_in_flaking_that_still_stands_is_progressed_beside_it():
    comparison = compared(
        survey("B1", outline(FLAKES, id="f", term="flaking")),
        survey(
            "P1",
            outline(FLAKES, term="flaking", continues=("f",), basis=model.SEEN_NO_CHANGE),
            outline(shapely.box(104, 104, 106, 106)),
        ),
    )

    assert [item.finding for item in comparison.items] == [
        model.SEEN_NO_CHANGE_VISIBLE,
        model.PROGRESSED,
    ]


def test_outlines_that_only_share_a_border_did_not_turn_into_each_other():
    # source: plain arithmetic: both errors in quadrature, 1.96 x 0.06 x sqrt 2 = 0.17 in
    comparison = compared(
        survey("B1", outline(FLAKES, term="flaking")),
        survey("P1", outline(shapely.box(109.9, 100, 120, 110))),
    )

    assert [item.finding for item in comparison.items] == [model.NOT_FOUND, model.NEW]


def test_the_same_overlap_of_surer_hands_is_a_progression():
    comparison = compared(
        survey("B1", outline(FLAKES, term="flaking", boundary_error_in=0.01)),
        survey("P1", outline(shapely.box(109.9, 100, 120, 110), boundary_error_in=0.01)),
    )

    assert only_item(comparison).finding == model.PROGRESSED


def test_what_cannot_turn_into_it_is_no_progression():
    comparison = compared(
        survey("B1", outline(FLAKES)), survey("P1", outline(FLAKES, term="flaking"))
    )

    assert [item.finding for item in comparison.items] == [model.NOT_FOUND, model.NEW]


def test_stages_may_be_skipped():
    assert successors("detachment", TERMS) == {"moving-detachment", "plaster-loss"}
    assert successors("flaking", TERMS) == {"paint-loss", "plaster-loss"}


def test_an_edge_that_fell_leaves_a_loss_of_another_kind_of_size():
    comparison = compared(
        survey(
            "B1", outline(shapely.LineString([(100, 100), (110, 100)]), term="unsupported-edge")
        ),
        survey("P1", outline(shapely.box(100, 98, 110, 101), term="plaster-loss")),
    )

    row = only_item(comparison).to_json()
    assert row["finding"] == model.PROGRESSED
    assert (row["before_in"], row["after_sq_in"]) == pytest.approx((10, 30))
