"""Is each pixel of each tile where it belongs on the wall, at every level and for any size?

The painted picture tells its own place: red and green are places across and down, so that a tile
pulled out of the stored file can be held against the wall without trusting the reader.
"""

import io
import threading
import zipfile
from pathlib import Path

import numpy as np
import pytest
import pyvips
from PIL import Image

from gridmap.errors import InvalidInput, NotFound
from gridmap.tiles import TileFrame
from survey.ledger.blobs import blob_path
from survey.photos import tile_writing
from survey.photos.mosaics import MosaicStatement
from survey.photos.orthophotos import import_orthophoto
from survey.photos.pyramids import frame_of, read_region, tile_bytes
from survey.photos.tile_writing import write_pyramid
from tests.support.factories import make_survey, make_wall
from tests.survey.photos.test_orthophotos import DESK

pytestmark = [pytest.mark.django_db, pytest.mark.database]

BOUNDS = (12.0, 6.0, 276.0, 150.0)  # a part of the small wall: 22 ft by 12 ft
# None is a power of two; among them one pixel more and one less than tiles have.
SIZES = [(1320, 720), (1539, 839), (2055, 1121), (513, 280), (511, 279), (990, 540)]


def painted(width_px, height_px):
    """Return a picture in which red tells the place across and green the place down."""
    x = (np.arange(width_px) + 0.5) / width_px * 240 + 8
    y = (np.arange(height_px) + 0.5) / height_px * 240 + 8
    pixels = np.empty((height_px, width_px, 3))
    pixels[..., 0], pixels[..., 1], pixels[..., 2] = x[None, :], y[:, None], 128
    return pixels.round().astype(np.uint8)


def wall_place(pixels):
    """Return which place on the wall the colours of pixels tell [in]."""
    x0, y0, x1, y1 = BOUNDS
    across, down = (pixels[..., channel].astype(float) - 8 for channel in (0, 1))
    return x0 + across / 240 * (x1 - x0), y1 - down / 240 * (y1 - y0)


def mosaic_of(tmp_path, size, survey=None):
    path = tmp_path / "wall.png"
    Image.fromarray(painted(*size)).save(path)
    statement = MosaicStatement(mode="normal", bounds_in=BOUNDS, error_in=0.5, source="imported")
    survey = survey or make_survey(make_wall())
    return import_orthophoto(survey, path, path.name, statement=statement, writer=DESK)


def tile_of(mosaic, level, column, row):
    with Image.open(io.BytesIO(tile_bytes(mosaic.pyramid_id, level, column, row))) as tile:
        return np.asarray(tile.convert("RGB"))


@pytest.mark.parametrize("size", SIZES)
def test_every_tile_pixel_maps_to_its_place_on_the_wall(tmp_path, size):
    mosaic = mosaic_of(tmp_path, size)
    frame = frame_of(mosaic)
    # One step of colour is so much of the wall; JPEG shifts single values by two or three steps.
    step_in = (BOUNDS[2] - BOUNDS[0]) / 240
    places = [
        (level, column, row)
        for level in range(frame.levels)
        for column in range(frame.tile_count(level)[0])
        for row in range(frame.tile_count(level)[1])
    ]

    for place in places:
        pixels = tile_of(mosaic, *place)
        height, width = pixels.shape[:2]
        assert (width, height) == frame.tile_size_px(*place)
        told_x, told_y = wall_place(pixels)
        x_in = np.array([frame.pixel_centre_in(*place, (x, 0))[0] for x in range(width)])
        y_in = np.array([frame.pixel_centre_in(*place, (0, y))[1] for y in range(height)])
        # A coarse level's last pixel may lie half beyond the picture; it is left out.
        away_x = (np.median(told_x, axis=0) - x_in)[:-1]
        away_y = (np.median(told_y, axis=1) - y_in)[:-1]
        for away in (away_x, away_y):
            assert np.abs(away).max(initial=0) < 3 * step_in, place
            assert abs(away.sum()) <= 0.6 * step_in * len(away), place
    assert frame.levels == mosaic.levels


@pytest.mark.parametrize("size", SIZES)
def test_no_level_drifts_against_another(tmp_path, size):
    """A sharp edge in the middle of the wall stays where it is at every level."""
    width_px, height_px = size
    pixels = np.full((height_px, width_px, 3), 40, np.uint8)
    edge_px = 8 * round(0.6 * width_px / 8)  # on a pixel's edge at the first four levels
    pixels[:, edge_px:] = 210
    path = tmp_path / "edge.png"
    Image.fromarray(pixels).save(path)
    made = tmp_path / "edge.zip"
    write_pyramid(pyvips.Image.pngload(str(path)), made)
    frame = TileFrame(0.0, 100.0, 10.0, width_px, height_px)

    with zipfile.ZipFile(made) as archive:
        for level in range(max(0, frame.levels - 4), frame.levels):
            found = []
            for column in range(frame.tile_count(level)[0]):
                with Image.open(archive.open(f"wall_files/{level}/{column}_0.jpg")) as tile:
                    found.append(np.asarray(tile.convert("L"), float)[5])
            row = np.concatenate(found)
            step = np.argmax(row > 125)
            assert step / frame.px_per_in_at(level) == pytest.approx(edge_px / 10), level


