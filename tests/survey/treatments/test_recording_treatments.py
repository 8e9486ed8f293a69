"""Do treatments come on record as typed, through the logbook's door, and stay there?"""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from survey.ledger.drafts import new_id
from survey.ledger.models import Entry
from survey.ledger.services import open_logbook, rebuild
from survey.people.models import Role
from survey.treatments.models import Treatment
from survey.treatments.selectors import between, treatments_of
from tests.support.factories import (
    make_account,
    make_member,
    make_observation,
    make_survey,
    make_wall,
)

pytestmark = [pytest.mark.django_db, pytest.mark.database]

TYPED = {
    "term": "cleaned-area",
    "place": "cells",
    "cells": "C07",
    "reason": "Soot hides the smoke zone.",
    "decided_by": "Ines Fallow",
    "consent": "Marrowby Station Trust",
    "condition_before": "Even grey layer, paint sound.",
    "method": "Dry, with soft sponges, after three tests.",
    "tool": "Sponge",
    "product_chemical": "vulcanised rubber",
    "dwell_min": "0",
    "temperature_c": "18.5",
    "humidity_rh_pct": "61",
    "operators": "Tomas Sedge, Priya Lund",
    "started_at": "2026-06-22T09:30",
    "ended_at": "2026-06-22T12:00",
    "result": "Ground colour in view.",
    "adverse_effects": "none seen",
    "reveals": "on",
}


@pytest.fixture
def wall():
    return make_wall(lead=make_account("ines", display_name="Ines Fallow"))


@pytest.fixture
def tomas(client, wall):
    account = make_member(wall, Role.CONSERVATOR, "tomas", display_name="Tomas Sedge")
    client.force_login(account)
    return account


def at(wall, rest=""):
    return f"/walls/{wall.slug}/treatments/{rest}"


def picture(name="before.png", colour="red"):
    data = io.BytesIO()
    Image.new("RGB", (8, 6), colour).save(data, "PNG")
    return SimpleUploadedFile(name, data.getvalue(), content_type="image/png")


def recorded(client, wall, **changes):
    answer = client.post(at(wall, "new/"), {**TYPED, "object_id": str(new_id()), **changes})
    assert answer.status_code == 302, answer.context["form"].errors
    return Treatment.objects.latest("head__seq")


def test_an_empty_page_offers_the_first_record(client, wall, tomas):
    page = client.get(at(wall)).content.decode()

    assert "Record the first treatment" in page


def test_a_treatment_holds_everything_that_was_typed(client, wall, tomas):
    treatment = recorded(client, wall)

    assert treatment.cells == ["C07"]
    assert treatment.area_sq_in == 24 * 24
    assert treatment.reveals
    assert treatment.details["operators"] == ["Tomas Sedge", "Priya Lund"]
    assert treatment.details["temperature_c"] == 18.5
    entry = Entry.objects.get(pk=treatment.head_id)
    assert (entry.kind, entry.observed_by, entry.logbook.name) == ("treatment", "Tomas Sedge", "")
    assert entry.content["started_at"] == "2026-06-22T09:30:00Z"


def test_list_and_sheet_show_the_record(client, wall, tomas):
    treatment = recorded(client, wall)

    listed = client.get(at(wall)).content.decode()
    sheet = client.get(at(wall, f"{treatment.object_id}/")).content.decode()

    assert "Soot hides the smoke zone." in listed and "strip-treated" in listed
    for value in ("vulcanised rubber", "Even grey layer, paint sound.", "61", "none seen"):
        assert value in sheet
    assert "local law" in sheet


def test_the_form_stands_beside_its_cautions(client, wall, tomas):
    page = client.get(at(wall, "new/")).content.decode()

    for word in ("Powdering secco", "confined space", "lead, arsenic", "Safety data sheets"):
        assert word in page


def test_a_form_sent_twice_makes_one_treatment(client, wall, tomas):
    twice = {**TYPED, "object_id": str(new_id())}

    first, second = client.post(at(wall, "new/"), twice), client.post(at(wall, "new/"), twice)

    assert first.headers["Location"] == second.headers["Location"]
    assert Treatment.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"reason": ""}, "is empty"),
        ({"operators": ""}, "is empty"),
        ({"cells": "Z99"}, "Z99"),
        ({"place": "rectangle", "x": "2 ft", "y": "0", "w": "two"}, "two"),
        ({"place": "rectangle", "x": "2 ft", "y": "0", "w": "1 ft"}, "Height is empty"),
        (
            {"place": "rectangle", "x": "99 ft", "y": "0", "w": "1 ft", "h": "1 ft"},
            "beyond the wall",
        ),
        ({"place": "item"}, "Choose the survey"),
        ({"place": "points", "points": "0, 0; 1 ft, 1 ft"}, "at least 3"),
        ({"humidity_rh_pct": "131"}, "is 131.0; it must be at most 100"),
        ({"temperature_c": "nan"}, "Air, °C is not a number"),
        ({"started_at": "soon"}, "soon"),
        ({"ended_at": "2026-06-22T08:00"}, "lies before the beginning"),
        ({"term": "paint-loss"}, "choose one that is offered"),
        ({"term": "sample-site"}, "drawn as point, not as area"),
    ],
)
def test_a_bad_field_is_named_and_nothing_is_written(client, wall, tomas, changes, said):
    answer = client.post(at(wall, "new/"), {**TYPED, "object_id": str(new_id()), **changes})

    page = answer.content.decode()
    assert answer.status_code == 400
    assert said in page
    assert 'value="vulcanised rubber"' in page  # the rest stays typed
    assert not Entry.objects.exists() and not Treatment.objects.exists()


