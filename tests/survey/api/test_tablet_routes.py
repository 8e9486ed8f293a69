"""Do a tablet's calls come through as a browser makes them, and are refusals told in words?"""

import hashlib
import io
import json

import pytest
from django.db import OperationalError
from django.test import Client
from PIL import Image

from survey.ledger.canonical import canonical_bytes
from survey.people.models import Role
from survey.photos.models import Photograph
from survey.photos.services import add_photograph
from survey.record.models import Observation
from survey.tablet import services
from survey.tablet.models import Tablet
from survey.tablet.services import enrol, installation, renew_epoch
from tests.support.factories import (
    PASSWORD,
    make_account,
    make_member,
    make_observation,
    make_survey,
    make_wall,
)
from tests.survey.photos.test_orthophotos import bring, saved

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture(autouse=True)
def own_data_folder(settings, tmp_path):
    settings.DATA_FOLDER = tmp_path


@pytest.fixture
def wall():
    return make_wall(lead=make_account("ines", display_name="Ines Fallow"))


@pytest.fixture
def survey(wall):
    return make_survey(wall, "W1")


@pytest.fixture
def priya(wall):
    return make_member(wall, Role.CONSERVATOR, "priya", display_name="Priya Lund")


@pytest.fixture
def tablet(survey, priya):
    return enrol(survey=survey, name="Deck 1", account=priya)


@pytest.fixture
def browser(priya):
    """A browser signed in as a tablet does it: in place, with the token of its cookie."""
    client = Client(enforce_csrf_checks=True)
    assert client.get("/api/v1/session/").json()["signed_in"] is False
    answer = client.post(
        "/api/v1/session/",
        {"username": "priya", "password": PASSWORD},
        content_type="application/json",
        headers={"X-CSRFToken": client.cookies["csrftoken"].value},
    )
    assert answer.json()["account"] == {"username": "priya", "name": "Priya Lund"}
    client.defaults["HTTP_X_CSRFTOKEN"] = client.cookies["csrftoken"].value
    return client


def address(tablet, rest):
    return f"/api/v1/tablets/{tablet.pk}/{rest}"


def push(client, tablet, entries=(), **more):
    body = {"contract": 1, "epoch": "", "entries": list(entries), **more}
    return client.post(address(tablet, "push/"), body, content_type="application/json")


def test_a_browser_with_its_token_may_push_and_one_without_may_not(browser, tablet):
    assert push(browser, tablet).status_code == 200

    del browser.defaults["HTTP_X_CSRFTOKEN"]
    refused = push(browser, tablet)

    assert refused.status_code == 403
    assert "CSRF" in refused.json()["message"]


def test_a_wrong_password_signs_nobody_in(wall, priya):
    client = Client(enforce_csrf_checks=True)
    client.get("/api/v1/session/")
    sent = {"username": "priya", "password": "not the password"}
    token = {"X-CSRFToken": client.cookies["csrftoken"].value}

    refused = client.post("/api/v1/session/", sent, content_type="application/json", headers=token)
    without_token = client.post("/api/v1/session/", sent, content_type="application/json")

    assert refused.status_code == 403
    assert "Nothing on this tablet is lost" in refused.json()["message"]
    assert without_token.status_code == 403
    assert client.get("/api/v1/session/").json()["signed_in"] is False


def test_a_tablet_is_enrolled_for_an_open_survey_that_is_offered(browser, survey):
    offered = browser.get("/api/v1/tablets/choices/").json()["walls"]
    assert [(wall["slug"], wall["surveys"][0]["code"]) for wall in offered] == [
        ("booking-hall", "W1")
    ]

    enrolled = browser.post(
        "/api/v1/tablets/",
        {"wall": "booking-hall", "survey": "W1", "name": "Deck 2"},
        content_type="application/json",
    ).json()

    tablet = Tablet.objects.get(pk=enrolled["tablet"]["id"])
    assert (tablet.name, tablet.survey, tablet.enrolled_by.username) == ("Deck 2", survey, "priya")
    assert enrolled["epoch"] == str(installation().epoch)


