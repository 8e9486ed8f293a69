"""What a daily check, a spot reading, a fragment and a stop must say to be kept.

They are read from their entries; no table is projected from them yet.
"""

from collections.abc import Mapping
from typing import Any

from gridmap.errors import InvalidInput
from survey.ledger.drafts import LONGEST_NAME, read_moment
from survey.ledger.kinds import Check, Projection
from survey.ledger.models import Logbook
from survey.record import fields
from survey.record.bodies import survey_of
from survey.record.models import Survey

CHECKED = ("scaffold-tag", "seals", "trays", "drips", "filters", "guards", "lights")
CHECK_STATES = ("in-order", "not-in-order", "not-checked")
# Each quantity with the units in which it may be given and the range that can be true.
QUANTITIES: dict[str, dict[str, tuple[float, float]]] = {
    "moisture": {"%": (0.0, 100.0), "digits": (0.0, 999.0)},
    "surface-temperature": {"°F": (-60.0, 200.0), "°C": (-50.0, 95.0)},
    "air-temperature": {"°F": (-60.0, 200.0), "°C": (-50.0, 95.0)},
    "relative-humidity": {"%": (0.0, 100.0)},
    "illuminance": {"lx": (0.0, 200_000.0), "fc": (0.0, 20_000.0)},
    "uv": {"µW/lm": (0.0, 10_000.0), "mW/m²": (0.0, 100_000.0)},
    "crack-width": {"in": (0.0, 12.0), "mm": (0.0, 300.0)},
    "gloss": {"GU": (0.0, 2_000.0)},
}
STOP_STATES = ("open", "lifted")
MOST_CELLS = 400


def check_daily(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a daily check that checked nothing known."""
    survey_of(logbook)
    fields.refuse_unknown_keys(body, {"session", "checked_on", "items", "tag_date", "note"})
    _check_session(body)
    fields.day(body, "checked_on")
    fields.optional_day(body, "tag_date")
    fields.text(body, "note", longest=fields.LONGEST_NOTE)
    items = body.get("items")
    if not isinstance(items, list) or not 1 <= len(items) <= len(CHECKED):
        raise InvalidInput(
            f"items must be a list of 1 to {len(CHECKED)} things checked.", field="items"
        )
    for item in items:
        if not isinstance(item, Mapping):
            raise InvalidInput("Each thing checked must be an object.", field="items")
        fields.refuse_unknown_keys(item, {"what", "state", "note"})
        fields.choice(item, "what", CHECKED)
        fields.choice(item, "state", CHECK_STATES)
        fields.text(item, "note", longest=fields.LONGEST_NOTE)


def check_reading(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a reading without unit or out of the range that can be true."""
    survey = survey_of(logbook)
    known = {"quantity", "value", "unit", "cell", "place", "instrument", "what", "session", "note"}
    fields.refuse_unknown_keys(body, known)
    quantity = fields.choice(body, "quantity", [*QUANTITIES, "other"])
    if quantity == "other":
        fields.needed_text(body, "what", longest=80)
        fields.needed_text(body, "unit", longest=20)
        least, most = -1e9, 1e9
    else:
        least, most = QUANTITIES[quantity][fields.choice(body, "unit", QUANTITIES[quantity])]
    if body.get("value") is None:
        raise InvalidInput("value is missing; a reading is a number.", field="value")
    fields.optional_number(body, "value", least=least, most=most, unit=str(body["unit"]))
    _check_cell(body.get("cell"), survey, field="cell")
    _check_place(body.get("place"), survey)
    fields.text(body, "instrument", longest=120)
    _check_session(body)
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


def check_fragment(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a fragment without its bag or the cell below which it lay."""
    survey = survey_of(logbook)
    known = {
        "bag", "cell", "found_on", "place_below", "layer", "count", "weight_g",
        "suspected_source", "photographs", "session", "note",
    }  # fmt: skip
    fields.refuse_unknown_keys(body, known)
    fields.needed_text(body, "bag", longest=40)
    _check_cell(body.get("cell"), survey, field="cell")
    fields.day(body, "found_on")
    for name in ("place_below", "layer", "suspected_source"):
        fields.text(body, name)
    if body.get("count") is not None:
        fields.whole_number(body, "count", least=1, most=100_000)
    fields.optional_number(body, "weight_g", least=0.0, most=100_000.0, unit="g")
    fields.texts(body, "photographs")
    _check_session(body)
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


def check_stop(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a stop that does not say when and what was seen."""
    survey = survey_of(logbook)
    known = {
        "noticed_at", "activity", "cells", "fragments", "photographs", "told", "state",
        "lifted_because", "session", "note",
    }  # fmt: skip
    fields.refuse_unknown_keys(body, known)
    read_moment(body.get("noticed_at"), field="noticed_at")
    fields.needed_text(body, "activity", longest=fields.LONGEST_NOTE)
    for cell in fields.texts(body, "cells", most=MOST_CELLS):
        _check_cell(cell, survey, field="cells")
    fields.text(body, "fragments", longest=fields.LONGEST_NOTE)
    fields.texts(body, "photographs")
    told = body.get("told", [])
    if not isinstance(told, list) or len(told) > 100:
        raise InvalidInput("told must be a list of at most 100 calls.", field="told")
    for call in told:
        _check_call(call)
    if fields.choice(body, "state", STOP_STATES) == "lifted":
        fields.needed_text(body, "lifted_because", longest=fields.LONGEST_NOTE)
    else:
        fields.text(body, "lifted_because", longest=fields.LONGEST_NOTE)
    _check_session(body)
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


def _check_call(call: Any) -> None:
    if not isinstance(call, Mapping):
        raise InvalidInput("Each call must be an object.", field="told")
    fields.refuse_unknown_keys(call, {"who", "number", "at", "said"})
    fields.needed_text(call, "who", longest=LONGEST_NAME)
    fields.text(call, "number", longest=40)
    read_moment(call.get("at"), field="told.at")
    fields.text(call, "said", longest=fields.LONGEST_NOTE)


def _check_session(body: Mapping[str, Any]) -> None:
    if body.get("session") is not None:
        fields.object_id(body["session"], "session")


def _check_cell(cell: Any, survey: Survey, *, field: str) -> None:
    grid = survey.layout.grid
    if not isinstance(cell, str) or grid.label(*grid.position(cell)) != cell:
        raise InvalidInput(f"{field} is {cell!r}; write a cell as on the grid.", field=field)


def _check_place(place: Any, survey: Survey) -> None:
    if place is None:
        return
    numbers = isinstance(place, list) and len(place) == 2
    if not numbers or any(isinstance(n, bool) or not isinstance(n, int | float) for n in place):
        raise InvalidInput("place must be [x, y] in wall inches.", field="place")
    x_in, y_in = place
    if not (0 <= x_in <= survey.layout.width_in and 0 <= y_in <= survey.layout.height_in):
        raise InvalidInput(f"place {place} lies off the wall.", field="place")


def _kept_as_entries(kind: str, check: Check) -> Projection:
    return Projection(kind, {kind: check}, lambda logbook, histories: None, lambda logbook: None)


PROJECTIONS = (
    _kept_as_entries("daily-check", check_daily),
    _kept_as_entries("spot-reading", check_reading),
    _kept_as_entries("fragment", check_fragment),
    _kept_as_entries("stop", check_stop),
)
