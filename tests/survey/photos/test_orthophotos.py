"""Does a finished picture of the whole wall become a mosaic, and is what cannot be one refused?"""

import io
import zipfile
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from django.conf import settings
from PIL import Image

from gridmap.errors import InvalidInput
from survey.ledger.blobs import blob_path, digest_of_file
from survey.ledger.drafts import Writer
from survey.ledger.models import Blob, Entry
from survey.ledger.services import rebuild
from survey.photos.models import Mosaic
from survey.photos.mosaics import MosaicStatement, newest_mosaics
from survey.photos.orthophotos import import_orthophoto, mosaic_from_picture
from survey.photos.pyramids import read_region
from survey.photos.services import add_photograph
from tests.support.factories import make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

WHOLE = (0.0, 0.0, 288.0, 168.0)  # the small wall, 24 ft by 14 ft
DESK = Writer(name="Priya Lund", device="desk")


@pytest.fixture
def survey():
    return make_survey(make_wall())


def painting(width_px=1440, height_px=840):
    """Return an even slope of colours: red tells the place across, green the place down."""
    x = np.linspace(0, 255, width_px)[None, :].repeat(height_px, axis=0)
    y = np.linspace(0, 255, height_px)[:, None].repeat(width_px, axis=1)
    return np.stack([x, y, np.full_like(x, 90)], axis=2).round().astype(np.uint8)


def saved(folder, name="wall.tif", pixels=None, **options):
    path = Path(folder) / name
    Image.fromarray(painting() if pixels is None else pixels).save(path, **options)
    return path


def said(**changes):
    fields = {"mode": "normal", "bounds_in": WHOLE, "error_in": 0.25, "source": "imported"}
    return MosaicStatement(**{**fields, **changes})


def bring(survey, path, name=None, **changes):
    return import_orthophoto(
        survey, path, name or path.name, statement=said(**changes), writer=DESK
    )


def state():
    """Return what is in the record and in the folders of files."""
    files = sorted(str(path) for path in Path(settings.DATA_FOLDER).rglob("*") if path.is_file())
    return Entry.objects.count(), Blob.objects.count(), Mosaic.objects.count(), files


def test_a_finished_picture_becomes_the_first_version(survey, tmp_path):
    mosaic = bring(survey, saved(tmp_path), taken_on=date(2026, 3, 3))

    assert (mosaic.version, mosaic.source, mosaic.taken_on) == (1, "imported", date(2026, 3, 3))
    assert (mosaic.width_px, mosaic.height_px, mosaic.px_per_in) == (1440, 840, 5.0)
    assert mosaic.levels == 3


def test_all_tiles_are_one_stored_file_under_its_own_digest(survey, tmp_path):
    mosaic = bring(survey, saved(tmp_path))

    path = Path(blob_path(mosaic.pyramid_id))
    assert digest_of_file(path) == mosaic.pyramid_id
    with zipfile.ZipFile(path) as archive:
        assert {member.compress_type for member in archive.infolist()} == {zipfile.ZIP_STORED}


def test_the_file_is_kept_as_it_came(survey, tmp_path):
    path = saved(tmp_path)

    mosaic = bring(survey, path)

    original = mosaic.head.content["original"]
    assert original["name"] == "wall.tif"
    assert Path(blob_path(original["digest"])).read_bytes() == path.read_bytes()


def test_the_same_picture_stated_the_same_makes_no_second_version(survey, tmp_path):
    path = saved(tmp_path)
    first = bring(survey, path)
    before = state()

    again = bring(survey, path)

    assert again.pk == first.pk
    assert state() == before


def test_another_picture_is_a_new_version_beside_the_first(survey, tmp_path):
    first = bring(survey, saved(tmp_path, "a.tif"))
    other = bring(survey, saved(tmp_path, "b.tif", pixels=painting()[:, ::-1]))

    assert (first.version, other.version) == (1, 2)
    assert survey.mosaics.count() == 2
    assert [row.pk for row in newest_mosaics(survey)] == [other.pk]


