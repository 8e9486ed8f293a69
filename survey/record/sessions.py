"""What the entry of a session on the deck must say: who, where, under which lamps, signed by whom.

A session is one object; every change of it is an entry that replaces the one before.
"""

from collections.abc import Mapping
from typing import Any

from gridmap.errors import InvalidInput
from survey.ledger.drafts import LONGEST_NAME, read_moment
from survey.ledger.kinds import Projection
from survey.ledger.models import Logbook
from survey.record import fields
from survey.record.bodies import survey_of
from survey.record.models import Mode

LAMP_SIDES = ("left", "right", "top", "below", "even")
ANSWERS = ("same", "worse", "cannot-see", "look-closer")
LONGEST_LABEL = 80
MOST_LAMPS, MOST_CELLS, MOST_RECHECKS = 200, 400, 40
LONGEST_DAY_MIN = 24.0 * 60.0
_KEYS = frozenset(
    {
        "state", "label", "opened_at", "closed_at", "observer", "recorder", "deck", "cells", "mode",
        "lamps", "lamp_minutes", "cautions_read", "minutes", "touch_minutes", "rechecks",
        "signed_by", "signed_at", "note",
    }
)  # fmt: skip


def check_session(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a session without its people and times, or of cells that are not on the wall."""
    survey = survey_of(logbook)
    fields.refuse_unknown_keys(body, _KEYS)
    fields.choice(body, "state", ("open", "closed"))
    fields.needed_text(body, "label", longest=LONGEST_LABEL)
    read_moment(body.get("opened_at"), field="opened_at")
    for name in ("closed_at", "signed_at"):
        if body.get(name) is not None:
            read_moment(body[name], field=name)
    fields.needed_text(body, "observer", longest=LONGEST_NAME)
    fields.needed_text(body, "recorder", longest=LONGEST_NAME)
    fields.text(body, "signed_by", longest=LONGEST_NAME)
    fields.text(body, "deck", longest=40)
    fields.choice(body, "mode", Mode.values)
    fields.optional_flag(body, "cautions_read")
    for name in ("lamp_minutes", "touch_minutes"):
        fields.optional_number(body, name, least=0.0, most=LONGEST_DAY_MIN, unit="min")
    fields.text(body, "note", longest=fields.LONGEST_NOTE)
    labels = set(survey.layout.grid.labels())
    _refuse_strange_cells(fields.texts(body, "cells", most=MOST_CELLS), labels, field="cells")
    _check_minutes(body.get("minutes", {}), labels)
    for lamp in _list(body, "lamps", most=MOST_LAMPS):
        _check_lamp(lamp)
    for recheck in _list(body, "rechecks", most=MOST_RECHECKS):
        _check_recheck(recheck, labels)


def _check_minutes(minutes: Any, labels: set[str]) -> None:
    if not isinstance(minutes, Mapping):
        raise InvalidInput("minutes must be an object from cell to minutes.", field="minutes")
    _refuse_strange_cells(list(minutes), labels, field="minutes")
    for cell in minutes:
        fields.optional_number(minutes, cell, least=0.0, most=LONGEST_DAY_MIN, unit="min")


def _check_lamp(lamp: Mapping[str, Any]) -> None:
    fields.refuse_unknown_keys(lamp, {"setting", "side", "lux", "lux_at", "on_at", "off_at"})
    fields.needed_text(lamp, "setting", longest=80)
    fields.choice(lamp, "side", LAMP_SIDES)
    fields.optional_number(lamp, "lux", least=0.0, most=200_000.0, unit="lx")
    fields.text(lamp, "lux_at", longest=80)
    read_moment(lamp.get("on_at"), field="lamps.on_at")
    if lamp.get("off_at") is not None:
        read_moment(lamp["off_at"], field="lamps.off_at")


def _check_recheck(recheck: Mapping[str, Any], labels: set[str]) -> None:
    fields.refuse_unknown_keys(recheck, {"item", "cell", "first", "second"})
    fields.object_id(recheck.get("item"), "rechecks.item")
    _refuse_strange_cells([recheck.get("cell")], labels, field="rechecks.cell")
    fields.choice(recheck, "first", ANSWERS)
    fields.choice(recheck, "second", ANSWERS)


def _refuse_strange_cells(cells: list[Any], labels: set[str], *, field: str) -> None:
    for cell in cells:
        if cell not in labels:
            raise InvalidInput(f"{field} has {cell!r}, which is no cell of the grid.", field=field)


def _list(body: Mapping[str, Any], field: str, *, most: int) -> list[Mapping[str, Any]]:
    value = body.get(field, [])
    if (
        not isinstance(value, list)
        or len(value) > most
        or any(not isinstance(item, Mapping) for item in value)
    ):
        raise InvalidInput(f"{field} must be a list of at most {most} objects.", field=field)
    return value


# Read from its entries; no table is projected from it.
PROJECTION = Projection(
    "session",
    {"session": check_session},
    lambda logbook, histories: None,
    lambda logbook: None,
)
