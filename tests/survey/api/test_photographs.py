"""Does one file go in over HTTP with all that is said of it, and its picture out without metadata?"""

import io
from urllib.parse import urlencode

import pytest
from django.test import Client
from PIL import Image

from survey.api import photographs as routes
from survey.ledger.models import Blob, Entry
from survey.photos import renditions
from survey.photos.models import Photograph
from tests.support.factories import make_member, make_survey, make_wall
from tests.survey.photos.camera import NINE, encoded, frame, frame_pixels

pytestmark = [pytest.mark.django_db, pytest.mark.database]
ADDRESS = "/api/v1/walls/booking-hall/surveys/B1/photographs/"
FORM = "application/x-www-form-urlencoded"
NEF = b"II*\x00\x08\x00\x00\x00" + bytes(500)


@pytest.fixture
def survey():
    return make_survey(make_wall())


@pytest.fixture
def member(client, survey):
    client.force_login(make_member(survey.wall, display_name="Priya Lund"))
    return client


def send(client, data, name="DSC_0042.JPG", **said):
    query = urlencode({"name": name, "mode": "normal", **said})
    return client.post(f"{ADDRESS}?{query}", data, content_type="application/octet-stream")


def test_a_file_is_taken_in_with_what_is_said_of_it(member):
    sent = send(
        member, frame(taken=NINE), mode="raking", lamp_side="left", lamp="LED panel",
        angle_deg="8", scale_bar="1", colour_target="0", cell="C03, c4", clock_zone="+01:00",
    )  # fmt: skip

    told = sent.json()
    assert (sent.status_code, told["status"]) == (201, "stored")
    photograph = Photograph.objects.get(pk=told["photograph"])
    assert (photograph.mode, photograph.lamp_side) == ("raking", "left")
    assert photograph.light == {"lamp": "LED panel", "angle_deg": 8.0, "scale_bar": True}
    assert told["cells"] == ["C03", "C04"]
    assert told["taken_at"] == "2026-06-15T08:00:00+00:00"
    assert photograph.operator == "Priya Lund"


def test_sent_again_it_changes_nothing(member):
    first = send(member, frame()).json()

    again = send(member, frame(), "other name.jpg")

    assert (again.status_code, again.json()["status"]) == (200, "already there")
    assert again.json()["photograph"] == first["photograph"]
    assert Entry.objects.count() == 1


def test_what_a_page_should_say_of_the_file_is_told(member):
    grey = encoded(Image.fromarray(frame_pixels(90, 60)[..., 0]))

    told = send(member, grey).json()

    assert told["remarks"] == [
        "The file is in grey: it shows no colour.",
        "The file does not say when it was taken.",
    ]


@pytest.mark.parametrize(
    ("data", "said", "field"),
    [
        (b"", {}, "data"),
        (b"<html>", {}, "data"),
        (frame(), {"name": "C17.png"}, "name"),
        (frame(), {"name": ""}, "name"),
        (frame(), {"mode": "moonlight"}, "mode"),
        (frame(), {"lamp_side": "behind"}, "lamp_side"),
        (frame(), {"angle_deg": "steep"}, "angle_deg"),
        (frame(), {"angle_deg": "nan"}, "angle_deg"),
        (frame(), {"scale_bar": "yes"}, "scale_bar"),
        (frame(), {"cell": "Z99"}, "cell"),
        (frame(), {"cell": ",".join(["C03"] * 41)}, "cell"),
        (frame(), {"role": "historic"}, "role"),
        (frame(), {"clock_zone": "noon"}, "clock_zone"),
        (NEF, {"name": "DSC_0042.NEF"}, "name"),
        (NEF, {"name": "DSC_0042.NEF", "raw_for": "x"}, "raw_for"),
    ],
)
def test_a_refusal_says_why_and_keeps_nothing(member, data, said, field):
    refused = send(member, data, **said)

    assert refused.status_code == 400
    assert refused.json()["field"] == field
    assert refused.json()["message"]
    assert not Entry.objects.exists()
    assert not Blob.objects.exists()


def test_a_body_beyond_the_limit_is_not_read_to_its_end(member, monkeypatch):
    monkeypatch.setattr(routes, "LARGEST_FILE_BYTES", 2_000)

    refused = send(member, frame())

    assert refused.status_code == 400
    assert "limit" in refused.json()["message"]
    assert not Blob.objects.exists()


def test_a_raw_file_joins_its_rendering_and_comes_back_as_it_was(member):
    send(member, frame())

    told = send(member, NEF, "dsc_0042.nef").json()

    back = member.get(f"/api/v1/blobs/{told['raw']['digest']}")
    assert b"".join(back.streaming_content) == NEF
    assert back["Content-Type"] == "application/octet-stream"


@pytest.mark.parametrize("kind", ["multipart/form-data; boundary=x", FORM])
def test_a_form_is_no_file(survey, kind):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(make_member(survey.wall))
    browser.get("/api/v1/session/")
    token = browser.cookies["csrftoken"].value

    refused = browser.post(
        f"{ADDRESS}?name=a.jpg&mode=normal", frame(), content_type=kind,
        headers={"X-CSRFToken": token},
    )  # fmt: skip

    assert refused.status_code == 400
    assert "no form" in refused.json()["message"]


def test_a_file_without_the_page_s_token_is_refused(survey):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(make_member(survey.wall))

    assert send(browser, frame()).status_code == 403
    assert not Blob.objects.exists()


def rendition(client, photograph, width="200"):
    return client.get(f"/api/v1/photographs/{photograph}/rendition/?width={width}")


def test_a_rendition_is_small_upright_kept_by_the_browser_and_without_metadata(member):
    data = frame(size_px=(600, 400), gps=True, orientation=6, taken=NINE)
    photograph = send(member, data).json()["photograph"]

    got = rendition(member, photograph)

    with Image.open(io.BytesIO(got.content)) as picture:
        assert picture.size == (200, 300)
        assert not picture.getexif()
    assert got["Content-Type"] == "image/jpeg"
    assert got["Cache-Control"] == "private, max-age=31536000, immutable"


def test_a_rendition_is_made_once(member, monkeypatch):
    photograph = send(member, frame(seed=77)).json()["photograph"]
    made = []
    monkeypatch.setattr(
        renditions, "make_rendition", lambda *args, **said: made.append(said) or b"jpeg"
    )

    first, second = (rendition(member, photograph).content for _ in range(2))

    assert (first, second) == (b"jpeg", b"jpeg")
    assert len(made) == 1


def test_no_rendition_is_wider_than_the_photograph(member):
    photograph = send(member, frame(size_px=(600, 400))).json()["photograph"]

    with Image.open(io.BytesIO(rendition(member, photograph, "8000").content)) as picture:
        assert picture.width == 600


@pytest.mark.parametrize("width", ["wide", "-1", "1e3", "9999999"])
def test_a_width_that_is_none_is_refused(member, width):
    photograph = send(member, frame()).json()["photograph"]

    assert rendition(member, photograph, width).status_code == 400


def test_a_stranger_sees_no_rendition(member, client, survey):
    photograph = send(member, frame()).json()["photograph"]
    client.force_login(make_member(make_wall(wall="signal-box")))

    assert rendition(client, photograph).status_code == 404