def test_a_sample_site_is_a_point(client, wall, tomas):
    treatment = recorded(client, wall, term="sample-site", place="points", points="3 ft, 2 ft")

    assert treatment.geometry == {"type": "Point", "coordinates": [36.0, 24.0]}
    assert "strip-treated" in client.get(at(wall)).content.decode()


def test_the_place_may_be_an_outline_drawn_in_a_survey(client, wall, tomas):
    drawn = make_observation(make_survey(wall), item="L1")

    treatment = recorded(client, wall, place="item", survey="B1", item="L1")

    assert treatment.area_sq_in == drawn.area_sq_in == 6.0


def test_pictures_are_kept_as_they_are_and_shown_to_members_alone(client, wall, tomas):
    treatment = recorded(client, wall, before=[picture()], after=[picture("after.png", "blue")])

    kept = treatment.details["photographs"]
    address = at(wall, f"{treatment.object_id}/pictures/{kept['before'][0]}/")
    answer = client.get(address)
    assert set(kept) == {"before", "after"}
    assert answer.content == picture().read() and answer.headers["Content-Type"] == "image/png"
    client.force_login(make_account())
    assert client.get(address).status_code == 404


def test_a_picture_that_is_none_is_refused_by_name(client, wall, tomas):
    file = SimpleUploadedFile("notes.txt", b"no picture")

    answer = client.post(at(wall, "new/"), {**TYPED, "object_id": str(new_id()), "before": [file]})

    assert answer.status_code == 400
    assert "notes.txt is no picture" in answer.content.decode()
    assert not Treatment.objects.exists()


def test_a_correction_names_what_it_replaces_and_both_are_kept(client, wall, tomas):
    first = recorded(client, wall, before=[picture()])
    address = at(wall, f"{first.object_id}/correct/")
    corrected = {
        **TYPED,
        "place": "kept",
        "result": "Ground colour in view, one tide-line.",
        "seen_head": str(first.head_id),
    }

    client.post(address, corrected)

    second = Treatment.objects.get()
    entries = list(Entry.objects.filter(object_id=first.object_id).order_by("seq"))
    assert second.details["result"] == "Ground colour in view, one tide-line."
    assert [link.parent_id for link in entries[1].parent_links.all()] == [entries[0].pk]
    assert second.geometry == first.geometry
    assert second.details["photographs"] == first.details["photographs"]
    assert not second.conflict


def test_a_correction_of_what_changed_meanwhile_is_refused(client, wall, tomas):
    first = recorded(client, wall)
    address = at(wall, f"{first.object_id}/correct/")
    corrected = {**TYPED, "place": "kept", "seen_head": str(first.head_id)}
    client.post(address, {**corrected, "result": "first correction"})

    answer = client.post(address, {**corrected, "result": "second correction"})

    assert answer.status_code == 400
    assert "Somebody changed this treatment" in answer.content.decode()
    assert Treatment.objects.get().details["result"] == "first correction"


def test_a_withdrawal_needs_a_reason_and_leaves_the_record(client, wall, tomas):
    treatment = recorded(client, wall)
    address = at(wall, f"{treatment.object_id}/withdraw/")

    empty = client.post(address, {"seen_head": str(treatment.head_id), "reason": " "})
    assert empty.status_code == 400 and "reason is empty" in empty.content.decode()

    client.post(address, {"seen_head": str(treatment.head_id), "reason": "Done on another wall."})
    assert list(treatments_of(wall)) == []
    assert Entry.objects.filter(object_id=treatment.object_id).count() == 2
    assert "Done on another wall." in client.get(at(wall)).content.decode()


def test_a_rebuild_gives_the_same_treatments(client, wall, tomas):
    recorded(client, wall)
    kept = recorded(client, wall, cells="D08, D09")
    client.post(
        at(wall, f"{kept.object_id}/withdraw/"),
        {"seen_head": str(kept.head_id), "reason": "Not done."},
    )
    before = list(Treatment.objects.order_by("object_id").values())

    rebuild(open_logbook(wall))

    assert list(Treatment.objects.order_by("object_id").values()) == before


def test_treatments_between_two_days_hold_both_days(client, wall, tomas):
    recorded(client, wall)
    day = Treatment.objects.get().started_at.date()
    earlier, later = day.replace(day=day.day - 1), day.replace(day=day.day + 1)

    assert between(wall, day, day).count() == 1
    assert between(wall, later, later).count() == 0
    assert between(wall, earlier, earlier).count() == 0