def test_lights_have_versions_of_their_own(survey, tmp_path):
    bring(survey, saved(tmp_path, "a.tif"))
    left = bring(survey, saved(tmp_path, "b.tif"), mode="raking", lamp_side="left")
    right = bring(survey, saved(tmp_path, "c.tif"), mode="raking", lamp_side="right")

    assert (left.version, right.version) == (1, 1)
    assert len(newest_mosaics(survey)) == 3


def test_a_rebuild_gives_the_same_rows(survey, tmp_path):
    bring(survey, saved(tmp_path))
    before = Mosaic.objects.values()[0]

    rebuild(survey.logbook)

    assert Mosaic.objects.values()[0] == before


def test_a_photograph_of_the_whole_wall_becomes_a_mosaic_sure_to_one_of_its_pixels(survey):
    data = io.BytesIO()
    Image.fromarray(painting()).save(data, "JPEG", quality=95)
    receipt = add_photograph(
        survey=survey,
        data=data.getvalue(),
        name="whole.jpg",
        mode="normal",
        operator="Priya Lund",
        bounds_in=WHOLE,
        rectified=True,
    )
    photograph = survey.photographs.get(head_id=receipt.id)

    mosaic = mosaic_from_picture(survey, photograph, "Priya Lund")
    again = mosaic_from_picture(survey, photograph, "Priya Lund")

    assert again.pk == mosaic.pk
    assert mosaic.error_in == pytest.approx(1 / 5)
    assert mosaic.head.content["original"]["photograph"] == str(photograph.pk)


def test_a_part_of_the_wall_is_read_place_for_place(survey, tmp_path):
    mosaic = bring(survey, saved(tmp_path, compression="tiff_lzw"))

    part = read_region(mosaic, (100.0, 20.0, 180.0, 60.0), 400)

    x_in = 100 + (np.arange(400) + 0.5) * 80 / 400
    y_in = 60 - (np.arange(200) + 0.5) * 40 / 200
    # What the painting has there: its slope from 0 at the first pixel to 255 at the last.
    assert np.abs(part[100, :, 0] - (x_in * 5 - 0.5) * 255 / 1439).max() < 3
    assert np.abs(part[:, 200, 1] - ((168 - y_in) * 5 - 0.5) * 255 / 839).max() < 3