def test_a_reader_is_offered_nothing_and_cannot_enrol(wall, survey, client):
    client.force_login(make_member(wall, Role.READER))

    assert client.get("/api/v1/tablets/choices/").json() == {"walls": []}
    refused = client.post(
        "/api/v1/tablets/",
        {"wall": wall.slug, "survey": "W1", "name": "Deck 2"},
        content_type="application/json",
    )
    assert refused.status_code == 403
    assert Tablet.objects.count() == 0


def test_a_pack_names_the_digest_of_all_its_other_keys(browser, tablet, survey):
    make_observation(survey)
    pack = json.loads(browser.get(address(tablet, "pack/")).content)

    claimed = pack.pop("pack")

    # source: RFC 8785 and FIPS 180-4, by the packages rfc8785 and hashlib
    assert hashlib.sha256(canonical_bytes(pack)).hexdigest() == claimed
    assert pack["boot"]["outlines"][0]["term"] == "paint-loss"
    assert pack["boot"]["members"] == ["Ines Fallow", "Priya Lund"]
    assert pack["head"] == survey.logbook.entries.count()


def test_a_pack_walks_lift_by_lift_along_the_deck(browser, tablet):
    due = json.loads(browser.get(address(tablet, "pack/")).content)["due"]

    # Deck 1 reaches from the painting's foot to deck 2's boards, 6 ft up: rows G, F and E.
    assert due[:6] == ["E01", "F01", "G01", "E02", "F02", "G02"]
    assert due[36:40] == ["A01", "B01", "C01", "D01"]


def test_a_picture_comes_in_the_width_that_was_asked(browser, tablet, survey):
    out = io.BytesIO()
    Image.new("RGB", (5000, 1000), "#C9A27A").save(out, "JPEG")
    add_photograph(
        survey=survey,
        data=out.getvalue(),
        name="wall.jpg",
        mode="normal",
        operator="Priya Lund",
        bounds_in=(0.0, 0.0, 288.0, 57.6),
        rectified=True,
    )
    sizes = json.loads(browser.get(address(tablet, "pack/")).content)["pictures"][0]["sizes"]
    assert [size["width_px"] for size in sizes] == [2048, 4096, 5000]

    got = browser.get(sizes[0]["url"])

    with Image.open(io.BytesIO(got.content)) as picture:
        assert picture.size == (2048, 410)
    assert browser.get(sizes[0]["url"]).content == got.content


def test_a_mosaic_goes_up_as_one_picture_of_each_mode_with_its_id_and_error(
    browser, tablet, survey, tmp_path
):
    for name, changes in (
        ("a.tif", {}),
        ("b.tif", {"mode": "raking", "lamp_side": "left"}),
        ("c.tif", {"mode": "raking", "lamp_side": "right"}),
    ):
        mosaic = bring(survey, saved(tmp_path, name), **changes)

    pack = json.loads(browser.get(address(tablet, "pack/")).content)

    shown = pack["pictures"]
    assert sorted(picture["mode"] for picture in shown) == ["normal", "raking"]
    assert pack["boot"]["pictures"][0]["mode"] == shown[0]["mode"]
    assert {"id", "error_in", "digest", "bounds_in", "survey", "taken_on", "sizes"} <= set(shown[0])
    assert str(mosaic.pk) not in {picture["id"] for picture in shown}  # one lamp side goes up
    got = browser.get(shown[0]["sizes"][-1]["url"])
    with Image.open(io.BytesIO(got.content)) as picture:
        assert picture.size == (1440, 840)
    assert got["Cache-Control"].startswith("private")


def test_a_mosaic_of_another_wall_is_opened_by_no_digest(browser, tablet, tmp_path):
    other = bring(make_survey(make_wall(wall="other-wall"), "X1"), saved(tmp_path))

    assert browser.get(address(tablet, f"pictures/{other.pyramid_id}")).status_code == 404


