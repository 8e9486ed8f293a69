"""Does a tablet show the same as the server after the same entries, with and without a pack?

Seeded histories go through the real ledger: corrections, withdrawals, two hands on one object,
equal statements of two hands. The shipped view reads the same entries, and packs of a moment
in between; a failure prints its seed.
"""

import json
import random
import subprocess
from datetime import UTC, datetime

import pytest

from survey.ledger.canonical import examination_id
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.models import Entry
from survey.ledger.selectors import head_seq
from survey.record.selectors import outlines_of
from survey.record.services import append_to_survey
from survey.tablet.selectors import _standing
from tests.support.factories import make_survey, make_wall, observation_body
from tests.support.javascript import PROJECT, node_command

pytestmark = [pytest.mark.django_db, pytest.mark.database]

SCRIPT = PROJECT / "tests" / "js" / "deck" / "core" / "projected.mjs"
DESK = Writer(name="Ines Fallow", device="desk")
EPOCH = "epoch-1"
STATED = ("term", "item", "mode", "basis", "geometry", "observed_by", "observed_on")
PLACED = ("area_sq_in", "perimeter_in", "length_in", "cells")  # told by the server alone


class Hands:
    """Writes entries as several hands would that do not always know of each other."""

    def __init__(self, survey, seed):
        self.survey = survey
        self.chance = random.Random(seed)
        self.said: dict[object, list[object]] = {}

    def say(self, count):
        for _ in range(count):
            self.chance.choice([self.observe, self.observe, self.examine, self.withdraw])()

    def observe(self):
        object_id = self.chance.choice([new_id(), *[i for i, k in self.said if k == "outline"]])
        note = self.chance.choice(["", "brown", "with a crisp edge"])
        condition = {"condition": self.chance.randrange(4)} if self.chance.random() < 0.5 else {}
        body = observation_body(self.survey, **({"note": note} if note else {}), **condition)
        self.append("observation", body, object_id, "outline")

    def withdraw(self):
        known = [object_id for object_id, kind in self.said if kind == "outline"]
        if known:
            reason = self.chance.choice(["drawn twice", "not there"])
            self.append("withdrawal", {"reason": reason}, self.chance.choice(known), "outline")

    def examine(self):
        cell = self.chance.choice(["A01", "A02", "B01"])
        state = self.chance.choice(["seen", "touch"])
        body = {"layout": 1, "cell": cell, "mode": "normal", "state": state}
        if self.chance.random() < 0.6:
            body["searched"] = self.chance.sample(["paint-loss", "flaking", "craquelure"], 2)
        if self.chance.random() < 0.5:
            body["done"] = self.chance.random() < 0.7
        object_id = examination_id(self.survey.id, 1, cell, "normal")
        self.append("examination", body, object_id, "examination")

    def append(self, kind, body, object_id, family):
        known = self.said.setdefault((object_id, family), [])
        after = self.chance.choice([known[-1:], known[-1:], known, known[:1], []])
        if kind == "withdrawal" and not after:
            after = known[-1:]
        draft = Draft(
            kind=kind,
            body=body,
            object_id=object_id,
            made_at=datetime(2026, 3, 3, 10, 15, tzinfo=UTC),
            observed_by=self.chance.choice(["Ines Fallow", "Tomas Sedge"]),
            parents=tuple(dict.fromkeys(after[-8:])),
        )
        append_to_survey(self.survey, [draft], writer=DESK)
        known.append(draft.id)


def server_view(survey):
    return {
        "outlines": outlines_of(survey),
        "examinations": [row.to_json() for row in survey.examinations.select_related("head")],
        **{key: value for key, value in _standing(survey).items() if key in ("heads", "withdrawn")},
    }


def pack_of(survey):
    shown = server_view(survey)
    return {"epoch": EPOCH, "head": head_seq(survey.logbook), "boot": shown}


def entries_of(survey, after=0):
    rows = Entry.objects.filter(logbook=survey.logbook, seq__gt=after).order_by("seq")
    return [{**row.statement, "seq": row.seq, "digest": row.digest} for row in rows]


def tablet_views(cases):
    ended = subprocess.run(
        [*node_command(), str(SCRIPT)],
        input=json.dumps(cases),
        capture_output=True,
        text=True,
        check=False,
        encoding="utf-8",
    )
    assert ended.returncode == 0, ended.stderr
    return json.loads(ended.stdout)


def compared(view, *, is_exact):
    """Return what must agree; where two heads differ, a pack tells the body of one alone."""
    outlines = {}
    for row in view["outlines"]:
        stated = {key: row.get(key) for key in STATED} if is_exact or not row["conflict"] else {}
        optional = {key: row.get(key) or None for key in ("note", "continues")} if is_exact else {}
        condition = row.get("condition") if is_exact else None
        outlines[row["id"]] = (row["entry"], row["conflict"], condition, stated, optional)
    examinations = {}
    for row in view["examinations"]:
        told = {key: value for key, value in row.items() if key != "pending"}
        examinations[row["id"]] = told
    heads = {key: sorted(ids) for key, ids in view["heads"].items()}
    return {
        "outlines": outlines,
        "examinations": examinations,
        "heads": heads,
        "withdrawn": view["withdrawn"],
    }


@pytest.mark.parametrize("seed", range(12))
def test_tablet_and_server_show_the_same(seed):
    survey = make_survey(make_wall())
    hands = Hands(survey, seed)
    hands.say(30)
    pack = pack_of(survey)
    hands.say(30)
    expected = server_view(survey)

    everything, with_pack, only_pack = tablet_views(
        [
            {"pack": None, "entries": entries_of(survey), "epoch": EPOCH},
            {"pack": pack, "entries": entries_of(survey), "epoch": EPOCH},
            {"pack": pack_of(survey), "entries": [], "epoch": EPOCH},
        ]
    )

    server = compared(expected, is_exact=True)
    assert any(conflict for _, conflict, *_ in server["outlines"].values()), f"seed {seed}"
    assert compared(everything, is_exact=True) == server, f"seed {seed}"
    assert compared(with_pack, is_exact=True) == server, f"seed {seed}"
    assert compared(only_pack, is_exact=True) == server, f"seed {seed}"
    for key in PLACED:
        assert {row["id"]: row[key] for row in only_pack["outlines"]} == {
            row["id"]: row[key] for row in expected["outlines"]
        }


@pytest.mark.parametrize("seed", range(12))
def test_a_tablet_that_has_a_pack_and_what_came_after_it_knows_the_heads(seed):
    survey = make_survey(make_wall())
    hands = Hands(survey, seed)
    hands.say(30)
    pack = pack_of(survey)
    hands.say(10)
    expected = server_view(survey)

    (later,) = tablet_views(
        [{"pack": pack, "entries": entries_of(survey, after=pack["head"]), "epoch": EPOCH}]
    )

    assert compared(later, is_exact=False)["heads"] == compared(expected, is_exact=False)["heads"]
    assert {row["id"] for row in expected["outlines"]} <= {row["id"] for row in later["outlines"]}
    conflicts = {row["id"] for row in expected["outlines"] if row["conflict"]}
    assert conflicts <= {row["id"] for row in later["outlines"] if row["conflict"]}
