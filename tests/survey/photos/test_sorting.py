"""Does each frame find the slate that was photographed before it, whatever the cameras' clocks say?"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from survey.photos.sorting import LONGEST_SET_S, SLATE_STEP_S, Frame, Slate, sort_frames

NINE = datetime(2026, 6, 15, 9, 0, tzinfo=UTC)
CELLS = [f"{row}{column:02}" for row in "ABCDEFG" for column in range(1, 43)]
WALL, SURVEY = "harvest-train", "P1"


def at(minutes, *, fast_s=0.0):
    return NINE + timedelta(minutes=minutes, seconds=fast_s)


def slate(number, cell, minutes, **said):
    said = {"mode": "raking", "side": "left", "wall": WALL, "survey": SURVEY, **said}
    return Slate(
        number, cell, said["mode"], said["side"], at(minutes), said["wall"], said["survey"]
    )


def shown(number, cell, minutes, *, name=None, camera="one", fast_s=0.0, **said):
    """A frame of a slate."""
    name = name or f"S{number:04}.JPG"
    clock = at(minutes, fast_s=fast_s)
    return Frame(name, name, camera, clock, (slate(number, cell, minutes, **said),))


def frame(name, minutes, *, camera="one", fast_s=0.0):
    return Frame(name, name, camera, None if minutes is None else at(minutes, fast_s=fast_s))


def sort(*frames):
    return sort_frames(frames, wall=WALL, survey=SURVEY, cells=CELLS)


def cells(sorting):
    return {placed.key: placed.slate.cell for placed in sorting.placed if not placed.is_slate}


def why(sorting):
    return {frame.key: frame.why for frame in sorting.unsorted}


def test_frames_between_slates_belong_to_the_slate_before_them():
    sorting = sort(
        shown(1, "C17", 0), frame("a", 1), frame("b", 2), shown(2, "C18", 5), frame("c", 6)
    )

    assert cells(sorting) == {"a": "C17", "b": "C17", "c": "C18"}
    assert not sorting.unsorted


def test_each_camera_is_sorted_by_its_own_slates_and_clock():
    sorting = sort(
        shown(1, "C17", 0, camera="one", fast_s=-3000.0),
        frame("a", 1, camera="one", fast_s=-3000.0),
        shown(2, "A01", 0, camera="two", name="T2.JPG", fast_s=86_400.0),
        frame("b", 1, camera="two", fast_s=86_400.0),
    )

    assert cells(sorting) == {"a": "C17", "b": "A01"}
    assert {clock.camera: round(clock.ahead_s) for clock in sorting.clocks} == {
        "one": 3002,  # half a step of the slate's clock is added
        "two": -86_398,
    }


def test_a_camera_that_photographed_no_slate_is_not_sorted_by_another_s():
    sorting = sort(shown(1, "C17", 0, camera="one"), frame("b", 1, camera="two"))

    assert why(sorting) == {"b": "No slate by the camera two was found."}


def mixed(*names):
    """Frames of a model that names no body, a minute apart, the first a slate."""
    first, *others = [
        Frame(name, name, "Pocket 2", at(place), one_body=False) for place, name in enumerate(names)
    ]
    return sort(replace(first, slates=(slate(1, "C17", 0),)), *others)


def test_two_bodies_of_one_model_are_not_sorted_by_each_other_s_slates():
    sorting = mixed("IMG_0041.JPG", "IMG_7001.JPG", "IMG_0042.JPG", "IMG_7002.JPG")

    assert not sorting.placed
    assert {words.split(":")[0] for words in why(sorting).values()} == {
        "Frames of two cameras Pocket 2 seem to be mixed"
    }


def test_a_counter_that_begins_again_is_one_camera():
    sorting = mixed("IMG_9998.JPG", "IMG_9999.JPG", "IMG_0001.JPG", "IMG_0002.JPG")

    assert "mixed" not in " ".join(why(sorting).values())
    assert cells(sorting)["IMG_9999.JPG"] == "C17"


def test_a_frame_without_time_is_left_unsorted():
    sorting = sort(shown(1, "C17", 0), frame("a", None))

    assert why(sorting) == {"a": "The file does not say when it was taken."}


def test_a_frame_before_the_first_slate_is_left_unsorted():
    sorting = sort(frame("a", -3), shown(1, "C17", 0))

    assert why(sorting) == {"a": "It was taken before the camera's first slate."}


def test_a_frame_long_after_its_slate_is_left_unsorted():
    sorting = sort(shown(1, "C17", 0), frame("a", 59), frame("b", 95))

    assert cells(sorting) == {"a": "C17"}
    assert why(sorting)["b"].startswith("It was taken 1 h 35 min after slate 1 (C17, raking, left)")


def test_a_slate_without_frames_is_told():
    sorting = sort(shown(1, "C17", 0), shown(2, "C18", 3), frame("a", 4))

    assert [one.cell for one in sorting.without_frames] == ["C17"]


def test_one_slate_photographed_twice_is_one_slate():
    sorting = sort(shown(1, "C17", 0), shown(1, "C17", 1, name="S0001b.JPG"), frame("a", 2))

    assert cells(sorting) == {"a": "C17"}
    assert not sorting.without_frames


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"wall": "signal-box"}, "of another wall, signal-box"),
        ({"survey": "B1"}, "is of survey B1"),
    ],
)
def test_a_slate_of_another_survey_ends_the_set(said, words):
    sorting = sort(shown(1, "C17", 0), frame("a", 1), shown(2, "C17", 2, **said), frame("b", 3))

    assert cells(sorting) == {"a": "C17"}
    assert words in why(sorting)["b"]


def test_a_slate_of_a_cell_that_is_not_there_sorts_nothing():
    sorting = sort(shown(1, "Z99", 0), frame("a", 1))

    assert "names a cell that this wall's grid does not have" in why(sorting)["a"]


def test_a_frame_that_shows_two_slates_is_left_unsorted():
    both = Frame("a", "a", "one", at(0), (slate(1, "C17", 0), slate(2, "C18", 0)))

    assert why(sort(both)) == {"a": "It shows two different slates."}


HOUR_S = 3600.0


def test_frames_find_their_slates_where_the_camera_s_clock_was_put_forward_an_hour():
    sorting = sort(
        shown(1, "C17", 0), frame("a", 1),
        shown(2, "C18", 10), frame("b", 11),
        frame("c", 12, fast_s=HOUR_S),  # put forward between b and c
        shown(3, "C19", 20, fast_s=HOUR_S), frame("d", 21, fast_s=HOUR_S),
    )  # fmt: skip

    assert cells(sorting) == {"a": "C17", "b": "C18", "c": "C18", "d": "C19"}
    assert len(sorting.clocks) == 2


def back(name):
    """A morning on which the camera's clock is put back an hour; only file names keep the order."""
    shots = [
        shown(1, "C17", 0, name=name(1)), frame(name(2), 1),
        shown(2, "C18", 40, name=name(3)), frame(name(4), 41),
        shown(3, "C19", 70, name=name(5), fast_s=-HOUR_S), frame(name(6), 71, fast_s=-HOUR_S),
        shown(4, "D19", 100, name=name(7), fast_s=-HOUR_S), frame(name(8), 101, fast_s=-HOUR_S),
    ]  # fmt: skip
    return sort(*shots)


