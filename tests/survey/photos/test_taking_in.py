"""Does a photograph come on record whole, once, as it came, with what the file says of itself?"""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from django.core.files.storage import default_storage

from gridmap.errors import Clash, InvalidInput
from survey.ledger.blobs import read_blob
from survey.ledger.canonical import digest_of
from survey.ledger.drafts import Draft, Writer
from survey.ledger.models import Blob, Entry
from survey.photos.models import Photograph
from survey.photos.taking_in import Statement, restate, take_in, take_in_raw
from survey.record.services import append_to_survey, close_survey
from tests.support.factories import make_survey, make_wall
from tests.survey.photos.camera import NINE, encoded, exif, frame, frame_pixels

pytestmark = [pytest.mark.django_db, pytest.mark.database]
PRIYA = Writer(name="Priya Lund", device="desk")
NEF = b"II*\x00\x08\x00\x00\x00" + bytes(range(256)) * 4


@pytest.fixture
def survey():
    return make_survey(make_wall())


def put(survey, data, name="DSC_0042.JPG", **said):
    statement = Statement(**{"mode": "normal", **said})
    return take_in(survey, data, name, statement=statement, writer=PRIYA)


def test_the_bytes_are_kept_as_they_came_under_their_digest(survey):
    data = frame(taken=NINE, gps=True)

    photograph = put(survey, data).photograph

    assert photograph.blob_id == digest_of(data)
    assert read_blob(photograph.blob_id) == data


def test_what_a_person_says_of_the_light_is_on_record(survey):
    photograph = put(
        survey, frame(), mode="raking", lamp_side="left", lamp="LED panel", angle_deg=8.0,
        scale_bar=True, colour_target=True, cells=("c3", "C 04"), operator="Tomas Sedge",
    ).photograph  # fmt: skip

    assert photograph.light == {
        "lamp": "LED panel", "angle_deg": 8.0, "scale_bar": True, "colour_target": True
    }  # fmt: skip
    assert photograph.cells == ["C03", "C04"]
    assert photograph.operator == "Tomas Sedge"


def test_what_the_file_says_is_testimony_and_its_place_on_earth_is_left_out(survey):
    data = frame(
        taken=NINE, gps=True, number="7042", orientation=6,
        more=((0x829A, (1, 60)), (0x829D, (8, 1)), (0x8827, 100), (0x920A, (50, 1)),
              (0xA434, "50mm F8")),
    )  # fmt: skip

    photograph = put(survey, data).photograph

    assert photograph.testimony == {
        "taken_at": "2026-06-15 09:00:00 (camera's clock, no time zone)",
        "camera": "Rook Plate 6, no. 7042",
        "lens": "50mm F8",
        "exposure": "1/60 s",
        "aperture": "f/8",
        "iso": "ISO 100",
        "focal_length": "50 mm",
        "orientation": "turned by 90° to the right",
    }
    assert "GPS" not in str(photograph.head.content).upper()
    assert "54" not in str(photograph.testimony)


def test_width_and_height_are_those_of_the_upright_picture(survey):
    photograph = put(survey, frame(size_px=(600, 400), orientation=8)).photograph

    assert (photograph.width_px, photograph.height_px) == (400, 600)


@pytest.mark.parametrize(
    ("zone", "said", "expected"),
    [
        (None, {}, None),
        ("+01:00", {}, datetime(2026, 6, 15, 8, tzinfo=UTC)),
        (None, {"clock_zone": datetime.strptime("+0100", "%z").tzinfo}, datetime(2026, 6, 15, 8, tzinfo=UTC)),
    ],
)  # fmt: skip
def test_a_moment_is_only_stated_where_its_zone_is_known(survey, zone, said, expected):
    assert put(survey, frame(taken=NINE, zone=zone), **said).photograph.taken_at == expected


