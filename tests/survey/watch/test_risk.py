"""Is the due list a plain sum of its parts, and is the weekly sample one that anybody can redraw?"""

from collections import Counter
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.risk import (
    CellState,
    due_list,
    nearest_first,
    repeats_after,
    sample_statement,
    weekly_sample,
)

DAY = 86_400.0
NOW = 100 * DAY
WEEK = 7 * DAY
SOUND = CellState("A01", 0, 0, ambers=0, reds=0, silent=False, looked_s=NOW)
CELLS = [f"{row}{column:02}" for row in "ABCDEFG" for column in range(1, 43)]

states = st.builds(
    CellState,
    cell=st.just("A01"),
    condition=st.none() | st.integers(0, 3),
    urgency=st.none() | st.integers(0, 3),
    ambers=st.integers(0, 5),
    reds=st.integers(0, 5),
    silent=st.booleans(),
    looked_s=st.none() | st.floats(0, NOW),
)


def line(state):
    (found,) = due_list([state], now_s=NOW, interval_s=WEEK)
    return found


def test_a_sum_by_hand():
    """Condition 2, urgency 1, one amber, looked at 10.5 days ago with 7 agreed: 2 + 1 + 1 + 1.5."""
    state = CellState("C17", 2, 1, ambers=1, reds=0, silent=False, looked_s=NOW - 10.5 * DAY)

    found = line(state)

    assert (found.fragility, found.exposure, found.age, found.total) == (3.0, 1.0, 1.5, 5.5)
    assert found.because == ("last look 10 days ago, agreed are 7",)
    assert found.statement == (
        "C17: 5.5 = fragility 2 + 1 + exposure 1 (1 amber, 0 red) + 1.5 intervals (looks)."
    )


def test_a_sound_cell_just_looked_at_is_not_due():
    found = line(SOUND)

    assert (found.total, found.due) == (0.0, False)


def test_what_was_never_looked_at_is_taken_as_the_worst():
    found = line(CellState("A01", None, None, ambers=0, reds=0, silent=False, looked_s=None))

    assert (found.fragility, found.age) == (6.0, 3.0)
    assert found.because == ("never looked at",)
    assert "not assessed, so taken as the worst" in found.statement


@pytest.mark.parametrize(
    ("change", "because"),
    [
        ({"reds": 1}, ("1 red exceedance since",)),
        ({"reds": 2}, ("2 red exceedances since",)),
        ({"urgency": 3}, ("urgency 3",)),
        ({"ambers": 3}, ()),
        ({"looked_s": NOW - 6.9 * DAY}, ()),
        ({"looked_s": NOW - 7 * DAY}, ("last look 7 days ago, agreed are 7",)),
    ],
)
def test_why_a_cell_is_due(change, because):
    assert line(replace(SOUND, **change)).because == because


@given(state=states)
def test_the_total_is_the_plain_sum_of_its_parts(state):
    found = line(state)

    assert found.total == found.condition + found.urgency + found.exposure + found.age
    assert 0 <= found.total <= 12


@given(state=states)
def test_nothing_that_gets_worse_lowers_the_risk(state):
    before = line(state).total

    assert line(replace(state, reds=state.reds + 1)).total >= before
    assert line(replace(state, ambers=state.ambers + 1)).total >= before
    assert line(replace(state, silent=True)).total >= before
    assert line(replace(state, looked_s=None)).total >= before
    assert line(replace(state, condition=3)).total >= before


def test_a_silence_is_not_taken_as_safe():
    assert line(replace(SOUND, silent=True)).exposure == 1.0


def test_the_riskiest_stands_first_and_ties_by_name():
    found = due_list(
        [SOUND, replace(SOUND, cell="B02", condition=2), replace(SOUND, cell="A00")],
        now_s=NOW,
        interval_s=WEEK,
    )

    assert [one.cell for one in found] == ["B02", "A00", "A01"]


def test_cells_nearest_a_sensor_come_first():
    places = [("A01", 12.0, 12.0), ("B05", 108.0, 36.0), ("A02", 36.0, 12.0)]

    assert nearest_first(places, (100.0, 30.0)) == ("B05", "A02", "A01")


@pytest.mark.parametrize(
    ("handed_back", "repeats"),
    [
        (date(2026, 11, 25), (date(2027, 2, 25), date(2027, 5, 25), date(2027, 11, 25))),
        (date(2027, 11, 30), (date(2028, 2, 29), date(2028, 5, 30), date(2028, 11, 30))),
        (date(2027, 8, 31), (date(2027, 11, 30), date(2028, 2, 29), date(2028, 8, 31))),
    ],
)
def test_repeats_after_hand_back(handed_back, repeats):
    assert repeats_after(handed_back) == repeats


def test_a_sample_can_be_drawn_again_by_anybody():
    """By coreutils: printf '%s' 'week 48:A' | sha256sum, and so on, sorted by digest."""
    # source: sha256sum of "week 48:A" to "week 48:F"
    assert weekly_sample("ABCDEF", count=3, seed="week 48") == ("B", "C", "E")


def test_a_sample_does_not_depend_on_the_order_or_on_doubles():
    one = weekly_sample(CELLS, count=60, seed="2026-W48")

    assert one == weekly_sample([*reversed(CELLS), "A01"], count=60, seed="2026-W48")
    assert one != weekly_sample(CELLS, count=60, seed="2026-W49")
    assert len(set(one)) == 60


def test_every_cell_is_drawn_about_equally_often():
    counts = Counter()
    for week in range(2000):
        counts.update(weekly_sample(CELLS[:20], count=5, seed=f"week {week}"))

    # 2000 draws of 5 in 20: 500 each, SD √(2000 · 1/4 · 3/4) = 19.4
    assert all(abs(counts[cell] - 500) < 5 * 19.4 for cell in CELLS[:20])


def test_sixty_random_cells_without_change():
    drawn = weekly_sample(CELLS, count=60, seed="2026-W48")

    found = sample_statement(
        drawn, changed=[], cells=294, size_of_change="more than 0.1 sq in", detection=0.8
    )

    # source: hypergeometric upper bounds at 95 % of 294 cells, worked with scipy.stats.hypergeom
    assert (found.at_most, found.at_most_with_detection) == (12, 16)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: replace(SOUND, condition=4), "A01: condition 4 must be from 0 to 3"),
        (lambda: replace(SOUND, reds=-1), "reds -1"),
        (lambda: line(replace(SOUND, looked_s=NOW + 1)), "in the future"),
        (lambda: due_list([SOUND], now_s=NOW, interval_s=0.0), "interval"),
        (lambda: weekly_sample(CELLS, count=295, seed="w"), "from 1 to the 294"),
        (lambda: weekly_sample(CELLS, count=5, seed=" "), "without a seed"),
        (
            lambda: sample_statement(["A01"], changed=["B02"], cells=9, size_of_change="any"),
            "B02 was not drawn",
        ),
    ],
)
def test_what_cannot_be_is_refused(call, words):
    with pytest.raises(InvalidInput, match=words):
        call()
