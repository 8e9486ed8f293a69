"""Is a session of the deck kept with its people and times, and refused without them?"""

from dataclasses import replace

import pytest

from gridmap.errors import InvalidInput
from survey.clock import moment
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.services import append
from tests.support.factories import make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

WRITER = Writer(name="Ines Fallow", device="tablet 1")
SESSION = {
    "state": "open",
    "label": "Deck 1, 18 November, morning",
    "opened_at": "2026-11-18T09:00:00Z",
    "observer": "Ines Fallow",
    "recorder": "Tomas Sedge",
    "cells": ["C05", "C06"],
    "mode": "raking",
    "lamps": [{"setting": "two lamps", "side": "left", "on_at": "2026-11-18T09:05:00Z"}],
    "cautions_read": True,
    "minutes": {"C05": 2.5},
    "rechecks": [],
}


def draft_of(body):
    return Draft(
        kind="session",
        body=body,
        object_id=new_id(),
        made_at=moment(),
        observed_by="Ines Fallow",
        recorded_by="Tomas Sedge",
    )


@pytest.fixture
def survey():
    return make_survey(make_wall())


def test_a_session_is_closed_and_signed_by_an_entry_that_replaces_its_opening(survey):
    opened = draft_of(SESSION)
    closing = {
        **SESSION,
        "state": "closed",
        "closed_at": "2026-11-18T09:48:00Z",
        "signed_by": "Ines Fallow",
        "signed_at": "2026-11-18T09:48:00Z",
        "rechecks": [
            {"item": str(new_id()), "cell": "C05", "first": "same", "second": "worse"},
        ],
    }
    closed = replace(draft_of(closing), object_id=opened.object_id, parents=(opened.id,))

    receipts = append([opened, closed], logbook=survey.logbook, writer=WRITER)

    assert [receipt.status for receipt in receipts] == ["stored", "stored"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"observer": ""}, "observer"),
        ({"recorder": ""}, "recorder"),
        ({"label": "x" * 81}, "label"),
        ({"opened_at": None}, "opened_at"),
        ({"state": "paused"}, "state"),
        ({"mode": "moonlight"}, "mode"),
        ({"cells": ["Z99"]}, "cells"),
        ({"minutes": {"C05": -1}}, "C05"),
        ({"minutes": {"Z99": 1}}, "minutes"),
        ({"lamps": [{"setting": "one lamp", "side": "left"}]}, "lamps.on_at"),
        ({"lamps": [{"setting": "", "side": "left", "on_at": "2026-11-18T09:05:00Z"}]}, "setting"),
        ({"rechecks": [{"item": "L1", "cell": "C05"}]}, "rechecks.item"),
        ({"weather": "fair"}, "weather"),
    ],
)
def test_a_session_that_says_too_little_is_refused_by_field(survey, changes, field):
    with pytest.raises(InvalidInput) as refused:
        append([draft_of({**SESSION, **changes})], logbook=survey.logbook, writer=WRITER)

    assert refused.value.field == field
