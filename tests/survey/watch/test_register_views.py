"""Do the pages of the site register, plant and light show what stands, and take lines down?"""

from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from survey.ledger.drafts import new_id
from survey.people.models import Role
from survey.watch.models import LogLine
from survey.watch.register_kinds import CHECKS
from tests.support.factories import make_member, make_observation, make_survey, make_wall
from tests.support.register import AGREED, BREAKER, FACING, LAMP_2, make_fragment, put
from tests.support.watched import make_limit

pytestmark = [pytest.mark.django_db, pytest.mark.database]

NOW = datetime(2026, 11, 18, 9, 0, tzinfo=UTC)
WHO = {"at": "2026-11-17T08:00:00Z", "who": "Priya Lund"}


@pytest.fixture
def wall(settings):
    settings.FIXED_CLOCK = NOW
    return make_wall(width="84 ft")


@pytest.fixture
def worker(client, wall):
    client.force_login(make_member(wall, display_name="Ines Fallow"))
    return client


def page_of(client, wall, name, query="", status=200, arguments=()):
    response = client.get(reverse(f"watch:{name}", args=[wall.slug, *arguments]) + query)
    assert response.status_code == status
    return " ".join(response.content.decode().split())


def send(client, wall, kind, typed, query=""):
    address = reverse("watch:new_line", args=[wall.slug, kind]) + query
    posted = {"at": "2026-11-18T08:30", "object_id": str(new_id()), **typed}
    return client.post(address, posted)


def test_the_plant_page_tells_the_story_of_the_breaker(worker, wall):
    # source: story 7 of the trade: 0.146 in/s at 18 ft, 26.8 ft for 0.08, factor 0.36, no shortening
    make_limit(wall)
    plant = put(wall, "plant", BREAKER)
    put(wall, "trial-blow", WHO, about=str(plant.object_id), distance_in=216.0, ppv_in_s=0.052)

    page = page_of(worker, wall, "plant")

    assert "0.146 in/s" in page
    assert '<span class="tag tag-alarm">red expected</span>' in page
    assert "site factor 0.36 by FTA" in page
    assert "the allowed distance stays 26.8 ft: a trial never shortens it." in page
    assert "Not valid for tools on the same masonry." in page


def test_the_plant_page_says_that_no_limit_is_preset(worker, wall):
    put(wall, "plant", BREAKER)

    page = page_of(worker, wall, "plant")

    assert "No limit is preset." in page
    assert "Distance to keep" not in page


def test_a_machine_on_the_same_masonry_gets_no_number(worker, wall):
    make_limit(wall)
    put(wall, "plant", BREAKER, same_masonry=True)

    page = page_of(worker, wall, "plant")

    assert "no equation holds there" in page
    assert "by FTA" not in page.split("plant-1")[1]


def test_the_calendar_marks_clashes(worker, wall):
    make_limit(wall)
    put(wall, "plant", BREAKER)
    make_survey(wall, "W1", starts_on=date(2026, 11, 16), ends_on=date(2026, 11, 18))

    page = page_of(worker, wall, "plant")

    assert page.count("register-clash-word") == 3
    assert "Six weeks from 18 Nov 2026" in page
    assert "register-clash-word" not in page_of(worker, wall, "plant", "?from=2027-03-01")


@pytest.mark.parametrize("day", ["soon", "9999-12-31", "0001-01-01"])
def test_a_day_that_is_none_is_refused_in_words(worker, wall, day):
    put(wall, "plant", BREAKER)

    assert f"From is {'&#x27;soon&#x27;' if day == 'soon' else day}" in page_of(
        worker, wall, "plant", f"?from={day}", status=400
    )


def test_the_light_page_tells_the_story_of_lamp_2(worker, wall):
    # source: story 11 of the trade: 288,000 lx·h, C17 at 92 % of the agreed 313,000, move lamp 2;
    # 66 → 79 °F cuts the surface's humidity from 55 % to 35 %
    put(wall, "agreed-dose", AGREED)
    put(wall, "lamp-use", LAMP_2, cells=["C17"], surface_before_c=(66 - 32) / 1.8,
        surface_after_c=(79 - 32) / 1.8, surface_rh_pct=55.0)  # fmt: skip

    page = page_of(worker, wall, "light")

    assert (
        '<th scope="row">C17</th><td class="num">288,000</td><td class="num">313,000</td>' in page
    )
    assert '<td class="num">92</td>' in page
    assert "move lamp 2" in page
    assert "humidity at the surface 55 % to 35 %" in page