@pytest.mark.parametrize(
    ("begins", "zone", "is_asked"),
    [
        (date(2026, 6, 17), None, True),
        (date(2026, 6, 17), "+01:00", True),
        (date(2026, 6, 16), None, False),  # a clock of another zone may be a day behind
        (date(2026, 6, 15), None, False),
    ],
)
def test_a_frame_older_than_its_survey_is_taken_in_and_asked_about(begins, zone, is_asked):
    survey = make_survey(make_wall(), starts_on=begins, ends_on=begins)

    taken = put(survey, frame(taken=NINE, zone=zone))

    assert taken.status == "stored"
    assert any("is it in the right survey?" in words for words in taken.remarks) == is_asked


@pytest.mark.parametrize(
    ("mode", "side", "is_told"),
    [("raking", "", True), ("raking", "left", False), ("normal", "", False)],
)
def test_raking_light_without_its_side_is_told(survey, mode, side, is_told):
    remarks = put(survey, frame(), mode=mode, lamp_side=side).remarks

    assert any("side is not stated" in words for words in remarks) == is_told


def test_the_same_bytes_are_taken_once_whatever_their_name(survey):
    first = put(survey, frame())
    entries = Entry.objects.count()

    again = put(survey, frame(), "copy of DSC_0042.JPG")

    assert (first.status, again.status) == ("stored", "already there")
    assert again.photograph == first.photograph
    assert Entry.objects.count() == entries


