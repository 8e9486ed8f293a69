"""Does a limit come on record only with its numbers, place, source and people?"""

import pytest

from gridmap.errors import Clash, InvalidInput
from survey.ledger.drafts import Writer
from survey.ledger.selectors import histories_of
from survey.ledger.services import open_logbook, rebuild
from survey.watch.limits import keep_limit, withdraw_limit
from survey.watch.models import Limit
from tests.support.factories import make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

DESK = Writer(name="Ines Fallow", device="desk")


@pytest.fixture
def wall():
    return make_wall()


def body(**changes):
    said = {
        "quantity": "particle-velocity",
        "unit": "in/s",
        "direction": "above",
        "amber": 0.05,
        "red": 0.08,
        "place": {"what": "wall", "name": ""},
        "source": "Protocol of the parties",
        "label": "agreed-on-site",
        "agreed_by": "Ines Fallow, conservator",
        "valid_from": "2026-06-29",
    }
    return {name: value for name, value in {**said, **changes}.items() if value is not None}


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"amber": None, "red": None}, "amber"),
        ({"amber": 0.09}, "red"),
        ({"unit": "lx"}, "unit"),
        ({"quantity": "noise"}, "quantity"),
        ({"source": " "}, "source"),
        ({"label": "sure"}, "label"),
        ({"agreed_by": ""}, "agreed_by"),
        ({"valid_to": "2026-06-28"}, "valid_to"),
        ({"verified_by": "Tomas Sedge"}, "verified_on"),
        ({"verified_on": "2026-06-01"}, "verified_by"),
        ({"place": {"what": "deck", "name": "9"}}, "place"),
        ({"place": {"what": "cell", "name": "Z99"}}, "cell"),
        ({"table": "din-line-9"}, "limit"),
        ({"quantity": "illuminance", "unit": "lx", "table": "din-line-3"}, "table"),
        ({"surprise": 1}, "surprise"),
        ({"direction": "change-24h", "amber": -1.0, "red": None}, "amber"),
    ],
)
def test_a_limit_that_does_not_say_enough_is_refused_by_field(wall, changes, field):
    with pytest.raises(InvalidInput) as refused:
        keep_limit(wall=wall, body=body(**changes), writer=DESK)

    assert refused.value.field == field
    assert not Limit.objects.exists()


def test_a_correction_is_the_next_version(wall):
    first, _ = keep_limit(wall=wall, body=body(), writer=DESK)

    second, _ = keep_limit(
        wall=wall, body=body(red=0.1), writer=DESK, object_id=first.object_id, seen=first.head_id
    )

    assert (first.version, second.version, second.red) == (1, 2, 0.1)


def test_a_correction_of_what_somebody_else_changed_meanwhile_clashes(wall):
    first, _ = keep_limit(wall=wall, body=body(), writer=DESK)
    named = {"object_id": first.object_id, "seen": first.head_id}
    keep_limit(wall=wall, body=body(red=0.1), writer=DESK, **named)

    with pytest.raises(Clash):
        keep_limit(wall=wall, body=body(red=0.2), writer=DESK, **named)

    assert Limit.objects.get().red == 0.1


def test_a_limit_taken_back_loses_its_row_and_keeps_its_entries(wall):
    first, _ = keep_limit(wall=wall, body=body(), writer=DESK)

    withdraw_limit(first, reason="Typed twice", seen=first.head_id, writer=DESK)

    ((_, (history,)),) = histories_of(open_logbook(wall), [first.object_id])
    assert not Limit.objects.exists()
    assert [entry.kind for entry in history.entries] == ["limit", "limit-withdrawn"]


def test_rebuilding_gives_the_same_rows(wall):
    first, _ = keep_limit(wall=wall, body=body(), writer=DESK)
    keep_limit(
        wall=wall, body=body(red=0.1), writer=DESK, object_id=first.object_id, seen=first.head_id
    )
    before = list(Limit.objects.values())

    rebuild(open_logbook(wall))

    assert list(Limit.objects.values()) == before