def test_a_camera_that_counts_its_frames_tells_them_apart_after_its_clock_was_put_back():
    sorting = back(lambda number: f"DSC_{number:04}.JPG")

    assert list(cells(sorting).values()) == ["C17", "C19", "C18", "D19"]
    assert cells(sorting)["DSC_0004.JPG"] == "C18"
    assert not sorting.unsorted


def test_where_nothing_tells_them_apart_frames_stay_unsorted():
    sorting = back(lambda number: "acegikmo"[number - 1] + ".JPG")

    assert sorting.unsorted
    assert all("clock was changed by 1 h" in one.why for one in sorting.unsorted)
    truth = {"c.JPG": "C17", "g.JPG": "C18", "k.JPG": "C19", "o.JPG": "D19"}
    assert all(truth[name] == cell for name, cell in cells(sorting).items())


NO_JUMP = st.just(0)


@st.composite
def days(draw, jumps=NO_JUMP):
    """A day of one to three cameras, each with a clock of its own, and what is true of each frame.

    The truth is the cell of the last slate before, with the true moment. In the middle of the day
    each clock may jump by as many seconds as `jumps` draws.
    """
    frames, truth = [], {}
    for camera in range(draw(st.integers(1, 3))):
        fast_s, jump_s = draw(st.integers(-90_000, 90_000)), draw(jumps)
        moment_s, since_s, cell = 0.0, -1e9, None
        count = draw(st.integers(1, 12))
        jumps_at = draw(st.integers(0, count))
        for place in range(count):
            moment_s += draw(st.integers(6, 1200))
            name = f"{camera}-{place:04}"
            shift_s = fast_s + (jump_s if place >= jumps_at else 0)
            clock = NINE + timedelta(seconds=moment_s + shift_s)
            slates = ()
            if draw(st.booleans()):
                cell, since_s = draw(st.sampled_from(CELLS)), moment_s
                told = NINE + timedelta(seconds=moment_s - moment_s % SLATE_STEP_S)
                slates = (Slate(place, cell, "normal", "even", told, WALL, SURVEY),)
            elif abs(moment_s - since_s - LONGEST_SET_S) > 10:  # at the edge either is right
                fresh = moment_s - since_s < LONGEST_SET_S
                truth[name] = cell if fresh else None, NINE + timedelta(seconds=moment_s)
            frames.append(Frame(name, name, str(camera), clock, slates))
    return frames, truth


