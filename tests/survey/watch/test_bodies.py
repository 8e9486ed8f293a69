"""Is a check, a reading, a fragment or a stop kept that says enough, and refused that does not?"""

import pytest

from gridmap.errors import InvalidInput
from survey.clock import moment
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.services import append, rebuild
from tests.support.factories import make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

GOOD = {
    "daily-check": {
        "checked_on": "2026-11-18",
        "items": [
            {"what": "scaffold-tag", "state": "in-order"},
            {"what": "drips", "state": "not-in-order", "note": "wet board below the lantern"},
        ],
        "tag_date": "2026-11-16",
    },
    "spot-reading": {
        "quantity": "surface-temperature",
        "value": 61.5,
        "unit": "°F",
        "cell": "C05",
        "place": [100.0, 100.0],
    },
    "fragment": {"bag": "F-1", "cell": "C05", "found_on": "2026-11-18", "weight_g": 0.4},
    "stop": {
        "noticed_at": "2026-11-18T09:12:00Z",
        "activity": "hammering on the other face of the wall",
        "cells": ["C05"],
        "told": [{"who": "Gil Alder", "at": "2026-11-18T09:15:00Z"}],
        "state": "open",
    },
}


def put_in(survey, kind, body):
    draft = Draft(
        kind=kind, body=body, object_id=new_id(), made_at=moment(), observed_by="Ines Fallow"
    )
    return append([draft], logbook=survey.logbook, writer=Writer(name="Ines", device="desk"))[0]


@pytest.fixture
def survey():
    return make_survey(make_wall())


@pytest.mark.parametrize("kind", GOOD)
def test_what_says_enough_is_kept_and_read_again(survey, kind):
    receipt = put_in(survey, kind, GOOD[kind])

    rebuild(survey.logbook)
    assert receipt.status == "stored"
    assert survey.logbook.entries.get(pk=receipt.id).content == GOOD[kind]


@pytest.mark.parametrize(
    ("kind", "changes", "field"),
    [
        ("daily-check", {"items": []}, "items"),
        ("daily-check", {"items": [{"what": "weather", "state": "in-order"}]}, "what"),
        ("daily-check", {"checked_on": "yesterday"}, "checked_on"),
        ("spot-reading", {"value": None}, "value"),
        ("spot-reading", {"value": 961.5}, "value"),
        ("spot-reading", {"unit": "K"}, "unit"),
        ("spot-reading", {"cell": "Z99"}, "cell"),
        ("spot-reading", {"place": [-1.0, 0.0]}, "place"),
        ("spot-reading", {"quantity": "other"}, "what"),
        ("fragment", {"bag": " "}, "bag"),
        ("fragment", {"count": 0}, "count"),
        ("stop", {"activity": ""}, "activity"),
        ("stop", {"noticed_at": "09:12"}, "noticed_at"),
        ("stop", {"told": [{"who": "", "at": "2026-11-18T09:15:00Z"}]}, "who"),
        ("stop", {"state": "lifted"}, "lifted_because"),
        ("stop", {"colour": "red"}, "colour"),
    ],
)
def test_what_says_too_little_is_refused_by_field(survey, kind, changes, field):
    with pytest.raises(InvalidInput) as refused:
        put_in(survey, kind, {**GOOD[kind], **changes})

    assert refused.value.field == field
    assert survey.logbook.entries.count() == 0