def test_stripes_meet_without_a_seam_at_every_level(tmp_path, monkeypatch):
    """A wide picture is tiled stripe by stripe; the same tiles come out as in one piece."""
    pixels = np.random.default_rng(9).integers(0, 255, (1201, 5003, 3), np.uint8)
    image = pyvips.Image.new_from_array(pixels).copy(interpretation="srgb")
    whole, striped = tmp_path / "whole.zip", tmp_path / "striped.zip"
    write_pyramid(image, whole)
    monkeypatch.setattr(tile_writing, "STRIPE_LEVELS", 2)
    monkeypatch.setattr(tile_writing, "STRIPE_PX", 2048)

    write_pyramid(image, striped)

    with zipfile.ZipFile(whole) as one, zipfile.ZipFile(striped) as other:
        assert sorted(one.namelist()) == sorted(other.namelist())
        assert all(one.read(name) == other.read(name) for name in one.namelist())
    assert list(tmp_path.glob("*.pixels")) == []


@pytest.mark.parametrize("size", SIZES)
def test_the_levels_are_the_means_that_libvips_makes(tmp_path, size):
    """Tiles of every level against those of libvips' own writer, which nothing here calls."""
    pixels = np.random.default_rng(3).integers(0, 255, (size[1], size[0], 3), np.uint8)
    image = pyvips.Image.new_from_array(pixels).copy(interpretation="srgb").gaussblur(2)
    image = image.cast("uchar").copy_memory()
    ours, theirs = tmp_path / "ours.zip", tmp_path / "theirs.zip"

    write_pyramid(image, ours)

    image.dzsave(
        str(theirs), imagename="wall", container="zip", tile_size=512, overlap=0,
        depth="onetile", suffix=".jpg[Q=88]", keep="none",
    )  # fmt: skip
    with zipfile.ZipFile(ours) as one, zipfile.ZipFile(theirs) as other:
        tiles = [name for name in other.namelist() if name.endswith(".jpg")]
        assert sorted(one.namelist()) == sorted(tiles)
        for name in tiles:
            here, there = (
                np.asarray(Image.open(io.BytesIO(archive.read(name))).convert("L"), float)
                for archive in (one, other)
            )
            assert here.shape == there.shape
            assert np.abs(here - there).mean() < 0.5, name


def test_the_same_picture_gives_the_same_file(tmp_path):
    image = pyvips.Image.new_from_array(painted(1320, 720)).copy(interpretation="srgb")

    for name in ("a.zip", "b.zip"):
        write_pyramid(image, tmp_path / name)

    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()


def test_a_stopped_work_leaves_no_decoder_running(tmp_path):
    image = pyvips.Image.new_from_array(painted(2055, 1121)).copy(interpretation="srgb")
    before = threading.active_count()

    def stop(done, total):
        if done:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_pyramid(image, tmp_path / "a.zip", tell=stop)

    assert threading.active_count() == before


def test_an_edge_of_a_region_is_the_edge_that_was_asked(tmp_path):
    mosaic = mosaic_of(tmp_path, (1320, 720))

    part = read_region(mosaic, (100.0, 50.0, 120.0, 60.0), 100)

    told_x, told_y = wall_place(part)
    assert part.shape == (50, 100, 3)
    assert np.median(told_x[:, :3]) == pytest.approx(100, abs=2.5)
    assert np.median(told_x[:, -3:]) == pytest.approx(120, abs=2.5)
    assert np.median(told_y[:3]) == pytest.approx(60, abs=2.5)


@pytest.mark.parametrize("place", [(9, 0, 0), (0, 1, 0), (2, 3, 0), (2, 0, 2)])
def test_a_tile_beyond_the_picture_is_not_found(tmp_path, place):
    mosaic = mosaic_of(tmp_path, (1320, 720))

    with pytest.raises(NotFound):
        tile_bytes(mosaic.pyramid_id, *place)


def test_a_lost_file_is_told(tmp_path):
    mosaic = mosaic_of(tmp_path, (990, 540))
    Path(blob_path(mosaic.pyramid_id)).unlink()

    with pytest.raises(NotFound, match="lost the tiles"):
        tile_bytes(mosaic.pyramid_id, 0, 0, 0)


@pytest.mark.parametrize("bounds", [(10, 10, 10, 20), (10, 30, 20, 20)])
def test_a_region_without_extent_is_refused(tmp_path, bounds):
    mosaic = mosaic_of(tmp_path, (990, 540))

    with pytest.raises(InvalidInput):
        read_region(mosaic, bounds, 100)


def test_a_region_of_too_many_pixels_is_refused(tmp_path):
    mosaic = mosaic_of(tmp_path, (990, 540))

    with pytest.raises(InvalidInput, match="smaller part"):
        read_region(mosaic, BOUNDS, 40_000)


def test_no_metadata_of_a_file_goes_into_the_tiles(tmp_path):
    exif = Image.Exif()
    exif[0x010F] = "Lantern Works"  # the maker
    exif[0x8825] = {1: "N", 2: (51.0, 30.0, 0.0)}  # a place on earth
    path, made = tmp_path / "wall.jpg", tmp_path / "wall.zip"
    Image.fromarray(painted(990, 540)).save(path, exif=exif)

    write_pyramid(pyvips.Image.jpegload(str(path)), made)

    data = made.read_bytes()
    assert b"Lantern" in path.read_bytes()
    assert b"Lantern" not in data
    assert b"Exif" not in data
    assert str(tmp_path).encode() not in data
