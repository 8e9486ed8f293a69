"""Are the numbers that are rung from the deck kept as typed, in order, and by the lead alone?"""

import json

import pytest
from django.core.management import call_command

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.people.models import Role
from survey.walls.description import read_wall
from survey.walls.telephones import add_contact, telephones_of
from tests.support.factories import SMALL_WALL, make_account, make_member, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

GIL = {"name": "Gil Alder", "role": "Site manager", "number": "555-0142"}
INES = {"name": "Ines Fallow", "role": "Lead conservator", "number": "555-0117"}


@pytest.fixture
def wall():
    return make_wall(lead=make_account("ines", display_name="Ines Fallow"))


@pytest.fixture
def lead(client, wall):
    client.force_login(wall.memberships.get().account)


def at(wall, rest):
    return f"/walls/{wall.slug}/set-up/telephones/{rest}"


def test_a_typed_number_is_given_to_tablets_with_name_and_role(client, wall, lead):
    client.post(at(wall, "new/"), {**GIL, "order": "1", "note": "On site from 7:00"})

    assert telephones_of(wall) == [GIL]


def test_numbers_come_in_the_order_in_which_they_are_rung(wall):
    add_contact(wall, **GIL, order=2)
    add_contact(wall, **INES, order=1)

    assert telephones_of(wall) == [INES, GIL]


def test_a_number_without_place_goes_to_the_end(wall):
    add_contact(wall, **GIL, order=7)
    add_contact(wall, **INES)

    assert [row.order for row in wall.contacts.all()] == [7, 8]


def test_a_number_is_changed_and_removed(client, wall, lead):
    contact = add_contact(wall, **GIL)
    client.post(at(wall, f"{contact.pk}/"), {**GIL, "order": "1", "number": "555-0143"})
    changed = telephones_of(wall)
    client.post(at(wall, f"{contact.pk}/remove/"))

    assert changed == [{**GIL, "number": "555-0143"}]
    assert telephones_of(wall) == []


@pytest.mark.parametrize("number", ["soon", "12", "555;0142", "<b>555</b>", "५५५"])
def test_what_cannot_be_dialled_is_refused_and_stays_typed(client, wall, lead, number):
    answer = client.post(at(wall, "new/"), {**GIL, "order": "1", "number": number})

    assert answer.status_code == 400
    assert 'value="Gil Alder"' in answer.content.decode()
    assert telephones_of(wall) == []


def test_an_empty_form_is_refused_with_each_field(client, wall, lead):
    answer = client.post(at(wall, "new/"), {})

    assert answer.status_code == 400
    assert "Telephone number is empty; fill it in." in answer.content.decode()


def test_a_reader_sees_the_numbers_and_no_way_to_change_them(client, wall):
    add_contact(wall, **GIL)
    client.force_login(make_member(wall, Role.READER))

    page = client.get(f"/walls/{wall.slug}/set-up/").content.decode()

    assert "555-0142" in page
    assert "set-up/telephones/" not in page


def test_the_description_of_a_wall_brings_its_numbers(tmp_path):
    file = tmp_path / "wall.json"
    file.write_text(json.dumps({**SMALL_WALL, "telephones": [GIL, INES]}))

    call_command("import_wall", str(file))

    assert telephones_of(Wall.objects.get()) == [GIL, INES]


def test_a_description_without_numbers_is_taken_as_before():
    assert read_wall(SMALL_WALL).telephones == ()


@pytest.mark.parametrize(
    ("telephones", "field"),
    [
        ("555-0142", "telephones"),
        ([{"name": "Gil Alder", "role": "Site manager"}], "telephones[0].number"),
        ([{**GIL, "number": 5550142}], "telephones[0].number"),
        ([GIL, {**GIL, "role": ""}], "telephones[1].role"),
        ([{**GIL, "pager": "1"}], "telephones[0]"),
        ([GIL] * 41, "telephones"),
    ],
)
def test_a_wrong_number_in_a_description_is_refused_by_its_place(telephones, field):
    with pytest.raises(InvalidInput) as refused:
        read_wall({**SMALL_WALL, "telephones": telephones})

    assert refused.value.field == field


def test_a_new_layout_version_says_that_it_leaves_the_numbers(tmp_path, capsys):
    make_wall()
    file = tmp_path / "wall.json"
    file.write_text(json.dumps({**SMALL_WALL, "telephones": [GIL]}))

    call_command("import_wall", str(file), "--new-version")

    assert "telephone numbers are left out" in capsys.readouterr().out
    assert telephones_of(Wall.objects.get()) == []