@pytest.mark.parametrize("width_px", [37, 144, 311, 720, 1440, 2000])
def test_the_whole_wall_is_the_same_at_any_width(survey, tmp_path, width_px):
    mosaic = bring(survey, saved(tmp_path))

    whole = read_region(mosaic, WHOLE, width_px).astype(float)

    assert whole.shape[:2] == (round(width_px * 168 / 288), width_px)
    x = (np.arange(width_px) + 0.5) / width_px * 255
    assert np.abs(whole[whole.shape[0] // 2, :, 0] - x).max() < 5


def test_what_lies_beyond_the_mosaic_is_grey(survey, tmp_path):
    half = painting()[:, :720]
    mosaic = bring(survey, saved(tmp_path, pixels=half), bounds_in=(0.0, 0.0, 144.0, 168.0))

    whole = read_region(mosaic, WHOLE, 288)

    assert (whole[:, 144:] == 128).all()
    assert not (whole[:, :144] == 128).all(axis=2).any()


@pytest.mark.parametrize(
    ("mode", "name"),
    [("L", "grey.tif"), ("I;16", "deep.tif"), ("CMYK", "print.tif"), ("RGBA", "clear.tif")],
)
def test_grey_deep_print_and_transparent_pictures_are_turned_into_srgb(
    survey, tmp_path, mode, name
):
    grey = np.full((840, 1440), 128, np.uint8)
    if mode == "I;16":
        picture = Image.fromarray(grey.astype(np.uint16) * 257)
    else:
        picture = Image.fromarray(grey).convert("RGB").convert(mode)
    picture.save(tmp_path / name)

    mosaic = bring(survey, tmp_path / name)

    middle = read_region(mosaic, (100.0, 50.0, 150.0, 100.0), 50).astype(int)
    assert np.ptp(middle, axis=2).max() < 25  # a print's grey is not quite without colour
    assert abs(middle.mean() - 128) < 30


def refused(survey, path, name=None, **changes):
    before = state()
    with pytest.raises(InvalidInput) as error:
        bring(survey, path, name, **changes)
    assert state() == before
    return error.value


def test_a_file_that_ends_too_early_is_refused_and_nothing_stays(survey, tmp_path):
    path = saved(tmp_path, "wall.jpg", quality=90)
    path.write_bytes(path.read_bytes()[:-20_000])

    assert "wall.jpg" in refused(survey, path).message


def test_a_file_damaged_in_its_middle_is_refused_and_nothing_stays(survey, tmp_path):
    path = saved(tmp_path, "wall.png")
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 0xFF
    path.write_bytes(bytes(data))

    assert "wall.png" in refused(survey, path).message


def test_a_text_that_calls_itself_a_picture_is_refused(survey, tmp_path):
    path = tmp_path / "wall.tif"
    path.write_text("<html>no picture</html>")

    assert "no picture" in refused(survey, path).message


def test_a_jpeg_that_calls_itself_a_tiff_is_refused(survey, tmp_path):
    path = saved(tmp_path, "wall.jpg")

    assert "JPEG file by its content" in refused(survey, path, "wall.tif").message


def test_a_picture_with_an_archive_behind_it_is_refused(survey, tmp_path):
    path = saved(tmp_path, "wall.jpg")
    behind = io.BytesIO()
    with zipfile.ZipFile(behind, "w") as archive:
        archive.writestr("run.txt", "anything")
    path.write_bytes(path.read_bytes() + behind.getvalue())

    refused(survey, path)


def test_a_bomb_of_pixels_is_refused_by_its_own_figures(survey, tmp_path):
    path = saved(tmp_path, "wall.png", pixels=np.zeros((8, 8, 3), np.uint8))
    data = bytearray(path.read_bytes())
    data[16:24] = (60_000).to_bytes(4, "big") * 2  # the size in the head of a PNG
    path.write_bytes(bytes(data))

    assert "wall.png" in refused(survey, path).message


def test_a_progressive_jpeg_that_must_be_held_whole_is_refused(survey, tmp_path):
    pixels = np.zeros((11_000, 18_000, 3), np.uint8)
    path = saved(tmp_path, "wall.jpg", pixels=pixels, progressive=True)

    message = refused(survey, path, bounds_in=(0.0, 0.0, 288.0, 176.0)).message
    assert "can only be opened with" in message


def test_a_turned_picture_is_refused(survey, tmp_path):
    exif = Image.Exif()
    exif[0x0112] = 6
    path = saved(tmp_path, "wall.jpg", exif=exif)

    assert "lies turned" in refused(survey, path).message


def test_bounds_that_would_stretch_the_picture_are_refused_with_both_scales(survey, tmp_path):
    path = saved(tmp_path)

    error = refused(survey, path, bounds_in=(0.0, 0.0, 288.0, 160.0))

    assert error.field == "bounds_in"
    assert "5 px/in" in error.message
    assert "5.25" in error.message


def test_bounds_beside_the_wall_are_refused(survey, tmp_path):
    error = refused(survey, saved(tmp_path), bounds_in=(300.0, 0.0, 588.0, 168.0))

    assert error.field == "bounds_in"
    assert "is not on the wall" in error.message


@pytest.mark.parametrize("error_in", [0.0, -1.0, float("nan"), 121.0])
def test_an_error_that_nobody_can_state_is_refused(survey, tmp_path, error_in):
    assert refused(survey, saved(tmp_path), error_in=error_in).field == "error_in"


def test_work_that_is_stopped_leaves_nothing(survey, tmp_path):
    path = saved(tmp_path)
    before = state()

    class Stop(Exception):
        pass

    def stop(done, total):
        raise Stop

    with pytest.raises(Stop):
        import_orthophoto(survey, path, "wall.tif", statement=said(), writer=DESK, tell=stop)

    assert state() == before