def test_the_site_page_shows_what_waits(worker, wall):
    survey = make_survey(wall)
    make_observation(survey)
    make_fragment(survey, "G01")
    put(wall, "protection", FACING)
    put(wall, "enclosure", WHO, what="leak-tape", state="wet", place="head")
    put(wall, "deck-book", WHO, way="in", why="Weekly round")

    page = page_of(worker, wall, "site")

    assert "Was due off on 30 Jun 2026" in page
    assert "Leak tape, head: wet since 17 Nov 2026, 08:00 UTC" in page
    assert "not out since an earlier day" in page
    assert "Losses above:" in page


@pytest.mark.parametrize("name", ["site", "plant", "light"])
def test_an_empty_page_says_what_will_stand_there(worker, wall, name):
    assert "will stand here" in page_of(worker, wall, name)


def test_a_reader_sees_no_buttons(client, wall):
    client.force_login(make_member(wall, Role.READER))
    put(wall, "protection", FACING)
    put(wall, "plant", BREAKER)

    assert "site/new" not in page_of(client, wall, "site")
    assert "site/new" not in page_of(client, wall, "plant")
    assert "site/new" not in page_of(client, wall, "light")


TYPED = {
    "protection": {
        "kind": "facing", "name": "Facing 1", "cells": "c5, C06", "installed_on": "2026-11-18",
        "due_off_on": "2026-12-18", "inspect_every_days": "7", "by": "Ines Fallow",
    },
    "deck-book": {"way": "in", "who": "Priya Lund", "why": "Weekly round", "deck": "2"},
    "enclosure": {
        "what": "filter", "state": "in-order", "pressure_pa": "42.5", "who": "Priya Lund",
    },
    "lamp-use": {
        "lamp": "lamp 2", "cells": "C17", "lux": "800", "minutes": "360", "by": "Priya Lund",
        "before_f": "66", "after_f": "79", "error_f": "0.9",
    },
    "agreed-dose": {
        "limit_lx_h": "313000", "from_on": "2026-03-01", "until_on": "2027-02-28",
        "source": "Protocol", "label": "agreed-on-site", "by": "Ines Fallow",
    },
    "plant": {
        "name": "Breaker", "activity": "Breaking out", "machine_class": "large-bulldozer",
        "distance_in": "18 ft", "from_on": "2026-11-02", "to_on": "2026-11-20", "by": "Gil Alder",
    },
}  # fmt: skip


@pytest.mark.parametrize("kind", list(TYPED))
def test_a_line_typed_at_the_desk_is_kept(worker, wall, kind):
    response = send(worker, wall, kind, TYPED[kind])

    assert response.status_code == 302
    assert LogLine.objects.get().kind == kind


def test_what_is_typed_in_feet_and_fahrenheit_is_kept_in_inches_and_celsius(worker, wall):
    send(worker, wall, "plant", TYPED["plant"])
    send(worker, wall, "lamp-use", TYPED["lamp-use"])

    plant = LogLine.objects.get(kind="plant").content
    lamp = LogLine.objects.get(kind="lamp-use").content
    assert plant["distance_in"] == 216.0
    # source: FTA Report 0123 (2018), table 7-4: large bulldozer 0.089 in/s at 25 ft
    assert (plant["reference_ppv_in_s"], plant["label"]) == (0.089, "confirmed")
    assert lamp["surface_before_c"] == pytest.approx(18.889, abs=0.001)
    assert lamp["sensor_error_c"] == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("kind", "changes", "said"),
    [
        ("protection", {"due_off_on": ""}, "needs the day on which it comes off"),
        ("protection", {"cells": "Z99"}, "is no cell here"),
        ("deck-book", {"why": ""}, "why is empty"),
        ("enclosure", {"what": "door"}, "it must be one of: closed, open, fault"),
        ("lamp-use", {"after_f": ""}, "or neither"),
        ("lamp-use", {"lux": "300000"}, "must be at most 200000"),
        ("plant", {"machine_class": "other"}, "Another machine needs its velocity"),
        ("plant", {"reference_ppv_in_s": "0.1"}, "Say where the velocity typed here comes from"),
        ("plant", {"to_on": "2026-11-01"}, "must not be before 2026-11-02"),
        ("plant", {"distance_in": "3 in"}, "from 12 to 60000 in"),
    ],
)
def test_a_refusal_stands_by_the_form_and_nothing_is_kept(worker, wall, kind, changes, said):
    response = send(worker, wall, kind, {**TYPED[kind], **changes})

    assert response.status_code == 400
    assert said in " ".join(response.content.decode().replace("&#x27;", "'").split())
    assert not LogLine.objects.exists()


