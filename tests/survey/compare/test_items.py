"""Each item gets the one finding that the record allows."""

import pytest
import shapely

from survey.compare import model
from survey.compare.model import Act, NoiseModel, SetAside
from tests.survey.compare.two_surveys import (
    SEEN_ALL,
    WALL,
    compared,
    only_item,
    outline,
    survey,
)

SQUARE = shapely.box(100, 100, 104, 104)
LARGER = shapely.box(100, 100, 106, 106)
SMALLER = shapely.box(100, 100, 102, 102)
ELSEWHERE = shapely.box(500, 20, 504, 24)
RIGHT_HALF = shapely.box(504, 0, 1008, 168)
LEFT_HALF = shapely.box(0, 0, 504, 168)


def one(before, after, **further):
    """The finding of the only item between surveys of everything."""
    return only_item(compared(survey("B1", *before), survey("P1", *after), **further))


def test_an_item_drawn_alike_shows_no_change():
    item = one([outline(SQUARE, id="a")], [outline(SQUARE, continues=("a",))])

    assert item.finding == model.NO_CHANGE_SHOWN
    assert (item.before, item.after) == (16, 16)


def test_an_item_without_a_continuation_is_followed_by_overlap():
    item = one([outline(SQUARE)], [outline(LARGER)])

    assert item.finding == model.GROWN
    assert item.followed_by == "overlap"


def test_a_continuation_is_followed_wherever_it_was_drawn():
    item = one([outline(SQUARE, id="a")], [outline(ELSEWHERE, continues=("a",))])

    assert item.followed_by == "continuation"
    assert item.finding == model.NO_CHANGE_SHOWN


def test_an_item_is_followed_through_a_survey_in_between():
    item = one(
        [outline(SQUARE, id="a")],
        [outline(ELSEWHERE, continues=("middle",))],
        lineage={"middle": ("a",)},
    )

    assert item.followed_by == "continuation"


def test_seen_no_change_visible_adds_no_noise_and_is_not_tested():
    comparison = compared(
        survey("B1", outline(SQUARE, id="a")),
        survey("P1", outline(SQUARE, continues=("a",), basis=model.SEEN_NO_CHANGE, hand="other")),
    )

    assert only_item(comparison).finding == model.SEEN_NO_CHANGE_VISIBLE
    assert only_item(comparison).growth is None
    assert comparison.tested == 0


def test_an_item_drawn_smaller_is_called_so():
    assert one([outline(LARGER)], [outline(SQUARE)]).finding == model.DRAWN_SMALLER


def test_what_was_not_there_when_looked_for_is_new():
    item = one([], [outline(SQUARE)])

    assert item.finding == model.NEW
    assert (item.before, item.after) == (0, 16)


def test_what_nobody_could_have_seen_before_is_first_seen():
    item = only_item(
        compared(
            survey("B1", coverage={"normal": RIGHT_HALF}),
            survey("P1", outline(SQUARE)),
        )
    )

    assert item.finding == model.FIRST_SEEN


def test_what_was_not_on_the_search_list_is_first_seen():
    item = only_item(
        compared(
            survey("B1", searched={"normal": {"plaster-loss": WALL}}),
            survey("P1", outline(SQUARE)),
        )
    )

    assert item.finding == model.FIRST_SEEN


def test_a_new_item_that_lies_partly_where_nobody_looked_counts_with_its_seen_part():
    item = only_item(
        compared(
            survey("B1", coverage={"normal": LEFT_HALF}),
            survey("P1", outline(shapely.box(494, 20, 524, 30))),
        )
    )

    # source: plain arithmetic: 10 of 30 in lie left of 504
    assert item.finding == model.NEW
    assert item.after == pytest.approx(100)
    assert item.first_seen_beside == pytest.approx(200)


def test_what_cleaning_brought_to_view_is_revealed_not_new():
    cleaned = Act("cleaned-area", shapely.box(90, 90, 120, 120), reveals=True)

    assert one([], [outline(SQUARE)], acts=(cleaned,)).finding == model.REVEALED


def test_an_act_that_reveals_nothing_does_not_excuse_a_new_item():
    filled = Act("new-fill-reintegration", shapely.box(90, 90, 120, 120))

    assert one([], [outline(SQUARE)], acts=(filled,)).finding == model.NEW


def test_growth_that_lies_under_the_cleaned_part_is_revealed():
    cleaned = Act("cleaned-area", shapely.box(104, 90, 120, 120), reveals=True)

    grown = shapely.box(100, 100, 110, 104)
    assert one([outline(SQUARE)], [outline(grown)], acts=(cleaned,)).finding == model.REVEALED