def stored_files():
    folder = Path(default_storage.location)
    return {path for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize(
    ("data", "said", "words"),
    [
        (b"<html>", {}, "a web page"),
        (frame()[:-300], {}, "cut off"),
        (frame() + b"PK\x03\x04", {}, "behind the end of its picture"),
        (frame(), {"mode": "moonlight"}, "mode is 'moonlight'"),
        (frame(), {"cells": ("Z99",)}, "is no cell here"),
        (frame(), {"angle_deg": 120.0}, "from 0 to 90 degrees"),
        (frame(), {"role": "historic"}, "date_words is empty"),
        (frame(), {"note": "x" * 5000}, "note must be text"),
    ],
)
def test_what_is_refused_leaves_nothing_behind(survey, settings, data, said, words):
    before = stored_files()

    with pytest.raises(InvalidInput, match=words):
        put(survey, data, **said)

    assert stored_files() == before
    assert not Blob.objects.exists()
    assert not Entry.objects.exists()
    arriving = settings.DATA_FOLDER / "arriving"
    assert not list(arriving.glob("photograph-*"))


def test_a_picture_whose_data_are_damaged_in_the_middle_is_refused(survey):
    data = bytearray(encoded(frame_pixels(400, 300), "PNG"))
    data[len(data) // 2] ^= 0xFF

    with pytest.raises(InvalidInput, match="is damaged"):
        put(survey, bytes(data), "C17.png")


def test_a_jpeg_whose_blocks_do_not_reach_its_size_is_refused(survey):
    data = frame(size_px=(600, 400))
    at = data.index(b"\xff\xc0") + 5
    taller = data[:at] + (4000).to_bytes(2, "big") + data[at + 2 :]

    with pytest.raises(InvalidInput, match="cannot be decoded to its end"):
        put(survey, taller)


def test_a_historical_picture_is_kept_with_date_source_and_their_certainty(survey):
    historic = {
        "date_words": "before the clock was moved", "earliest": "1936-01-01",
        "latest": "1951-12-31", "date_certainty": "probable",
        "source": "postcard, the library's drawer 4", "source_certainty": "certain",
    }  # fmt: skip

    photograph = put(survey, frame(), role="historic", historic=historic).photograph

    assert photograph.historic == historic


def test_a_raw_file_is_kept_unopened_beside_its_rendering(survey):
    rendering = put(survey, frame()).photograph

    taken = take_in_raw(survey, NEF, "dsc_0042.nef", writer=PRIYA)

    assert taken.photograph == rendering
    assert read_blob(taken.photograph.raw_blob_id) == NEF
    assert taken.photograph.head.content["raw"]["name"] == "dsc_0042.nef"
    assert taken.photograph.head.parent_links.count() == 1
    assert not taken.photograph.conflict
    again = take_in_raw(survey, NEF, "dsc_0042.nef", writer=PRIYA)
    assert again.status == "already there"


def test_a_raw_file_without_rendering_is_refused(survey):
    with pytest.raises(InvalidInput, match=r"Take its rendering .* in first"):
        take_in_raw(survey, NEF, "dsc_0042.nef", writer=PRIYA)

    assert not Blob.objects.exists()


def test_a_second_raw_file_of_one_rendering_is_refused(survey):
    put(survey, frame())
    take_in_raw(survey, NEF, "dsc_0042.nef", writer=PRIYA)

    with pytest.raises(Clash, match="has another raw file already"):
        take_in_raw(survey, NEF + b"other", "dsc_0042.nef", writer=PRIYA)

    assert Blob.objects.count() == 2


def test_a_raw_file_that_fits_two_renderings_waits_for_a_person(survey):
    put(survey, frame(seed=1))
    other = put(survey, frame(seed=2)).photograph

    with pytest.raises(InvalidInput, match="fits 2 photographs"):
        take_in_raw(survey, NEF, "dsc_0042.nef", writer=PRIYA)

    chosen = take_in_raw(survey, NEF, "dsc_0042.nef", writer=PRIYA, beside=other.pk)
    assert chosen.photograph == other


def test_a_raw_file_settles_no_contradiction(survey):
    photograph = put(survey, frame()).photograph
    earlier = Photograph.objects.get(pk=photograph.pk)
    restate(photograph, {"cells": ["C04"]}, writer=PRIYA)
    draft = Draft(
        kind="photograph", body={**earlier.head.content, "cells": ["C05"]},
        object_id=photograph.pk, made_at=NINE, observed_by="Tomas Sedge",
        parents=(earlier.head_id,),
    )  # fmt: skip
    append_to_survey(survey, [draft], writer=PRIYA)

    with pytest.raises(Clash, match="contradict each other"):
        take_in_raw(survey, NEF, "dsc_0042.nef", writer=PRIYA)


def test_a_raw_file_that_is_none_is_refused(survey):
    put(survey, frame())

    with pytest.raises(InvalidInput, match="is no NEF file: it is a program"):
        take_in_raw(survey, b"MZ\x90\x00" + bytes(50), "dsc_0042.nef", writer=PRIYA)


def test_a_correction_is_a_new_entry_after_the_first(survey):
    first = put(survey, frame(), cells=("C03",)).photograph
    entry = first.head_id

    restate(first, {"cells": ["C04"], "mode": "raking", "lamp_side": "left"}, writer=PRIYA)

    corrected = Photograph.objects.get()
    assert (corrected.cells, corrected.mode) == (["C04"], "raking")
    assert [link.parent_id for link in corrected.head.parent_links.all()] == [entry]
    assert not corrected.conflict


@pytest.mark.parametrize("change", [{"digest": "0" * 64}, {"width_px": 7}, {"colour": "red"}])
def test_a_correction_cannot_change_the_picture_nor_say_what_nobody_reads(survey, change):
    photograph = put(survey, frame()).photograph

    with pytest.raises(InvalidInput):
        restate(photograph, change, writer=PRIYA)

    assert Entry.objects.count() == 1


def test_frames_may_still_be_taken_in_after_a_survey_was_closed(survey):
    close_survey(survey, by="Ines Fallow")

    assert put(survey, frame()).status == "stored"


@pytest.mark.parametrize("name", ["", "  ", "..", "/", "x" * 200])
def test_a_file_needs_a_name(survey, name):
    with pytest.raises(InvalidInput, match=r"^name "):
        put(survey, frame(), name)


def test_folders_in_a_name_are_left_out(survey):
    assert put(survey, frame(), "../../etc\\DSC_0042.JPG").photograph.name == "DSC_0042.JPG"


def test_testimony_that_cannot_be_read_is_no_reason_to_refuse(survey):
    broken = exif(taken=NINE).tobytes()[:40]

    photograph = put(survey, encoded(frame_pixels(), exif=broken)).photograph

    assert photograph.testimony == {
        "unreadable": "The file's statements about itself cannot be read."
    }