def test_the_same_form_sent_twice_is_one_line(worker, wall):
    typed = {**TYPED["deck-book"], "object_id": str(new_id())}
    send(worker, wall, "deck-book", typed)

    assert send(worker, wall, "deck-book", typed).status_code == 302
    assert LogLine.objects.count() == 1


def test_lines_about_a_facing_a_machine_and_a_fragment_are_kept(worker, wall):
    survey = make_survey(wall)
    item, bag = make_observation(survey), make_fragment(survey, "G01")
    facing, plant = put(wall, "protection", FACING), put(wall, "plant", BREAKER)
    for kind, about, typed in (
        ("protection-inspected", facing.object_id, {"result": "sound", "by": "Ines Fallow"}),
        ("protection-removed", facing.object_id, {"seen": "nothing new", "by": "Ines Fallow"}),
        ("trial-blow", plant.object_id,
         {"distance_in": "18 ft", "ppv_in_s": "0.052", "who": "Ines Fallow"}),
        ("custody", bag, {"by": "Priya Lund", "to": "Tomas Sedge", "place": "Cabinet"}),
        ("fragment-source", bag, {"item": str(item.pk), "grounds": "edge", "by": "Ines Fallow"}),
    ):  # fmt: skip
        assert send(worker, wall, kind, typed, f"?about={about}").status_code == 302
        assert LogLine.objects.get(kind=kind).about == about


@pytest.mark.parametrize(
    "kind", ["protection-inspected", "protection-removed", "trial-blow", "custody", "no-line"]
)
@pytest.mark.parametrize("query", ["", "?about=x", f"?about={new_id()}"])
def test_a_line_about_nothing_is_not_found(worker, wall, kind, query):
    page_of(worker, wall, "new_line", query, status=404, arguments=[kind])


@pytest.mark.parametrize("kind", list(CHECKS))
def test_every_kind_has_its_form(worker, wall, kind):
    survey = make_survey(wall)
    about = {
        "protection-inspected": put(wall, "protection", FACING).object_id,
        "trial-blow": put(wall, "plant", BREAKER).object_id,
        "custody": make_fragment(survey),
    }
    about["protection-removed"] = about["protection-inspected"]
    about["fragment-source"] = about["custody"]
    query = f"?about={about[kind]}" if kind in about else ""

    assert "Leave without keeping" in page_of(worker, wall, "new_line", query, arguments=[kind])


def test_a_line_is_withdrawn_with_its_reason(worker, wall):
    line = put(wall, "protection", FACING)
    address = reverse("watch:withdraw_line", args=[wall.slug, line.object_id])

    empty = worker.post(address, {"seen": str(line.head_id), "reason": ""})
    given = worker.post(address, {"seen": str(line.head_id), "reason": "Another wall"})

    assert (empty.status_code, given.status_code) == (400, 302)
    assert LogLine.objects.get().withdrawn_because == "Another wall"
    assert "Facing 1" not in page_of(worker, wall, "site")


def test_a_line_changed_meanwhile_is_not_withdrawn(worker, wall):
    line = put(wall, "protection", FACING)
    address = reverse("watch:withdraw_line", args=[wall.slug, line.object_id])

    response = worker.post(address, {"seen": str(new_id()), "reason": "Another wall"})

    assert response.status_code == 400
    assert LogLine.objects.get().withdrawn_because == ""


def test_a_removal_and_a_hand_over_can_be_withdrawn_from_the_page(worker, wall):
    survey = make_survey(wall)
    bag = str(make_fragment(survey))
    by = {"at": "2026-11-10T10:00:00Z", "by": "Ines Fallow"}
    facing = put(wall, "protection", FACING)
    lines = [
        put(wall, "protection-removed", by, about=str(facing.object_id), seen="nothing new"),
        put(wall, "custody", by, about=bag, to="Tomas Sedge", place="Cabinet"),
    ]

    page = page_of(worker, wall, "site")

    for line in lines:
        assert reverse("watch:withdraw_line", args=[wall.slug, line.object_id]) in page