@given(days())
def test_every_frame_is_placed_rightly_or_told_why_not(day):
    frames, truth = day

    sorting = sort(*frames)

    told = [one.key for one in (*sorting.placed, *sorting.unsorted)]
    assert sorted(told) == sorted(one.key for one in frames)
    placed = cells(sorting)
    assert {name: placed.get(name) for name in truth} == {
        name: cell for name, (cell, _) in truth.items()
    }


@given(days(), st.randoms())
def test_the_order_in_which_files_come_does_not_matter(day, chance):
    frames, _ = day
    shuffled = list(frames)
    chance.shuffle(shuffled)

    assert cells(sort(*frames)) == cells(sort(*shuffled))


@given(days())
def test_the_moment_put_right_lies_within_half_a_step_of_the_true_one(day):
    frames, truth = day

    for placed in sort(*frames).placed:
        if placed.key in truth:
            apart_s = (placed.taken_at - truth[placed.key][1]).total_seconds()
            assert abs(apart_s) <= SLATE_STEP_S / 2


def test_a_frame_whose_number_and_time_disagree_is_left_unsorted():
    sorting = sort(frame("DSC_0007.JPG", 10), shown(1, "C17", 5, name="DSC_0009.JPG"))

    assert "the number in its name fit different slates" in why(sorting)["DSC_0007.JPG"]


def test_a_frame_behind_one_whose_clock_was_set_back_does_not_keep_the_slate_s_distance():
    """An hour after the slate the clock shows the slate's time once more."""
    names = [f"DSC_{number:04}.JPG" for number in range(1, 4)]
    sorting = sort(shown(1, "C17", 0, name=names[0]), frame(names[1], -40), frame(names[2], 1))

    assert names[2] in why(sorting)


@given(days(jumps=st.sampled_from([-HOUR_S, HOUR_S, -7 * HOUR_S, 300.0])))
def test_no_frame_is_placed_wrongly_where_a_counting_camera_s_clock_jumps(day):
    frames, truth = day

    sorting = sort(*frames)

    told = [one.key for one in (*sorting.placed, *sorting.unsorted)]
    assert sorted(told) == sorted(one.key for one in frames)
    wrong = {
        name: (cell, truth[name][0])
        for name, cell in cells(sorting).items()
        if name in truth and cell != truth[name][0]
    }
    assert not wrong
