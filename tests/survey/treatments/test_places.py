"""Does a named place give the outline that a person means, on the lattice?"""

import pytest
import shapely
from shapely.geometry import shape

from gridmap.errors import InvalidInput
from gridmap.grid import Grid
from survey.treatments import places
from tests.support.factories import make_observation, make_survey, make_wall

GRID = Grid.regular(width_in=288, height_in=168, column_spacing_in=24, row_spacing_in=24)


def test_a_cell_is_its_whole_rectangle():
    outline = shape(places.of_cells("a01", GRID))

    assert outline.equals(shapely.box(0, 144, 24, 168))


def test_neighbouring_cells_make_one_outline():
    outline = shape(places.of_cells("G01, G02 F01", GRID))

    assert outline.geom_type == "Polygon"
    assert outline.area == 3 * 24 * 24


def test_cells_apart_make_two_outlines():
    outline = shape(places.of_cells("G01; A12", GRID))

    assert outline.geom_type == "MultiPolygon"
    assert outline.area == 2 * 24 * 24


@pytest.mark.parametrize("text", ["", "Z99", " , "])
def test_no_cell_is_refused_beside_its_field(text):
    with pytest.raises(InvalidInput) as caught:
        places.of_cells(text, GRID)

    assert caught.value.field == "cells"


def test_a_single_typed_point_is_a_point():
    assert places.of_points("2 ft, 1' 6\"") == {"type": "Point", "coordinates": [24.0, 18.0]}


@pytest.mark.django_db
def test_an_outline_of_a_survey_is_copied_as_it_was_drawn():
    survey = make_survey(make_wall())
    # A bow tie: what was drawn crosses itself, and the drawing is the record.
    bow_tie = [[0.0, 0.0], [20.0, 20.0], [20.0, 0.0], [0.0, 20.0], [0.0, 0.0]]
    make_observation(survey, item="F3", geometry={"type": "Polygon", "coordinates": [bow_tie]})

    assert places.of_item(survey, " f3 ")["coordinates"] == [bow_tie]


@pytest.mark.django_db
def test_a_label_that_two_outlines_carry_is_refused():
    survey = make_survey(make_wall())
    make_observation(survey)
    make_observation(survey)

    with pytest.raises(InvalidInput, match="2 outlines"):
        places.of_item(survey, "L1")


@pytest.mark.django_db
def test_a_label_that_none_carries_is_refused():
    with pytest.raises(InvalidInput, match="no such outline"):
        places.of_item(make_survey(make_wall()), "L1")
