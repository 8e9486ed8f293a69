"""Is a file told by what it holds, and is whatever stands behind its end refused?"""

import io
import struct
import zipfile
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from gridmap.errors import InvalidInput
from survey.photos.file_formats import check_raw_file, is_raw_name, kind_of, read_facts, stem_of
from survey.photos.formats.source import HeldBytes
from tests.survey.photos.camera import encoded, exif, frame_pixels

HEIC_FOLDER = Path(__file__).parent / "heic"
PIXELS = frame_pixels(90, 60)


def heic(name="plain.heic"):
    return (HEIC_FOLDER / name).read_bytes()


def tiff(**options):
    return encoded(PIXELS, "TIFF", **options)


GOOD = {
    "a.jpg": encoded(PIXELS),
    "progressive.JPEG": encoded(PIXELS, progressive=True),
    "a.png": encoded(PIXELS, "PNG"),
    "a.tif": tiff(),
    "lzw.TIFF": tiff(compression="tiff_lzw"),
    "a.heic": heic(),
    "no ending": encoded(PIXELS),
}


def facts(data, name="C17.jpg"):
    return read_facts(HeldBytes(data), name)


def refusal(data, name="C17.jpg"):
    with pytest.raises(InvalidInput) as refused:
        facts(data, name)
    return refused.value.message


@pytest.mark.parametrize("name", GOOD)
def test_a_picture_says_how_large_it_is(name):
    size = (96, 64) if name.endswith("heic") else (90, 60)

    assert facts(GOOD[name], name).upright_px == size


@pytest.mark.parametrize("name", GOOD)
def test_a_picture_cut_off_anywhere_is_refused(name):
    data = GOOD[name]

    for share in (0.02, 0.2, 0.5, 0.9, 0.99):
        message = refusal(data[: int(len(data) * share)], name)
        assert message.startswith(name)
        assert message.endswith("Nothing was kept.")


@pytest.mark.parametrize("name", GOOD)
@pytest.mark.parametrize("more", [b"PK\x03\x04 and more" * 9, b"<script>alert(1)</script>" * 4])
def test_appended_content_is_refused(name, more):
    message = refusal(GOOD[name] + more, name)

    assert any(words in message for words in ("behind", "that nothing in it names"))


def test_content_between_the_pieces_of_a_heic_is_refused_behind_its_picture():
    data = heic()
    at = data.index(b"mdat") - 4
    (length,) = struct.unpack(">I", data[at : at + 4])
    hidden = b"hidden content" * 8
    grown = data[:at] + struct.pack(">I", length + len(hidden)) + data[at + 4 :] + hidden

    assert "nothing in it names" in refusal(grown, "C17.heic")


def test_zeros_with_which_a_camera_fills_its_last_block_are_no_content():
    assert facts(GOOD["a.jpg"] + bytes(500)).width_px == 90


def test_further_pictures_that_the_camera_s_index_names_are_no_addition():
    first = Image.fromarray(PIXELS)
    # source: CIPA DC-007 as Pillow's own writer of multi-picture files understands it
    both = encoded(first, "MPO", save_all=True, append_images=[Image.fromarray(PIXELS[:30, :40])])

    assert facts(both).upright_px == (90, 60)


def test_content_behind_the_pictures_of_the_index_is_refused():
    both = encoded(
        Image.fromarray(PIXELS), "MPO", save_all=True, append_images=[Image.fromarray(PIXELS)]
    )

    assert "behind the end of its picture" in refusal(both + b"more")


def test_an_index_that_points_nowhere_is_refused():
    both = encoded(
        Image.fromarray(PIXELS), "MPO", save_all=True, append_images=[Image.fromarray(PIXELS)]
    )

    assert "not where it says" in refusal(both[:-200])


@pytest.mark.parametrize(
    ("data", "name", "word"),
    [
        (b"<!DOCTYPE html><p>", "C17.jpg", "a web page"),
        (b"%PDF-1.7 ", "C17.jpg", "a PDF"),
        (b"MZ\x90\x00", "C17.png", "a program"),
        (b"GIF89a....", "C17.jpg", "a GIF"),
        (b"II+\x00\x08\x00\x00\x00", "C17.tif", "BigTIFF"),
        (b"\x00\x00\x00\x1cftypavif\x00\x00\x00\x00avifmif1miaf", "C17.heic", "AVIF"),
        ("Cell C17, flaking, a café tide-line\n".encode(), "C17.jpg", "a text"),
        ("é".encode() * 300, "C17.jpg", "a text"),
        (b"\x00\x01\x02\x03\x04", "C17.jpg", "something else"),
        (b"", "C17.jpg", "is empty"),
    ],
)
def test_what_is_no_picture_is_named_for_what_it_is(data, name, word):
    assert word in refusal(data, name)


@pytest.mark.parametrize("name", ["C17.png", "C17.tif", "C17.heic", "C17.txt", "C17.exe"])
def test_a_name_that_says_otherwise_is_refused(name):
    said = refusal(GOOD["a.jpg"], name)

    assert "by its content, and its name says otherwise" in said
    assert "Give it the ending .jpg" in said


