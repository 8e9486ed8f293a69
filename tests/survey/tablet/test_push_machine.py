"""Does the server keep what tablets send, whatever the order in which calls arrive or fail?

500 runs of 30 steps on SQLite, 60 on PostgreSQL, where a step takes about twice as long. The
environment variable PONTATA_PUSH_RUNS asks for another number.
"""

import os
from collections import Counter
from dataclasses import dataclass
from typing import Any

import pytest
from django.db import connection
from hypothesis import HealthCheck, settings
from hypothesis.stateful import run_state_machine_as_test

from survey.clock import moment
from survey.people.models import Role
from tests.support.factories import make_member, make_survey, make_wall
from tests.support.push_machine import Pushing
from tests.support.tablet_calls import ANSWERED, new_client

pytestmark = [pytest.mark.django_db, pytest.mark.database, pytest.mark.long]

STEPS = 30
RUNS = {"sqlite": 500, "postgresql": 60}


@dataclass
class Scene:
    """What every run begins with: a survey, a conservator's client, and the lead."""

    survey: Any
    client: Any
    lead: Any
    made_at: Any


@pytest.fixture
def scene(settings, tmp_path):
    settings.DATA_FOLDER = tmp_path
    wall = make_wall()
    lead = make_member(wall, Role.LEAD, display_name="Ines Fallow")
    conservator = make_member(wall, Role.CONSERVATOR, display_name="Tomas Sedge")
    return Scene(make_survey(wall), new_client(conservator), lead, moment())


def test_nothing_that_tablets_send_is_lost_or_kept_twice(scene):
    runs = int(os.environ.get("PONTATA_PUSH_RUNS") or RUNS[connection.vendor])

    class OnThisScene(Pushing):
        answers = Counter()

    OnThisScene.scene = scene

    run_state_machine_as_test(
        OnThisScene,
        settings=settings(
            max_examples=runs,
            stateful_step_count=STEPS,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            print_blob=True,
        ),
    )
    # A run in which everything was set aside, or nothing clashed, would prove nothing.
    assert all(OnThisScene.answers[kind] > runs / 10 for kind in ANSWERED), OnThisScene.answers
