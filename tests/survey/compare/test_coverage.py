"""How much was seen, touched and compared, on the invented wall."""

import pytest
import shapely

from survey.compare.coverage import Obstruction, hand_over, reachable, share_by_cell, summary
from survey.compare.model import Part, SetAside
from tests.survey.compare.two_surveys import (
    GRID,
    HEIGHT_IN,
    WALL,
    WIDTH_IN,
    compared,
    outline,
    survey,
)

SQ_FT = 144
BOARDS = shapely.box(0, 5.5 * 12, WIDTH_IN, 6.5 * 12)  # 13.5 to 14.5 ft above a floor 8 ft below
OUT_OF_REACH = shapely.box(0, HEIGHT_IN - 18, WIDTH_IN, HEIGHT_IN)
OBSTRUCTIONS = (
    Obstruction("deck 2's boards", BOARDS, "deck boards"),
    Obstruction("row A's top", OUT_OF_REACH, "beyond reach", touch_only=True),
)


def test_boards_hide_84_sq_ft_and_the_top_is_seen_but_not_touched():
    found = reachable(width_in=WIDTH_IN, height_in=HEIGHT_IN, obstructions=OBSTRUCTIONS)

    # source: the trade's worked coverage story: 1,092 of 1,176 sq ft seen, 966 within touch
    assert found.wall_sq_in / SQ_FT == 1176
    assert found.seen_sq_in / SQ_FT == pytest.approx(1092)
    assert found.touched_sq_in / SQ_FT == pytest.approx(966)
    assert found.hidden_sq_in / SQ_FT == pytest.approx(84)
    assert found.text == (
        "1,092 of 1,176 sq ft seen, 966 within touch (82.1%); hatched parts not seen."
    )


def test_the_boards_hide_a_quarter_of_each_cell_in_rows_d_and_e():
    shares = share_by_cell(BOARDS, GRID)

    assert len(shares) == 84
    assert {label[0] for label in shares} == {"D", "E"}
    assert set(shares.values()) == {0.25}


def test_openings_are_subtracted_and_said():
    clock = Part("clock", shapely.box(492, 114, 516, 138))

    found = reachable(width_in=WIDTH_IN, height_in=HEIGHT_IN, openings=(clock,))

    assert found.wall_sq_in / SQ_FT == pytest.approx(1172)
    assert "4 sq ft of openings not counted" in found.text


def test_an_obstruction_of_one_mode_hides_nothing_in_another():
    lamp = Obstruction("lamp stand", BOARDS, mode="raking")

    assert reachable(width_in=WIDTH_IN, height_in=HEIGHT_IN, obstructions=(lamp,)).hidden_sq_in == 0


def test_what_was_touched_was_seen():
    found = summary(width_in=WIDTH_IN, height_in=HEIGHT_IN, seen=shapely.Polygon(), touched=BOARDS)

    assert found.seen_sq_in == found.touched_sq_in == pytest.approx(84 * SQ_FT)


def cells(*labels):
    return shapely.union_all([shapely.box(*GRID.bounds(label)) for label in labels])


def test_the_phase_hand_over_counts_294_cells():
    other_lamp = cells(*(f"B{column:02d}" for column in range(1, 15)))
    unexamined = cells(*(f"F{column:02d}" for column in range(30, 39)))
    losses = [shapely.box(24 * n + 2, 2, 24 * n + 6, 6) for n in range(6)]
    before = [outline(losses[n], id=f"L{n}") for n in range(3)]
    after = [
        *(outline(losses[n], id=f"N{n}") for n in (3, 4, 5)),
        outline(losses[0].buffer(1), continues=("L0",)),
        outline(losses[1].buffer(1), continues=("L1",)),
        outline(losses[2].buffer(-1), continues=("L2",)),
    ]

    found = hand_over(
        compared(
            survey("P1", *before, coverage={"normal": WALL}),
            survey("P2", *after, coverage={"normal": WALL - unexamined}),
            set_aside=(SetAside(other_lamp, "the lamp stood on the other side"),),
        )
    )

    # source: the trade's worked hand-over story: 294 = 271 + 14 + 9; 3 new, 2 grown, 1 contradictory
    assert found.text == (
        "294 cells: 271 compared like for like, 14 not comparable, 9 not examined; "
        "3 new, 2 grown, 1 contradictory."
    )
    assert found.not_comparable == tuple(f"B{column:02d}" for column in range(1, 15))
    assert found.not_examined == tuple(f"F{column:02d}" for column in range(30, 39))
    assert found.cells == found.compared + 14 + 9


def test_a_cell_compared_in_part_is_counted_and_said():
    comparison = compared(
        survey("B1", coverage={"normal": WALL - BOARDS}), survey("P1", coverage={"normal": WALL})
    )

    assert hand_over(comparison).compared == 294
    assert hand_over(comparison).compared_in_part == 84
    assert comparison.not_compared_sq_in == pytest.approx(84 * SQ_FT)


def test_different_modes_make_cells_not_comparable():
    comparison = compared(
        survey("B1", coverage={"raking": WALL}), survey("P1", coverage={"normal": WALL})
    )

    assert len(hand_over(comparison).not_comparable) == 294
