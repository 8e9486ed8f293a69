"""What must an import of readings say to be kept, and what readings does its entry stand for?

A file stands by its digest and is read again from the store; pushed and hand-written readings
stand in the entry itself.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from gridmap.errors import InvalidInput
from survey.ledger.blobs import has_arrived, read_blob
from survey.ledger.drafts import read_moment
from survey.ledger.models import Logbook
from survey.record import fields
from survey.watch.blocks import Moments, microseconds_of
from survey.watch.instrument_kinds import instrument_of, zone_of
from survey.watch.logger_text import How, read_logger
from survey.watch.models import Instrument
from survey.watch.quantities import quantity_of
from survey.watch.spans import Floats

SOURCES = ("file", "push", "hand")
FILE, PUSH, HAND = SOURCES
MOST_READINGS = 20_000  # in one entry; a longer record comes as a file
LISTED_REFUSALS = 50
_DIGEST_LENGTH = 64


def check_import(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse an import of an unknown instrument, or whose readings cannot be found again."""
    known = {
        "instrument", "source", "digest", "file_name", "mapping", "replaces", "accepted",
        "refused", "first_at", "last_at", "channels", "refused_lines", "readings", "notes", "note",
    }  # fmt: skip
    fields.refuse_unknown_keys(body, known)
    instrument = instrument_of(body, "instrument", logbook)
    source = fields.choice(body, "source", SOURCES)
    if source == FILE:
        _check_file(body, logbook)
    else:
        check_readings(body.get("readings"), instrument)
    if body.get("replaces") is not None:
        fields.object_id(body["replaces"], "replaces")
    for name in ("accepted", "refused"):
        fields.whole_number(body, name, least=0, most=10**9)
    for name in ("first_at", "last_at"):
        if body.get(name) is not None:
            read_moment(body[name], field=name)
    for name in ("channels",):
        if not isinstance(body.get(name), Mapping):
            raise InvalidInput(f"{name} must be an object.", field=name)
    listed = body.get("refused_lines", [])
    if not isinstance(listed, list) or len(listed) > LISTED_REFUSALS:
        raise InvalidInput(
            f"refused_lines must be a list of at most {LISTED_REFUSALS}.", field="refused_lines"
        )
    fields.texts(body, "notes")
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


def _check_file(body: Mapping[str, Any], logbook: Logbook) -> None:
    digest = fields.needed_text(body, "digest", longest=_DIGEST_LENGTH)
    if not has_arrived(digest, logbook.wall):
        raise InvalidInput(
            f"digest is {digest[:12]}…, of which no bytes were handed over for this wall.",
            field="digest",
        )
    fields.text(body, "file_name")
    mapping = body.get("mapping")
    if not isinstance(mapping, Mapping) or not isinstance(mapping.get("columns"), Mapping):
        raise InvalidInput("mapping must say which column fills which channel.", field="mapping")
    known = {"columns", "day_first", "decimal", "zone", "offset_min"}
    fields.refuse_unknown_keys(mapping, known)
    if mapping.get("zone") is not None:
        zone_of(mapping["zone"])


def check_readings(readings: Any, instrument: Instrument) -> None:
    """Refuse readings that are no list of [moment, channel, number that can be true]."""
    if not isinstance(readings, list) or not 1 <= len(readings) <= MOST_READINGS:
        raise InvalidInput(
            f"readings must be a list of 1 to {MOST_READINGS:,} readings.", field="readings"
        )
    for number, reading in enumerate(readings, 1):
        reason = refusal_of(reading, instrument)
        if reason:
            raise InvalidInput(f"Reading {number}: {reason}", field="readings")


def refusal_of(reading: Any, instrument: Instrument) -> str:
    """Return why a reading cannot be kept, '' where it can."""
    if not isinstance(reading, Sequence) or isinstance(reading, str) or len(reading) != 3:
        return "it must be [moment, channel, value]."
    at, name, value = reading
    try:
        read_moment(at, field="at")
    except InvalidInput as error:
        return error.message
    channel = next((one for one in instrument.channels if one["name"] == name), None)
    if channel is None:
        names = ", ".join(one["name"] for one in instrument.channels)
        return f"{instrument.code} has no channel {name!r}; it has: {names}."
    if isinstance(value, bool) or not isinstance(value, int | float):
        return f"{value!r} is no number."
    quantity = quantity_of(channel["quantity"])
    least, most = quantity.range_in(channel["unit"])
    if not least <= value <= most:
        unit = channel["unit"]
        side = f"above {most:g}" if value > most else f"below {least:g}"
        return f"{value:g} {unit} {quantity.words} is {side} {unit}."
    return ""


def readings_of(
    content: Mapping[str, Any], instrument: Instrument
) -> dict[str, tuple[Moments, Floats]]:
    """Return the readings that an import's entry stands for, by channel, in order of time."""
    if content["source"] == FILE:
        read = read_logger(
            read_blob(content["digest"]),
            channels=instrument.channels,
            clock=instrument.content["time"],
            how=How.from_json(content["mapping"]),
        )
        return dict(read.channels)
    return packed_readings(content["readings"])


def packed_readings(readings: Sequence[Sequence[Any]]) -> dict[str, tuple[Moments, Floats]]:
    """Return checked readings by channel, in order of time; of one moment the last counts."""
    by_channel: dict[str, dict[int, float]] = {}
    for at, name, value in readings:
        at_us = microseconds_of(read_moment(at, field="at"))
        by_channel.setdefault(name, {})[at_us] = float(value)
    return {
        name: (
            np.array(sorted(found), dtype=np.int64),
            np.array([found[at] for at in sorted(found)], dtype=np.float64),
        )
        for name, found in by_channel.items()
    }
