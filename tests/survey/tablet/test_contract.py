"""Does the server still answer what every released version of the tablet's page was told?

tests/vectors/push/client-N.json holds the calls that version N makes, with the answers that it
relies on. A file is never changed once its version is released; a new version adds a new file. The
server in memory of the simulated tablets (tests/js/deck/sim) replays the same files.
"""

import base64
import json
from pathlib import Path

import pytest

from survey.people.models import Role
from survey.people.services import give_role
from survey.record.services import close_survey
from survey.tablet.models import Tablet
from survey.tablet.services import enrol, installation, retire
from tests.support.factories import make_account, make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

VECTORS = Path(__file__).parents[2] / "vectors" / "push"
FILES = sorted(VECTORS.glob("client-*.json"))
RELEASED = [(file, json.loads(file.read_text(encoding="utf-8"))) for file in FILES]
SCENARIOS = [
    pytest.param(held, scenario, id=f"{file.stem}: {scenario['name']}")
    for file, held in RELEASED
    for scenario in held["scenarios"]
]


class Installation:
    """An installation with one wall, one open survey and two tablets, and people of each role."""

    def __init__(self, held, client):
        self.client = client
        self.tablets = held["tablets"]
        self.lead = make_account("ines", display_name="Ines Fallow")
        self.wall = make_wall(lead=self.lead)
        self.people = {"ines": self.lead}
        for name, role in [("tomas", Role.CONSERVATOR), ("gil", Role.SITE_MANAGER)]:
            self.people[name] = make_account(name)
            give_role(account=self.people[name], wall=self.wall, role=role)
        self.survey = make_survey(self.wall, "W1")
        for name in ("A", "B"):
            tablet = enrol(survey=self.survey, name=f"Deck {name}", account=self.lead)
            Tablet.objects.filter(pk=tablet.pk).update(id=self.tablets[name])

    def do(self, step):
        if step["do"] == "close":
            close_survey(self.survey, by="Ines Fallow")
        else:
            tablet = Tablet.objects.get(pk=self.tablets[step["tablet"]])
            retire(tablet, account=self.lead, reason="lost")

    def ask(self, step):
        if step["as"] is None:
            self.client.logout()
        else:
            self.client.force_login(self.people[step["as"]])
        root = f"/api/v1/tablets/{self.tablets[step['tablet']]}/"
        return getattr(self, step["call"])(root, step)

    def push(self, root, step):
        body = {**step["body"], "epoch": str(installation().epoch)}
        return self.client.post(f"{root}push/", body, content_type="application/json")

    def pull(self, root, step):
        query = {"after": step["after"], "limit": step.get("limit", 200)}
        return self.client.get(f"{root}pull/", query)

    def state(self, root, step):
        return self.client.get(f"{root}blobs/{step['digest']}")

    def part(self, root, step):
        return self.client.put(
            f"{root}blobs/{step['digest']}?offset={step['offset']}&total={step['total']}",
            base64.b64decode(step["base64"]),
            content_type="application/octet-stream",
            headers={"X-Photograph-Type": "image/jpeg"},
        )


def check(answer, expected):
    told = answer.json()
    assert answer.status_code == expected["status"], told
    for key, value in expected.items():
        if key == "receipts":
            assert len(told["receipts"]) == len(value)
            for receipt, wanted in zip(told["receipts"], value, strict=True):
                assert {name: receipt[name] for name in wanted} == wanted, receipt
        elif key == "ids":
            assert [entry["id"] for entry in told["entries"]] == value
        elif key != "status":
            assert told[key] == value, told


@pytest.fixture(autouse=True)
def own_data_folder(settings, tmp_path):
    settings.DATA_FOLDER = tmp_path


@pytest.mark.parametrize(("held", "scenario"), SCENARIOS)
def test_every_released_client_is_answered_as_it_was(held, scenario, client):
    installed = Installation(held, client)

    for step in scenario["steps"]:
        if "do" in step:
            installed.do(step)
            continue
        for _ in range(step["times"]):
            answer = installed.ask(step)
        check(answer, step["expect"])


def test_the_recorded_calls_of_the_first_client_are_there():
    assert len(RELEASED) >= 1
    assert len(SCENARIOS) >= 25