def test_a_picture_that_is_an_archive_too_is_refused():
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as file:
        file.writestr("page.html", "<script>")
    head, tail = GOOD["a.jpg"][:2], GOOD["a.jpg"][2:]
    # The archive lies in a comment of the picture, and its end's comment reaches to the last byte.
    packed = bytearray(archive.getvalue())
    comment = b"\xff\xfe" + struct.pack(">H", len(packed) + 2)
    packed[-2:] = struct.pack("<H", len(tail))

    assert "an archive at once" in refusal(head + comment + bytes(packed) + tail)


def test_a_picture_that_is_a_pdf_too_is_refused():
    said = b"%PDF-1.7 1 0 obj"
    comment = b"\xff\xfe" + struct.pack(">H", len(said) + 2) + said

    assert "a PDF at once" in refusal(GOOD["a.jpg"][:2] + comment + GOOD["a.jpg"][2:])


def test_a_wrong_check_sum_of_a_png_is_refused():
    data = bytearray(GOOD["a.png"])
    data[-20] ^= 1

    assert "is damaged: the check sum" in refusal(bytes(data), "C17.png")


def test_a_moving_png_is_refused():
    two = encoded(
        Image.fromarray(PIXELS), "PNG", save_all=True, append_images=[Image.fromarray(PIXELS[::-1])]
    )

    assert "moving picture" in refusal(two, "C17.png")


def test_a_tiff_of_two_pictures_is_refused():
    two = tiff(save_all=True, append_images=[Image.fromarray(PIXELS[::-1])])

    assert "holds 2 pictures" in refusal(two, "C17.tif")


def test_a_tiff_whose_directories_lead_in_a_circle_is_refused():
    data = bytearray(tiff())
    (first,) = struct.unpack("<I", data[4:8])
    (count,) = struct.unpack("<H", data[first : first + 2])
    data[first + 2 + 12 * count : first + 6 + 12 * count] = struct.pack("<I", first)

    assert "lead in a circle" in refusal(bytes(data), "C17.tif")


def test_a_tiff_of_measured_numbers_is_refused():
    heights = Image.fromarray(np.zeros((60, 90), np.float32))

    assert "no picture of grey, colour or CMYK" in refusal(encoded(heights, "TIFF"), "C17.tif")


def test_a_progressive_jpeg_without_end_of_scans_is_refused():
    data = encoded(PIXELS, progressive=True)
    start = data.rindex(b"\xff\xda")
    scan = data[start:-2]

    assert "more than 64 scans" in refusal(data[:-2] + scan * 80 + b"\xff\xd9")


def test_a_png_says_its_size_before_anything_is_unpacked():
    heading = b"IHDR" + struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    packed = b"IDAT" + zlib.compress(bytes(1000))

    def chunk(part):
        return struct.pack(">I", len(part) - 4) + part + struct.pack(">I", zlib.crc32(part))

    bomb = b"\x89PNG\r\n\x1a\n" + chunk(heading) + chunk(packed) + chunk(b"IEND")

    assert facts(bomb, "C17.png").upright_px == (60_000, 60_000)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
def test_the_upright_size_follows_the_orientation(kind, orientation):
    data = encoded(PIXELS, kind, exif=exif(orientation=orientation))

    assert facts(data, "").upright_px == ((60, 90) if orientation >= 5 else (90, 60))


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif", "a.heic"])
def test_no_flipped_byte_makes_the_reader_fall_over(name):
    data, rng = GOOD[name], np.random.default_rng(4)
    refused = 0
    for _ in range(300):
        broken = bytearray(data)
        for at in rng.integers(0, min(len(data), 700), 3):
            broken[at] = rng.integers(0, 256)
        try:
            facts(bytes(broken), name)
        except InvalidInput:
            refused += 1

    assert refused > 20


@pytest.mark.parametrize(
    ("name", "head"),
    [
        ("DSC_0042.NEF", b"MM\x00*\x00\x00\x00\x08"),
        ("IMG_0042.CR2", b"II*\x00\x10\x00\x00\x00CR\x02\x00"),
        ("IMG_0042.cr3", b"\x00\x00\x00\x18ftypcrx \x00\x00\x00\x01crx isom"),
        ("DSCF0042.RAF", b"FUJIFILMCCD-RAW 0201"),
        ("P1010042.ORF", b"IIRO\x08\x00\x00\x00"),
        ("P1010042.RW2", b"IIU\x00\x18\x00\x00\x00"),
        ("a.dng", b"II*\x00\x08\x00\x00\x00"),
        ("a.arw", b"II*\x00\x08\x00\x00\x00"),
    ],
)
def test_a_raw_file_is_known_by_ending_and_first_bytes_and_never_decoded(name, head):
    assert is_raw_name(name)
    check_raw_file(HeldBytes(head + bytes(100)), name)
    with pytest.raises(InvalidInput, match=r"is no .* file: it is a web page"):
        check_raw_file(HeldBytes(b"<html>" + bytes(100)), name)


def test_raw_and_rendering_share_the_stem_of_their_name():
    assert stem_of("DSC_0042.NEF") == stem_of("dsc_0042.jpg") == "dsc_0042"


def test_a_film_is_no_picture():
    assert kind_of(b"\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00mp42isom") is None
