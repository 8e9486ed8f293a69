"""Which accounts, walls and surveys do tests stand on? The smallest that tell the invented story."""

import itertools
from datetime import date
from functools import cache

from django.contrib.auth.hashers import make_password

from survey.clock import moment
from survey.ledger.drafts import Draft, Writer, new_id
from survey.people.models import Account, Role
from survey.people.services import give_role
from survey.record.models import Observation
from survey.record.services import append_to_survey, create_survey
from survey.walls.description import read_wall
from survey.walls.services import create_wall

PASSWORD = "lime-and-red-earth"

_numbers = itertools.count(1)

# A wall of the invented scenario, kept small: 12 columns, 7 rows, 84 cells, 336 sq ft.
SMALL_WALL = {
    "wall": "booking-hall",
    "name": "Booking hall, north wall",
    "title": "The Harvest Train",
    "artist": "Orla Benning",
    "width": "24 ft",
    "height": "14 ft",
    "base_above_floor": "8 ft",
    "grid": {
        "columns": {"spacing": "2 ft", "names": "numbers", "from": "left"},
        "rows": {"spacing": "2 ft", "names": "letters", "from": "top"},
    },
    "decks": [
        {"name": "1", "level_above_floor": "7 ft"},
        {"name": "2", "level_above_floor": "14 ft"},
    ],
}


def make_account(username="", *, display_name=""):
    """Return a new account that signs in with PASSWORD."""
    username = username or f"person-{next(_numbers)}"
    return Account.objects.create(
        username=username,
        display_name=display_name or username.title(),
        password=_hashed(PASSWORD),
    )


@cache
def _hashed(password):
    """Hash once per run: a hash is slow on purpose, and tests make many accounts."""
    return make_password(password)


def make_wall(*, lead=None, **changes):
    """Return a wall made as SMALL_WALL says, with changed keys of its description."""
    return create_wall(read_wall({**SMALL_WALL, **changes}), lead=lead)


def make_member(wall, role=Role.CONSERVATOR, username="", *, display_name=""):
    """Return a new account with a role on the wall."""
    account = make_account(username, display_name=display_name)
    give_role(account=account, wall=wall, role=role)
    return account


def make_survey(wall, code="B1", **changes):
    """Return an open survey of the wall in normal and raking light, with changed fields."""
    fields = {
        "kind": "baseline",
        "starts_on": date(2026, 3, 2),
        "ends_on": date(2026, 3, 11),
        "modes": ["normal", "raking"],
    }
    return create_survey(wall=wall, code=code, **{**fields, **changes})


def observation_body(survey, **changes):
    """Return the body of a paint loss of 2 in by 3 in in the lower left cell, drawn by eye."""
    ring = [[10.0, 10.0], [12.0, 10.0], [12.0, 13.0], [10.0, 13.0], [10.0, 10.0]]
    body = {
        "term": "paint-loss",
        "geometry": {"type": "Polygon", "coordinates": [ring]},
        "basis": "drawn",
        "mode": "normal",
        "item": "L1",
        "layout": survey.layout.version,
        "vocabulary": survey.vocabulary.version,
        "observed_on": survey.starts_on.isoformat(),
    }
    return {**body, **changes}


def make_observation(survey, *, by="Tomas Sedge", **changes):
    """Return the observation that an entry with such a body, put into the survey, projects."""
    draft = Draft(
        kind="observation",
        body=observation_body(survey, **changes),
        object_id=new_id(),
        made_at=moment(),
        observed_by=by,
    )
    append_to_survey(survey, [draft], writer=Writer(name=by, device="desk"))
    return Observation.objects.get(pk=draft.object_id)
