"""Does the shot list of a survey know its wall's decks and strips, and the frames that count?"""

import pytest

from survey.ledger.drafts import Writer
from survey.photos.measured import measured_sharpness
from survey.photos.shot_selectors import ShotRequest, plan_of, shot_state, taken_frames
from survey.photos.taking_in import Statement, restate, take_in
from tests.support.factories import make_survey, make_wall
from tests.survey.photos.camera import frame

pytestmark = [pytest.mark.django_db, pytest.mark.database]
PRIYA = Writer(name="Priya Lund", device="desk")
BOARDS = {
    "name": "deck 2 boards", "cause": "boards of deck 2",
    "polygon": [["0", "5 ft 6 in"], ["24 ft", "5 ft 6 in"], ["24 ft", "6 ft 6 in"], ["0", "6 ft 6 in"]],
}  # fmt: skip
REACH = {
    "name": "above reach", "cause": "out of reach", "touch_only": True,
    "polygon": [["0", "12 ft"], ["24 ft", "12 ft"], ["24 ft", "14 ft"], ["0", "14 ft"]],
}  # fmt: skip


@pytest.fixture
def survey():
    return make_survey(make_wall(obstructions=[BOARDS, REACH]))


def put(survey, seed, **said):
    statement = Statement(**{"mode": "normal", "lamp_side": "even", **said})
    data = frame(seed=seed)
    taken = take_in(survey, data, f"DSC_{seed:04}.JPG", statement=statement, writer=PRIYA)
    return taken.photograph


def test_each_deck_has_its_rows_and_what_hides_the_wall_is_a_list_apart(survey):
    plan = plan_of(survey, ShotRequest(mode="normal"))

    # A wall of 24 ft: (288 - 40) / 28 frames further than the first, rounded up: 9 + 1 columns.
    assert [(deck.name, deck.rows, deck.columns) for deck in plan.decks] == [
        ("1", 4, 10), ("2", 5, 10)
    ]  # fmt: skip
    assert [strip.name for strip in plan.strips] == ["deck 2 boards"]


def test_frames_of_the_light_asked_for_count_and_no_others(survey):
    put(survey, 1, cells=("C03",))
    put(survey, 2, cells=("C04",), mode="raking")
    put(survey, 3, cells=("C05",), role="note")
    corrected = put(survey, 4, cells=("C06",))
    restate(corrected, {"cells": ["C07"]}, writer=PRIYA)

    names = [(row.name, row.cells) for row in taken_frames(survey, mode="normal")]

    assert names == [("DSC_0001.JPG", ("C03",)), ("DSC_0004.JPG", ("C07",))]


def test_cells_that_have_no_frame_are_missing(survey):
    for seed, label in enumerate(label for label in survey.layout.grid.labels() if label != "C03"):
        put(survey, seed, cells=(label,))

    _, state = shot_state(survey, ShotRequest(mode="normal", lamp_side="even"))

    assert state.missing_cells == (("1", ()), ("2", ("C03",)))


def test_a_cell_counts_as_taken_whether_a_slate_names_the_even_lamp_or_nobody_does(survey):
    put(survey, 1, cells=("C03",))
    put(survey, 2, cells=("C04",), lamp_side="")

    _, state = shot_state(survey, ShotRequest(mode="normal"))

    missing = {cell for _, cells in state.missing_cells for cell in cells}
    assert not missing & {"C03", "C04"}
    assert not any("lamp" in words for frame in state.differing for words in frame.words)


def test_sharpness_counts_once_it_was_measured(survey):
    photograph = put(survey, 1, cells=("C03",))
    assert taken_frames(survey, mode="normal")[0].sharpness is None

    measured = measured_sharpness(photograph)

    assert taken_frames(survey, mode="normal")[0].sharpness == measured
    assert measured > 0
