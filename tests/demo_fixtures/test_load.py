"""Does the demo come into the program whole, once, and ready to be compared?"""

import pytest

from demo_fixtures import appending
from demo_fixtures.load import load_demo, load_entries, load_surveys, load_treatments, load_wall
from demo_fixtures.people import DEMO_PASSWORD, DEMO_PEOPLE
from gridmap.models import Wall
from survey.ledger.models import Entry
from survey.ledger.services import append
from survey.people.models import Account
from survey.photos.models import Photograph
from survey.record.models import Observation, Survey
from survey.treatments.models import Treatment

pytestmark = [pytest.mark.django_db, pytest.mark.database]


def quietly(_):
    """Say nothing."""


def load_without_photographs():
    wall = load_wall(say=quietly)
    surveys = load_surveys(wall)
    load_entries(surveys, say=quietly)
    load_treatments(wall, {}, say=quietly)
    return wall, surveys


def test_the_demo_is_marked_as_invented_and_its_people_can_sign_in(client):
    wall = load_wall(say=quietly)

    assert wall.invented
    assert "invented" in wall.layout.note
    for person in DEMO_PEOPLE:
        assert client.login(username=person.username, password=DEMO_PASSWORD)
        assert Account.objects.get(username=person.username).display_name == person.name


def test_loading_twice_adds_nothing():
    load_without_photographs()
    before = Entry.objects.count(), Observation.objects.count(), Treatment.objects.count()

    load_without_photographs()

    assert (Wall.objects.count(), Survey.objects.count()) == (1, 5)
    after = Entry.objects.count(), Observation.objects.count(), Treatment.objects.count()
    assert after == before


def test_an_interrupted_load_is_finished_by_the_next(monkeypatch):
    books = []

    def power_cut(drafts, *, logbook, writer):
        books.append(logbook.name)
        if logbook.name == "P1":
            raise RuntimeError("the power failed")
        return append(drafts, logbook=logbook, writer=writer)

    with monkeypatch.context() as patch, pytest.raises(RuntimeError):
        patch.setattr(appending, "append", power_cut)
        load_without_photographs()
    half = Entry.objects.count()

    _, surveys = load_without_photographs()

    assert books == ["F0", "B1", "P1"]
    assert Entry.objects.count() > 2 * half > 0
    assert all(surveys[code].logbook.entries.exists() for code in ("B1", "P1", "P2", "W1"))


def test_the_three_full_surveys_are_closed_and_the_weekly_round_is_open():
    _, surveys = load_without_photographs()

    states = {code: Survey.objects.get(pk=row.pk).state for code, row in surveys.items()}

    assert {code: states[code] for code in ("B1", "P1", "P2", "W1")} == {
        "B1": "closed",
        "P1": "closed",
        "P2": "closed",
        "W1": "open",
    }


def test_no_outline_of_the_demo_is_in_conflict():
    load_without_photographs()

    assert not Observation.objects.filter(standing="conflict").exists()
    assert Observation.objects.filter(standing="withdrawn").count() == 1


@pytest.mark.long
def test_the_whole_demo_is_loaded_with_its_photographs_kept():
    said = []

    load_demo(say=said.append)

    assert Photograph.objects.filter(rectified=True).count() == 7
    assert Photograph.objects.filter(rectified=False).count() >= 10
    sizes = Photograph.objects.values_list("blob__size_bytes", flat=True)
    assert sum(sizes) < 40e6
    assert any("survey B1" in line for line in said)
