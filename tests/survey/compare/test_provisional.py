"""A kind that a later look told is no change of the wall."""

import pytest
import shapely

from survey.compare import model
from tests.survey.compare.two_surveys import compared, only_item, outline, survey

LOSS = shapely.box(100, 100, 104, 104)


def test_a_loss_whose_depth_was_told_later_is_no_change():
    comparison = compared(
        survey("B1", outline(LOSS, term="loss-depth-not-told")), survey("P1", outline(LOSS))
    )

    assert only_item(comparison).finding == model.NO_CHANGE_SHOWN
    [row] = comparison.terms
    assert row.term == "paint-loss"
    assert (row.sizes["area"].added, row.sizes["area"].removed) == (0, 0)
    assert comparison.queries == ()


def test_one_loss_that_turned_out_to_be_of_two_depths_is_shared_between_them():
    comparison = compared(
        survey("B1", outline(shapely.box(100, 100, 110, 104), id="u", term="loss-depth-not-told")),
        survey(
            "P1",
            outline(shapely.box(100, 100, 104, 104), continues=("u",)),
            outline(shapely.box(104, 100, 110, 104), term="plaster-loss", continues=("u",)),
        ),
    )

    sizes = {row.term: row.sizes["area"] for row in comparison.terms}
    assert sizes.keys() == {"paint-loss", "plaster-loss"}
    assert [size for one in sizes.values() for size in (one.before, one.after)] == pytest.approx(
        [16, 16, 24, 24]
    )


def test_a_resolved_loss_that_grew_is_grown():
    comparison = compared(
        survey("B1", outline(LOSS, term="loss-depth-not-told")),
        survey("P1", outline(shapely.box(100, 100, 106, 106))),
    )

    assert only_item(comparison).finding == model.GROWN