def test_a_photograph_of_another_wall_is_opened_by_no_digest(browser, tablet, survey):
    other = make_survey(make_wall(wall="other-wall"), "X1")
    out = io.BytesIO()
    Image.new("RGB", (40, 30)).save(out, "PNG")
    add_photograph(
        survey=other, data=out.getvalue(), name="x.png", mode="normal", operator="Somebody"
    )
    digest = hashlib.sha256(out.getvalue()).hexdigest()

    assert browser.get(address(tablet, f"blobs/{digest}")).json()["complete"] is False
    assert browser.get(address(tablet, f"pictures/{digest}")).status_code == 404
    assert browser.get(f"/api/v1/blobs/{digest}").status_code == 404


def photograph_entry(digest):
    body = {
        "digest": digest, "size_bytes": 4, "mime": "image/jpeg", "name": "note.jpg",
        "mode": "normal", "role": "note", "width_px": 2, "height_px": 2,
    }  # fmt: skip
    statement = {
        "body": body,
        "id": "0193c000-0000-7000-8000-000000000001",
        "kind": "photograph",
        "kind_version": 1,
        "made_at": "2026-11-18T09:00:00Z",
        "object_id": "0193c000-0000-7000-9000-000000000001",
        "observed_by": "Ines Fallow",
        "parents": [],
        "recorded_by": "Priya Lund",
    }
    digest = hashlib.sha256(canonical_bytes(statement)).hexdigest()
    return {**statement, "device_seq": 1, "digest": digest}


def test_a_note_is_shown_once_its_bytes_have_come(browser, tablet, survey):
    data = b"\xff\xd8\xff\xd9"
    digest = hashlib.sha256(data).hexdigest()
    entry = photograph_entry(digest)
    assert push(browser, tablet, [entry]).json()["receipts"][0]["status"] == "stored"
    assert Photograph.objects.count() == 0

    put = browser.put(
        address(tablet, f"blobs/{digest}?offset=0&total=4"),
        data,
        content_type="application/octet-stream",
        headers={"X-Photograph-Type": "image/jpeg"},
    )

    assert put.json() == {"digest": digest, "held": 4, "complete": True}
    assert Photograph.objects.get().blob.mime == "image/jpeg"
    assert b"".join(browser.get(f"/api/v1/blobs/{digest}").streaming_content) == data


@pytest.mark.parametrize(
    ("query", "status"),
    [("offset=4&total=4", 400), ("offset=1&total=9", 409), ("offset=x&total=4", 400),
     ("offset=0&total=0", 400), ("offset=0&total=999999999999", 400)],
)  # fmt: skip
def test_a_part_that_cannot_be_is_refused_in_words(browser, tablet, query, status):
    put = browser.put(
        address(tablet, f"blobs/{'a' * 64}?{query}"),
        b"1234",
        content_type="application/octet-stream",
    )

    assert put.status_code == status
    assert put.json()["message"]


def test_a_busy_database_is_said_and_nothing_stored(browser, tablet, monkeypatch):
    def busy(*arguments, **options):
        raise OperationalError("database is locked")

    monkeypatch.setattr(services, "take_from_device", busy)

    refused = push(browser, tablet, [{}])

    assert refused.status_code == 503
    assert "nothing was stored" in refused.json()["message"]


def test_a_contact_notes_who_carried_the_tablet_and_what_waits(browser, tablet):
    push(browser, tablet, unsent=3, photographs_unsent=2)

    tablet.refresh_from_db()
    assert (tablet.last_carried_by, tablet.unsent, tablet.photographs_unsent) == (
        "Priya Lund",
        3,
        2,
    )


def test_a_new_epoch_is_told_in_the_next_answer(browser, tablet):
    before = push(browser, tablet).json()["epoch"]

    renewed = renew_epoch()

    assert push(browser, tablet).json()["epoch"] == str(renewed) != before


def test_what_is_no_push_is_refused_whole(browser, tablet):
    too_long = push(browser, tablet, [{"note": "x" * 1_000_001}])
    assert too_long.status_code == 413

    cut = browser.post(
        address(tablet, "push/"), '{"contract": 1, "entr', content_type="application/json"
    )
    assert cut.status_code == 400
    assert Observation.objects.count() == 0
