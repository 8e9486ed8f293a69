"""Is what leaves the store upright, in sRGB, small, and without anything but the pixels?"""

import io
from pathlib import Path

import numpy as np
import pytest
import pyvips
from PIL import Image, ImageCms, ImageOps

from gridmap.errors import InvalidInput
from survey.photos import heic_decoding
from survey.photos.looking import look
from survey.photos.renditions import make_rendition, open_small
from tests.survey.photos.camera import encoded, exif, frame_pixels

HEIC_FOLDER = Path(__file__).parent / "heic"


def rendition(tmp_path, data, *, width_px=300, name="C17.jpg"):
    path = tmp_path / "original"
    path.write_bytes(data)
    made = make_rendition(path, width_px=width_px, name=name)
    return Image.open(io.BytesIO(made))


def apart(first, second):
    """The mean difference of two pictures in grey levels."""
    return np.abs(np.asarray(first, float) - np.asarray(second, float)).mean()


def test_no_metadata_goes_with_a_rendition(tmp_path):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    data = encoded(
        frame_pixels(), quality=90, exif=exif(gps=True, number="7042"), icc_profile=profile,
        comment=b"taken at home",
    )  # fmt: skip

    made = rendition(tmp_path, data)

    assert not made.getexif()
    assert not set(made.info) & {"exif", "icc_profile", "comment", "xmp", "photoshop"}
    made.fp.seek(0)
    assert b"Rook" not in made.fp.read()


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
def test_a_rendition_is_upright(tmp_path, kind, orientation):
    pixels = frame_pixels(90, 60)
    data = encoded(pixels, kind, exif=exif(orientation=orientation))
    # source: Pillow's exif_transpose, another reading of the same standard (Exif, tag 0x0112)
    expected = ImageOps.exif_transpose(Image.open(io.BytesIO(data))).convert("RGB")

    made = rendition(tmp_path, data)

    assert made.size == expected.size
    assert apart(made, expected) < 6


def test_a_rendition_is_never_wider_than_the_photograph(tmp_path):
    assert rendition(tmp_path, encoded(frame_pixels(90, 60)), width_px=2000).size == (90, 60)


def test_sixteen_bits_come_as_eight(tmp_path):
    eight = frame_pixels(90, 60)[..., 0]
    sixteen = Image.fromarray(eight.astype(np.uint16) * 257)

    for kind in ("PNG", "TIFF"):
        made = rendition(tmp_path, encoded(sixteen, kind))
        assert made.mode == "RGB"
        assert apart(made, np.dstack([eight] * 3)) < 6


def test_grey_comes_as_grey(tmp_path):
    grey = frame_pixels(90, 60)[..., 0]

    made = np.asarray(rendition(tmp_path, encoded(grey)), int)

    assert np.abs(made[..., 0] - made[..., 2]).max() <= 3
    assert apart(made[..., 0], grey) < 6


def test_cmyk_comes_as_colours(tmp_path):
    red = Image.new("CMYK", (90, 60), (0, 255, 255, 0))

    made = np.asarray(rendition(tmp_path, encoded(red))).mean((0, 1))

    # Magenta and yellow on paper are red, as dull as the press profile says.
    assert made[0] > 150
    assert made[1] < 90
    assert made[2] < 90


def test_the_file_s_own_profile_is_heeded(tmp_path):
    wide = pyvips.Image.profile_load("p3")
    stored = Image.new("RGB", (90, 60), (180, 90, 90))
    # source: littleCMS through Pillow, the colour engine of many programs
    expected = ImageCms.profileToProfile(
        stored, io.BytesIO(wide), ImageCms.createProfile("sRGB"), renderingIntent=1
    )

    made = rendition(tmp_path, encoded(stored, quality=95, icc_profile=wide))

    assert apart(expected, stored) > 3
    assert apart(made, expected) < 2