def test_what_a_new_mode_brought_to_view_is_revealed():
    flakes = outline(SQUARE, term="flaking")

    item = only_item(
        compared(survey("B1", coverage={"normal": WALL}), survey("P1", flakes, coverage=SEEN_ALL))
    )

    assert item.finding == model.REVEALED


def test_what_is_gone_though_looked_for_again_is_not_found():
    item = one([outline(SQUARE)], [])

    assert item.finding == model.NOT_FOUND
    assert (item.before, item.after) == (16, 0)


def test_what_was_not_looked_at_again_is_not_called_gone():
    item = only_item(
        compared(survey("B1", outline(SQUARE)), survey("P1", coverage={"normal": RIGHT_HALF}))
    )

    assert item.finding == model.NOT_LOOKED_AT_AGAIN
    assert item.after is None


def test_a_look_in_another_light_is_no_second_look():
    item = only_item(
        compared(
            survey("B1", outline(SQUARE, term="flaking")),
            survey("P1", coverage={"normal": WALL}),
        )
    )

    assert item.finding == model.NOT_LOOKED_AT_AGAIN


def test_a_loss_that_was_filled_is_treated():
    fill = Act("new-fill-reintegration", shapely.box(99, 99, 105, 105))

    assert one([outline(SQUARE)], [], acts=(fill,)).finding == model.TREATED


def test_a_loss_that_was_filled_in_part_is_treated():
    fill = Act("new-fill-reintegration", shapely.box(103, 99, 110, 110))

    item = one([outline(LARGER)], [outline(shapely.box(100, 100, 103, 106))], acts=(fill,))

    assert item.finding == model.TREATED


def test_cleaning_takes_dust_away_but_no_paint_loss():
    cleaned = Act("cleaned-area", shapely.box(90, 90, 120, 120))

    dust = one([outline(SQUARE, term="dust")], [], acts=(cleaned,))
    loss = one([outline(SQUARE)], [], acts=(cleaned,))
    assert (dust.finding, loss.finding) == (model.TREATED, model.NOT_FOUND)


def test_an_item_in_two_pieces_is_split_and_its_sizes_are_summed():
    item = one(
        [outline(shapely.box(100, 100, 110, 104))],
        [outline(shapely.box(100, 100, 104, 104)), outline(shapely.box(105, 100, 110, 104))],
    )

    assert item.finding == model.SPLIT
    assert (item.before, item.after) == (40, 36)


def test_two_items_drawn_as_one_are_merged():
    item = one(
        [outline(shapely.box(100, 100, 104, 104)), outline(shapely.box(105, 100, 110, 104))],
        [outline(shapely.box(100, 100, 110, 104))],
    )

    assert item.finding == model.MERGED


def test_a_small_item_inside_a_large_one_stays_an_item_of_its_own():
    large, small = shapely.box(100, 90, 140, 120), shapely.box(110, 100, 112, 102)

    comparison = compared(
        survey("B1", outline(large), outline(small)), survey("P1", outline(large), outline(small))
    )

    assert [item.finding for item in comparison.items] == [model.NO_CHANGE_SHOWN] * 2


def test_neighbours_that_only_touch_are_not_one_item():
    comparison = compared(
        survey("B1", outline(SQUARE)), survey("P1", outline(shapely.box(103.9, 100, 108, 104)))
    )

    assert [item.finding for item in comparison.items] == [model.NOT_FOUND, model.NEW]


def test_without_any_coverage_nothing_is_comparable():
    comparison = compared(
        survey("B1", outline(SQUARE, id="a"), outline(ELSEWHERE), coverage={}),
        survey("P1", outline(LARGER, continues=("a",)), outline(shapely.box(1, 1, 5, 5))),
    )

    assert {item.finding for item in comparison.items} == {model.NOT_COMPARABLE}
    assert comparison.compared_sq_in == 0
    assert comparison.tested == 0
    assert all(row.sizes["area"].after == 0 for row in comparison.terms)


def test_a_pair_where_one_survey_did_not_look_is_not_comparable():
    item = only_item(
        compared(
            survey("B1", outline(SQUARE, id="a"), coverage={"normal": RIGHT_HALF}),
            survey("P1", outline(LARGER, continues=("a",))),
        )
    )

    assert item.finding == model.NOT_COMPARABLE


def test_a_conflict_is_not_comparable_and_in_no_total():
    comparison = compared(
        survey("B1", outline(SQUARE, id="a")),
        survey("P1", outline(LARGER, continues=("a",), conflict=True)),
    )

    assert only_item(comparison).finding == model.NOT_COMPARABLE
    assert comparison.terms == ()


