"""Are days on which works and looks meet found, and only those?"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.clash_calendar import WallDays, Works, clashes, quiet_days

DAY_0 = date(2027, 3, 1)
stretches = st.tuples(st.integers(0, 40), st.integers(0, 10)).map(
    lambda pair: (DAY_0 + timedelta(pair[0]), DAY_0 + timedelta(pair[0] + pair[1]))
)


def march(first, last):
    return date(2027, 3, first), date(2027, 3, last)


def test_a_month_by_hand():
    works = [
        Works("breaking out", *march(8, 12), "red"),
        Works("deliveries", *march(1, 31), "amber"),
        Works("painting doors", *march(1, 31), "neither"),
        Works("core drilling", *march(15, 15), "unknown"),
    ]
    wall = [WallDays("survey P2", *march(10, 11)), WallDays("facing", *march(15, 16))]

    found = clashes(works, wall)

    assert [(one.works.activity, one.wall.what, one.first_on.day, one.days) for one in found] == [
        ("breaking out", "survey P2", 10, 2),
        ("deliveries", "survey P2", 10, 2),
        ("core drilling", "facing", 15, 1),
        ("deliveries", "facing", 15, 2),
    ]


def test_days_that_touch_at_one_end_clash_and_neighbours_do_not():
    works = [Works("breaking out", *march(8, 12), "red")]

    assert len(clashes(works, [WallDays("survey", *march(12, 14))])) == 1
    assert clashes(works, [WallDays("survey", *march(13, 14))]) == ()


def test_quiet_days_by_hand():
    works = [
        Works("breaking out", *march(2, 3), "red"),
        Works("painting doors", *march(1, 31), "neither"),
        Works("core drilling", *march(5, 5), "unknown"),
    ]

    found = quiet_days(works, first_on=date(2027, 3, 1), last_on=date(2027, 3, 6))

    assert [day.day for day in found] == [1, 4, 6]


@given(works=stretches, wall=stretches)
def test_a_survey_on_quiet_days_never_clashes(works, wall):
    loud = [Works("breaking out", *works, "red")]

    quiet = quiet_days(loud, first_on=wall[0], last_on=wall[1])

    met = clashes(loud, [WallDays("survey", *wall)])
    assert len(quiet) + sum(one.days for one in met) == (wall[1] - wall[0]).days + 1
    for day in quiet:
        assert clashes(loud, [WallDays("survey", day, day)]) == ()


def test_days_in_the_wrong_order_are_refused():
    with pytest.raises(InvalidInput, match="lies before its first"):
        Works("breaking out", date(2027, 3, 2), date(2027, 3, 1), "red")
    with pytest.raises(InvalidInput, match="ten years"):
        WallDays("survey", date(2027, 3, 2), date(2072, 3, 1))