def test_transparent_parts_are_white(tmp_path):
    clear = Image.new("RGBA", (90, 60), (255, 0, 0, 0))

    assert np.asarray(rendition(tmp_path, encoded(clear, "PNG"))).min() > 250


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (encoded(Image.new("CMYK", (90, 60))), "CMYK, for print"),
        (encoded(Image.new("L", (90, 60))), "in grey"),
        (encoded(Image.fromarray(np.zeros((60, 90), np.uint16)), "PNG"), "16 bits"),
        (encoded(Image.new("RGBA", (90, 60)), "PNG"), "transparent parts"),
    ],
)
def test_what_a_page_shows_otherwise_than_the_file_holds_is_said(tmp_path, data, words):
    path = tmp_path / "original"
    path.write_bytes(data)

    assert any(words in remark for remark in look(path, "original").remarks)


# The HEIC files were made from one drawing by libheif's encoder (x265): red grows to the right,
# green downwards, blue in squares of 16. The last is in tiles and turned, as telephones write them.
@pytest.mark.parametrize(
    ("name", "size", "corner_px", "red_px"),
    [
        ("plain.heic", (96, 64), (5, 58), (91, 5)),
        ("ten_bit.heic", (96, 64), (5, 58), (91, 5)),
        ("turned.heic", (64, 96), (5, 5), (58, 91)),
        ("tiles.heic", (128, 192), (5, 5), (122, 186)),
    ],
)
def test_a_heic_is_upright_and_in_colour(tmp_path, name, size, corner_px, red_px):
    data = (HEIC_FOLDER / name).read_bytes()

    made = rendition(tmp_path, data, name=name)

    assert made.size == size
    red, green, _ = made.getpixel(corner_px)
    assert (red < 40, green > 200) == (True, True)
    red, green, _ = made.getpixel(red_px)
    assert (red > 200, green < 40) == (True, True)


def test_a_heic_whose_picture_cannot_be_decoded_is_refused(tmp_path):
    data = bytearray((HEIC_FOLDER / "plain.heic").read_bytes())
    at = data.index(b"mdat") + 8
    data[at : at + 52] = bytes(52)
    path = tmp_path / "C17.heic"
    path.write_bytes(bytes(data))

    with pytest.raises(InvalidInput, match=r"C17\.heic cannot be decoded to its end"):
        look(path, "C17.heic")


def test_bytes_that_are_no_picture_make_no_rendition(tmp_path):
    with pytest.raises(InvalidInput, match="is no picture"):
        rendition(tmp_path, b"<html>")


@pytest.mark.parametrize("profile", [None, "srgb"])
def test_the_whole_picture_comes_pixel_for_pixel(tmp_path, profile):
    pixels = frame_pixels(90, 60)
    said = {"icc_profile": pyvips.Image.profile_load(profile)} if profile else {}
    path = tmp_path / "original.png"
    path.write_bytes(encoded(pixels, "PNG", **said))

    whole = np.asarray(open_small(path, width_px=65_000, name="C17.png"), int)

    assert np.abs(whole - pixels).max() <= (1 if profile else 0)


@pytest.mark.parametrize(
    ("program", "words"),
    [
        ("import os; os.abort()", "brings the decoder down"),
        ("import sys; sys.exit('no such tile')", "no such tile"),
        ("while True: pass", "takes too long"),
    ],
)
def test_a_heic_that_fells_the_decoder_is_refused_and_the_server_stands(
    tmp_path, monkeypatch, program, words
):
    decoder = tmp_path / "decoder.py"
    decoder.write_text(program, encoding="utf-8")
    monkeypatch.setattr(heic_decoding, "PROGRAM", decoder)
    monkeypatch.setattr(heic_decoding, "LONGEST_S", 1.0)

    with pytest.raises(InvalidInput, match=words):
        look(HEIC_FOLDER / "plain.heic", "C17.heic")


def test_a_heic_that_brings_down_the_decoder_of_today_is_refused():
    # A file with a few bytes changed at random, under which pi_heif 1.4.0 ends its process.
    with pytest.raises(InvalidInput, match=r"C17\.heic cannot be decoded to its end"):
        look(HEIC_FOLDER / "damaged.heic", "C17.heic")
