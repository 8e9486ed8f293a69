"""The comparison as a whole: its keys, its rows and what it leaves out."""

import json

import pytest
import shapely

from survey.compare.model import Part
from tests.survey.compare.two_surveys import GRID, WALL, compared, outline, survey

ROW_KEYS = {
    "before_sq_in",
    "after_sq_in",
    "added_sq_in",
    "removed_sq_in",
    "common_sq_in",
    "added_beyond_sq_in",
    "removed_beyond_sq_in",
}
CLOCK = Part("clock", shapely.Point(504, 126).buffer(18))


def comparison():
    return compared(
        survey(
            "B1",
            outline(shapely.box(20, 20, 30, 26), id="a", item="L1"),
            outline(shapely.LineString([(5, 5), (60, 5)]), term="hairline-crack"),
        ),
        survey(
            "P1",
            outline(shapely.box(20, 20, 32, 26), item="L1", continues=("a",)),
            outline(shapely.box(480, 110, 520, 140), item="L2"),
            outline(shapely.Point(9, 9), term="pop-out"),
        ),
        openings=(CLOCK,),
        zones=(Part("river", shapely.box(0, 0, 26, 60)),),
        decks=(Part("1", shapely.box(0, 0, 1008, 80)),),
        tolerance_in=0.25,
    )


def test_the_json_has_the_keys_that_scripts_rely_on():
    found = json.loads(json.dumps(comparison().to_json(), allow_nan=False))

    assert found["before"] == "B1"
    assert found.keys() >= {
        "before",
        "after",
        "tolerance_in",
        "compared_sq_in",
        "not_compared_sq_in",
        "terms",
        "cells",
        "zones",
        "decks",
        "items",
        "queries",
        "tested",
        "false_discovery_rate",
    }
    by_term = {row["term"]: row for row in found["terms"]}
    assert by_term["paint-loss"].keys() >= ROW_KEYS
    assert by_term["hairline-crack"].keys() >= {"before_in", "added_beyond_in"}
    assert by_term["pop-out"].keys() >= {"before_count", "added_count"}
    assert found["cells"][0].keys() >= {"cell", "term"}
    assert found["zones"][0]["zone"] == "river"
    assert found["decks"][0]["deck"] == "1"
    assert found["items"][0].keys() >= {
        "item",
        "term",
        "finding",
        "before_sq_in",
        "after_sq_in",
        "standard_error_sq_in",
        "z",
        "p",
        "p_adjusted",
        "threshold_sq_in",
        "reliably_seen_sq_in",
    }


def test_an_infinite_certainty_is_still_valid_json():
    certain = compared(
        survey("B1", outline(shapely.box(1, 1, 3, 3), id="a", boundary_error_in=0.0)),
        survey("P1", outline(shapely.box(1, 1, 4, 3), continues=("a",), boundary_error_in=0.0)),
    )

    [item] = json.loads(json.dumps(certain.to_json(), allow_nan=False))["items"]
    assert (item["finding"], item["z"], item["p"]) == ("grown", None, 0.0)


def test_openings_are_neither_compared_nor_counted():
    found = comparison()

    # source: plain shapely: the outline over the clock without the clock, and the wall without it
    assert found.compared_sq_in == pytest.approx((WALL - CLOCK.shape).area)
    assert found.not_compared_sq_in == pytest.approx(0)
    row = next(row for row in found.terms if row.term == "paint-loss").sizes["area"]
    expected = 72 + (shapely.box(480, 110, 520, 140) - CLOCK.shape).area
    assert row.after == pytest.approx(expected)


def test_a_zone_counts_only_what_lies_in_it():
    row = next(row for row in comparison().zones if row.term == "paint-loss").sizes["area"]

    # source: plain arithmetic: x from 20 to 26, 6 in high
    assert (row.before, row.after, row.common) == pytest.approx((36, 36, 36))


def test_cells_stand_in_reading_order():
    labels = [row.place for row in comparison().cells]

    order = {label: place for place, label in enumerate(GRID.labels())}
    assert labels == sorted(labels, key=order.__getitem__)


def test_two_empty_surveys_compare_to_nothing():
    found = compared(survey("B1"), survey("P1"))

    assert (found.items, found.terms, found.queries, found.tested) == ((), (), (), 0)
    assert found.compared_sq_in == WALL.area


def test_a_term_that_the_vocabulary_does_not_know_is_still_compared():
    found = compared(survey("B1"), survey("P1", outline(shapely.box(1, 1, 3, 3))), terms={})

    assert found.items[0].finding == "new"
