"""Do the plates of a report show the mosaic, by name and version, where it has a picture?"""

import io

import numpy as np
import pytest
from PIL import Image

from survey.report.collect_plates import cell_plates
from survey.report.collect_seen import images
from survey.report.content import to_plain
from survey.report.layout.pictures import Darkroom
from tests.support.factories import make_observation, make_survey, make_wall
from tests.survey.photos.laid import take
from tests.survey.photos.test_mosaicking import lay
from tests.survey.photos.test_orthophotos import bring, painting, saved

pytestmark = [pytest.mark.django_db, pytest.mark.database]

CELL_A01 = {"type": "Polygon", "coordinates": [[[2, 150], [8, 150], [8, 160], [2, 160], [2, 150]]]}

CELL_C03 = {
    "type": "Polygon",
    "coordinates": [[[50, 99], [60, 99], [60, 110], [50, 110], [50, 99]]],
}


@pytest.fixture
def survey():
    return make_survey(make_wall())


def plate_of(survey, cell):
    return next(plate for plate in cell_plates(survey, None, None) if plate.cell == cell)


def test_a_plate_names_the_mosaic_its_version_and_its_error(survey, tmp_path):
    mosaic = bring(survey, saved(tmp_path))
    make_observation(survey, geometry=CELL_A01)

    picture = plate_of(survey, "A01").picture

    assert picture.name == "mosaic of B1, version 1"
    assert (picture.error_in, picture.digest) == (0.25, mosaic.pyramid_id)


def test_a_plate_shows_the_cell_as_the_mosaic_has_it(survey, tmp_path):
    bring(survey, saved(tmp_path))
    make_observation(survey, geometry=CELL_A01)
    plate = plate_of(survey, "A01")

    crop = Darkroom().crop(plate.picture, plate.bounds_in, width_pt=300)

    shown = np.asarray(Image.open(io.BytesIO(crop.jpeg))).astype(int)
    assert crop.bounds_in == pytest.approx((0, 144, 24, 168))
    assert np.abs(shown - painting()[:120, :120]).mean() < 2


def test_a_cell_of_which_the_mosaic_has_no_picture_is_shown_without_one(survey):
    take(survey, "C03")
    lay(survey)
    make_observation(survey, geometry=CELL_A01)
    make_observation(survey, item="L2", geometry=CELL_C03)

    assert plate_of(survey, "A01").picture is None
    assert plate_of(survey, "C03").picture.name == "mosaic of B1, version 1"


def test_what_an_issued_report_keeps_names_the_picture_and_holds_no_source(survey, tmp_path):
    mosaic = bring(survey, saved(tmp_path))
    make_observation(survey, geometry=CELL_A01)

    kept = to_plain(plate_of(survey, "A01").picture)

    assert kept["digest"] == mosaic.pyramid_id
    assert "source" not in kept


def test_the_list_of_images_names_each_version_with_its_digest(survey, tmp_path):
    mosaic = bring(survey, saved(tmp_path), operator="Lantern Surveyors")

    row = images(survey)[-1]

    assert (row.name, row.digest, row.operator) == (
        "Mosaic 1",
        mosaic.pyramid_id,
        "Lantern Surveyors",
    )
    assert (row.survey, row.place) == ("B1", "100 % of wall")
