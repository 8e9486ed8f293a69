"""Is everything that an entry says put into words, and what differs named before what does not?"""

import pytest

from survey.record.said import error_said, said, said_side_by_side

TERMS = {"paint-loss": "paint loss", "flaking": "flaking"}
RING = [[12.0, 6.0], [14.0, 6.0], [14.0, 9.0], [12.0, 9.0], [12.0, 6.0]]


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("term", "paint-loss", "paint loss"),
        ("mode", "raking", "raking light"),
        ("searched", ["paint-loss", "flaking"], "paint loss, flaking"),
        ("done", True, "yes"),
        ("condition", 0, "0"),
        ("done", False, "no"),
        ("note", "", "—"),
        ("hidden", [], "—"),
        ("minutes", {"C03": 2.5, "C04": 4.0}, "C03 2.5; C04 4"),
        ("continues", ["01890a5d-ac96-774b-bcce-b302099a8057"], "01890a5d…"),
        ("place", [12.0, 30.0], "1′ 0″ from the left, 2′ 6″ up"),
        ("state", "part-hidden", "part-hidden"),
        ("geometry", {"type": "Point", "coordinates": [12.0, 6.0]}, "point, from 1′ 0″, 6″ up"),
    ],
)
def test_a_field_is_said_in_words(key, value, words):
    assert said(key, value, TERMS).replace("\u00a0", " ") == words


def test_an_outline_is_said_by_extent_and_place():
    words = said("geometry", {"type": "Polygon", "coordinates": [RING]}, TERMS)

    assert words.replace("\u00a0", " ") == "area of 6.00 sq in, 2″ by 3″, from 1′ 0″, 6″ up"


def test_what_differs_comes_first():
    rows = said_side_by_side([{"term": "flaking", "note": "a"}, {"term": "flaking"}], TERMS)

    assert rows == [("Note", ["a", "—"], True), ("Term", ["flaking", "flaking"], False)]


def test_an_empty_list_and_a_field_left_out_say_the_same():
    ((_, _, differs),) = said_side_by_side([{"hidden": []}, {}], TERMS)

    assert not differs


def test_nought_and_a_field_left_out_do_not_say_the_same():
    ((_, values, differs),) = said_side_by_side([{"condition": 0}, {}], TERMS)

    assert (values, differs) == (["0", "—"], True)


def test_a_field_that_nobody_named_still_comes_out():
    rows = said_side_by_side([{"new_thing": 1}, {"new_thing": 2}], TERMS)

    assert rows == [("New thing", ["1", "2"], True)]


@pytest.mark.parametrize(
    ("boundary", "picture", "words"),
    [
        (0.06, 0.03, "boundary error 0.06 in, picture 0.03 in"),
        (0.06, None, "boundary error 0.06 in"),
        (None, 0.013, "boundary error not stated, picture 0.013 in"),
        (None, None, ""),
    ],
)
def test_the_errors_of_drawing_and_picture_are_told_apart(boundary, picture, words):
    assert error_said(boundary, picture) == words
