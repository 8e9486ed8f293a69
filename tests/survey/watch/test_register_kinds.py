"""Is each line of the site register refused unless it says enough, and are its rows made again?"""

import pytest

from gridmap.errors import InvalidInput
from survey.ledger.drafts import new_id
from survey.ledger.services import open_logbook, rebuild
from survey.watch.models import LogLine
from survey.watch.register_kinds import CHECKS
from tests.support.factories import make_observation, make_survey, make_wall
from tests.support.register import AGREED, BREAKER, FACING, LAMP_2, make_fragment, put

pytestmark = [pytest.mark.django_db, pytest.mark.database]

BY = {"at": "2026-11-17T10:00:00Z", "by": "Ines Fallow"}
WHO = {"at": "2026-11-17T10:00:00Z", "who": "Priya Lund"}


@pytest.fixture
def wall():
    return make_wall()


def one_of_each(wall):
    survey = make_survey(wall)
    item, fragment = make_observation(survey), str(make_fragment(survey))
    facing, plant = put(wall, "protection", FACING), put(wall, "plant", BREAKER)
    of_facing, of_plant = {"about": str(facing.object_id)}, {"about": str(plant.object_id)}
    put(wall, "protection-inspected", BY, **of_facing, result="mend")
    put(wall, "protection-removed", BY, **of_facing, seen="No change visible")
    put(wall, "custody", BY, about=fragment, to="Tomas Sedge", place="Locked cabinet")
    put(wall, "fragment-source", BY, about=fragment, item=str(item.pk), grounds="edge fits")
    put(wall, "deck-book", WHO, way="in", why="Weekly round", deck="2", keys="gate")
    put(wall, "enclosure", WHO, what="filter", state="in-order", pressure_pa=42.0)
    put(wall, "trial-blow", WHO, **of_plant, distance_in=216.0, ppv_in_s=0.052, frequency_hz=18.0)
    put(wall, "lamp-use", LAMP_2)
    put(wall, "agreed-dose", AGREED)


def rows_of(wall):
    return list(LogLine.objects.filter(wall=wall).order_by("object_id").values())


def test_a_rebuild_gives_the_same_rows_for_every_kind(wall):
    one_of_each(wall)
    before = rows_of(wall)

    rebuild(open_logbook(wall))

    assert {row["kind"] for row in before} == set(CHECKS)
    assert rows_of(wall) == before


@pytest.mark.parametrize(
    ("kind", "base", "changes", "field", "said"),
    [
        ("protection", FACING, {"due_off_on": None}, "due_off_on", "the day on which it comes off"),
        ("protection", FACING, {"cells": []}, "cells", "name the cells under the facing"),
        ("protection", FACING, {"due_off_on": "2026-03-01"}, "due_off_on", "must not be before"),
        ("protection", FACING, {"cells": ["Z99"]}, "cell", "is no cell here"),
        ("protection", FACING, {"cells": ["c5"]}, "cells", "such as C05"),
        ("protection", FACING, {"kind": "tape"}, "kind", "'tape'"),
        ("protection", FACING, {"colour": "red"}, "colour", "not a field"),
        ("protection", FACING, {"at": "2026-03-03T09:00:00"}, "at", "time zone is missing"),
        ("deck-book", WHO, {"way": "in"}, "why", "why is empty"),
        ("deck-book", WHO, {"way": "up", "why": "x"}, "way", "one of: in, out"),
        ("deck-book", WHO, {"way": "out", "deck": "9"}, "deck", "'9'"),
        ("enclosure", WHO, {"what": "door", "state": "wet"}, "state", "closed, open, fault"),
        ("enclosure", WHO, {"what": "door", "state": "open", "pressure_pa": 3}, "pressure_pa",
         "filter only"),
        ("plant", BREAKER, {"to": "2026-11-01"}, "to", "must not be before 2026-11-02"),
        ("plant", BREAKER, {"distance_in": 6.0}, "distance_in", "from 12 to 60000 in"),
        ("plant", BREAKER, {"reference_ppv_in_s": None}, "reference_ppv_in_s", "is missing"),
        ("lamp-use", LAMP_2, {"deck": "1"}, "cells", "either the cells or the deck"),
        ("lamp-use", LAMP_2, {"surface_before_c": 18.9}, "surface_after_c", "or neither"),
        ("lamp-use", LAMP_2, {"minutes": -1}, "minutes", "from 0"),
        ("agreed-dose", AGREED, {"source": ""}, "source", "source is empty"),
        ("agreed-dose", AGREED, {"until_on": "2026-02-01"}, "until_on", "must not be before"),
    ],
)  # fmt: skip
def test_a_line_that_says_too_little_is_refused(wall, kind, base, changes, field, said):
    with pytest.raises(InvalidInput, match=said) as refused:
        put(wall, kind, base, **changes)

    assert refused.value.field == field
    assert not LogLine.objects.exists()


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("protection-inspected", {**BY, "result": "sound"}),
        ("protection-removed", {**BY, "seen": "nothing new"}),
        ("custody", {**BY, "to": "Tomas Sedge", "place": "cabinet"}),
        ("fragment-source", {**BY, "item": str(new_id()), "grounds": "edge fits"}),
        ("trial-blow", {**WHO, "distance_in": 216.0, "ppv_in_s": 0.05}),
    ],
)
def test_a_line_about_what_is_not_there_is_refused(wall, kind, body):
    with pytest.raises(InvalidInput) as refused:
        put(wall, kind, body, about=str(new_id()))

    assert refused.value.field == "about"


def test_a_line_about_another_walls_facing_is_refused(wall):
    elsewhere = put(make_wall(wall="chapel", name="Chapel"), "protection", FACING)

    with pytest.raises(InvalidInput, match="no protection of this wall"):
        put(wall, "protection-inspected", BY, about=str(elsewhere.object_id), result="sound")


def test_a_facing_comes_off_once_and_not_before_it_went_on(wall):
    about = {"about": str(put(wall, "protection", FACING).object_id), "seen": "nothing new"}
    with pytest.raises(InvalidInput, match="cannot come off before 2026-03-03"):
        put(wall, "protection-removed", BY, **about, at="2026-03-01T10:00:00Z")
    put(wall, "protection-removed", BY, **about)

    with pytest.raises(InvalidInput, match="taken off already"):
        put(wall, "protection-removed", BY, **about)


def test_an_in_place_tool_may_stand_at_the_wall_itself(wall):
    line = put(wall, "plant", BREAKER, same_masonry=True, distance_in=0.0)

    assert line.content["same_masonry"] is True