def test_a_part_set_aside_is_not_comparable_and_says_why():
    aside = SetAside(LEFT_HALF, "the lamp stood on the other side", mode="normal")

    comparison = compared(survey("B1"), survey("P1", outline(SQUARE)), set_aside=(aside,))

    assert only_item(comparison).finding == model.NOT_COMPARABLE
    assert only_item(comparison).reason == "the lamp stood on the other side"


def test_what_lies_under_a_facing_is_not_called_absent():
    facing = outline(shapely.box(95, 95, 110, 110), term="facing")

    comparison = compared(survey("B1", outline(SQUARE, term="flaking")), survey("P1", facing))

    assert comparison.items[0].finding == model.NOT_COMPARABLE
    assert comparison.queries[0].rule == "facing"


def test_drawings_in_different_light_are_not_compared():
    item = one(
        [outline(SQUARE, id="a", term="repaint", mode="normal")],
        [outline(LARGER, continues=("a",), term="repaint", mode="uv")],
    )

    assert item.finding == model.NOT_COMPARABLE
    assert "uv" in item.reason


def test_a_crack_is_compared_by_its_length():
    item = one(
        [outline(shapely.LineString([(10, 10), (20, 10)]), id="a", term="hairline-crack")],
        [
            outline(
                shapely.LineString([(10, 10), (24, 10)]), continues=("a",), term="hairline-crack"
            )
        ],
    )

    assert item.finding == model.GROWN
    assert (item.before, item.after) == (10, 14)
    assert item.to_json()["threshold_in"] == pytest.approx(1.96 * 0.12)


def test_points_are_compared_by_their_count():
    item = one(
        [outline(shapely.MultiPoint([(10, 10), (12, 10)]), id="a", term="pop-out")],
        [
            outline(
                shapely.MultiPoint([(10, 10), (12, 10), (14, 9)]), continues=("a",), term="pop-out"
            )
        ],
    )

    assert item.finding == model.GROWN
    assert item.to_json()["before_count"] == 2
    assert item.growth is None


def test_creep_below_each_rounds_threshold_shows_against_the_baseline():
    sides = {"B1": 10.0, "P1": 10.03, "P2": 10.06}
    drawn = {
        code: outline(
            shapely.box(100, 100, 100 + side, 110),
            id=code,
            continues={"B1": (), "P1": ("B1",), "P2": ("P1",)}[code],
            boundary_error_in=0.02,
        )
        for code, side in sides.items()
    }
    noise = NoiseModel(correlation_length_in=0.5)

    item = only_item(
        compared(
            survey("P1", drawn["P1"]),
            survey("P2", drawn["P2"]),
            baseline=survey("B1", drawn["B1"]),
            noise=noise,
            lineage={"P1": ("B1",)},
        )
    )

    # source: plain arithmetic: standard error 0.02 sqrt(2 x 40 x 0.5) = 0.126; 0.3 and 0.6 sq in
    # are 2.4 and 4.7 of it; one tenth of the steps is below the threshold, see the next test
    assert item.finding == model.GROWN
    assert item.against_baseline.growth.z == pytest.approx(2 * item.growth.z, rel=0.01)


def test_slow_creep_is_no_change_in_a_round_but_growth_since_the_baseline():
    b1 = outline(shapely.box(100, 100, 110, 110), id="b1")
    p1 = outline(shapely.box(100, 100, 110.06, 110), id="p1", continues=("b1",))
    p2 = outline(shapely.box(100, 100, 110.12, 110), id="p2", continues=("p1",))

    item = only_item(
        compared(
            survey("P1", p1), survey("P2", p2), baseline=survey("B1", b1), lineage={"p1": ("b1",)}
        )
    )

    # source: plain arithmetic: standard error 0.06 sqrt(2 x 40 x 0.5) = 0.38; 0.6 sq in is 1.6 of
    # it, 1.2 sq in is 3.2
    assert item.finding == model.NO_CHANGE_SHOWN
    assert item.against_baseline.finding == model.GROWN


def test_every_outline_is_in_exactly_one_item_and_the_order_is_fixed():
    before = [outline(shapely.box(x, 20, x + 3, 24)) for x in range(10, 90, 8)]
    after = [outline(shapely.box(x, 20, x + 3, 24)) for x in range(14, 94, 4)]

    first, second = (compared(survey("B1", *before), survey("P1", *after)) for _ in range(2))

    ids = [one for item in first.items for one in (*item.before_ids, *item.after_ids)]
    assert sorted(ids) == sorted(one.id for one in (*before, *after))
    assert first.to_json() == second.to_json()
