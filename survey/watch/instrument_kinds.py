"""What must an instrument, what happened to it, and an import of readings say to be kept?

`instrument` and `readings-import` become rows here; `instrument-event` is a line of the log.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from gridmap.errors import InvalidInput
from survey.ledger.drafts import LONGEST_NAME, read_moment
from survey.ledger.models import Logbook
from survey.record import fields
from survey.watch.log_lines import log_lines
from survey.watch.models import Instrument
from survey.watch.quantities import quantity_of

EVENTS = (
    "installed", "moved", "battery", "calibrated", "fault", "mended", "test-alarm", "removed",
)  # fmt: skip
AXES = ("x", "y", "z", "sum")
MOST_CHANNELS = 40
LONGEST_CODE = 40
LARGEST_OFFSET_MIN = 14 * 60
LONGEST_INTERVAL_S = 366 * 86_400.0


def check_instrument(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse an instrument without code, channels, or a clock that can be understood."""
    known = {
        "code", "name", "channels", "deck", "cell", "height_in", "place", "serial", "interval_s",
        "silence_s", "time", "calibration", "from_on", "until_on", "limits_note", "note",
    }  # fmt: skip
    fields.refuse_unknown_keys(body, known)
    fields.needed_text(body, "code", longest=LONGEST_CODE)
    fields.needed_text(body, "name", longest=120)
    _check_channels(body.get("channels"))
    _check_deck_and_cell(body, logbook)
    for name in ("place", "serial"):
        fields.text(body, name)
    fields.optional_number(body, "height_in", least=-600.0, most=12_000.0, unit="in")
    for name in ("interval_s", "silence_s"):
        fields.optional_number(body, name, least=0.001, most=LONGEST_INTERVAL_S, unit="s")
    _check_clock(body.get("time"))
    _check_calibration(body.get("calibration"))
    began = fields.day(body, "from_on")
    ended = fields.optional_day(body, "until_on")
    if ended is not None and ended < began:
        raise InvalidInput(
            f"until_on is {ended}; it must not be before {began}, when the instrument came.",
            field="until_on",
        )
    for name in ("limits_note", "note"):
        fields.text(body, name, longest=fields.LONGEST_NOTE)


def _check_channels(channels: Any) -> None:
    if not isinstance(channels, list) or not 1 <= len(channels) <= MOST_CHANNELS:
        raise InvalidInput(
            f"channels must be a list of 1 to {MOST_CHANNELS} channels.", field="channels"
        )
    names: set[str] = set()
    for channel in channels:
        if not isinstance(channel, Mapping):
            raise InvalidInput("Each channel must be an object.", field="channels")
        fields.refuse_unknown_keys(channel, {"name", "quantity", "unit", "axis", "error"})
        name = fields.needed_text(channel, "name", longest=LONGEST_CODE)
        if name in names:
            raise InvalidInput(f"Two channels are named {name!r}.", field="channels")
        names.add(name)
        quantity = quantity_of(str(channel.get("quantity")))
        fields.choice(channel, "unit", quantity.units)
        fields.optional_choice(channel, "axis", AXES)
        fields.optional_number(channel, "error", least=0.0, most=1e6, unit=str(channel.get("unit")))


def _check_deck_and_cell(body: Mapping[str, Any], logbook: Logbook) -> None:
    layout = logbook.wall.layout
    deck = fields.text(body, "deck", longest=40)
    names = [str(one["name"]) for one in layout.decks]
    if deck and deck not in names:
        raise InvalidInput(
            f"deck is {deck!r}; the wall's decks are: {', '.join(names) or 'none'}.", field="deck"
        )
    cell = body.get("cell") or ""
    if cell and not isinstance(cell, str):
        raise InvalidInput(f"cell is {cell!r}; write a cell as on the grid.", field="cell")
    label = layout.grid.label(*layout.grid.position(cell)) if cell else ""
    if label != cell:
        raise InvalidInput(
            f"cell is {cell!r}; write a cell as on the grid, such as {label}.", field="cell"
        )


def _check_clock(clock: Any) -> None:
    if not isinstance(clock, Mapping) or set(clock) not in ({"zone"}, {"offset_min"}):
        raise InvalidInput(
            "time must say how the instrument's clock runs: a zone such as Europe/London, or an "
            "offset from UTC in minutes.",
            field="time",
        )
    if "zone" in clock:
        zone_of(clock["zone"])
    else:
        fields.whole_number(clock, "offset_min", least=-LARGEST_OFFSET_MIN, most=LARGEST_OFFSET_MIN)


def zone_of(name: Any) -> ZoneInfo:
    """Return a time zone by its name; raises InvalidInput."""
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, TypeError, OSError) as error:
        raise InvalidInput(
            f"zone is {name!r}; write a time zone such as Europe/London or America/New_York.",
            field="zone",
        ) from error


def _check_calibration(calibration: Any) -> None:
    if calibration is None:
        return
    if not isinstance(calibration, Mapping):
        raise InvalidInput("calibration must be an object.", field="calibration")
    fields.refuse_unknown_keys(calibration, {"on", "until", "certificate"})
    done, until = fields.day(calibration, "on"), fields.day(calibration, "until")
    fields.text(calibration, "certificate")
    if until < done:
        raise InvalidInput(
            f"until is {until}; a calibration cannot run out before it was done ({done}).",
            field="until",
        )


def check_event(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse an event of an instrument that is not there, or that nobody stands for."""
    known = {"about", "what", "at", "place", "who", "result", "note"}
    fields.refuse_unknown_keys(body, known)
    instrument_of(body, "about", logbook)
    fields.choice(body, "what", EVENTS)
    read_moment(body.get("at"), field="at")
    fields.needed_text(body, "who", longest=LONGEST_NAME)
    for name in ("place", "result"):
        fields.text(body, name)
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


def instrument_of(body: Mapping[str, Any], field: str, logbook: Logbook) -> Instrument:
    """Return the instrument of this wall that a body names; raises InvalidInput."""
    named = UUID(fields.object_id(body.get(field), field))
    found = Instrument.objects.filter(wall=logbook.wall_id, object_id=named).first()
    if found is None:
        raise InvalidInput(f"{field} is {named}; there is no such instrument here.", field=field)
    return found


def instrument_row(content: Mapping[str, Any]) -> dict[str, Any]:
    """Return the columns of an instrument's row that its entry fills."""
    calibration = content.get("calibration") or {}
    return {
        "code": content["code"].strip(),
        "name": content["name"].strip(),
        "channels": content["channels"],
        "deck": content.get("deck") or "",
        "cell": content.get("cell") or "",
        "interval_s": content.get("interval_s"),
        "silence_s": content.get("silence_s"),
        "calibrated_until": _day(calibration.get("until")),
        "from_on": _day(content["from_on"]),
        "until_on": _day(content.get("until_on")),
    }


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


EVENT_LINES = log_lines("instrument-event", check_event)
