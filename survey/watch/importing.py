"""How do a logger's file, pushed readings and readings by hand come on record, whole or not at all?

The file is kept by its digest, one entry says how it was read, and its readings are packed into
blocks. The same file twice changes nothing; a corrected file replaces an earlier import, which
stays in the record. The instrument's own siren is the alarm; this program is its log.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import numpy as np
from django.db import transaction

from gridmap.errors import InvalidInput, NotFound
from survey.clock import moment
from survey.ledger.blobs import keep_blob
from survey.ledger.canonical import digest_of
from survey.ledger.drafts import Writer, new_id
from survey.watch.blocks import Moments, moment_of_us, pack, store
from survey.watch.log_lines import say
from survey.watch.logger_text import How, LoggerReadings, Refused, read_logger
from survey.watch.models import Instrument, ReadingsImport
from survey.watch.plausible import Doubt, against_record, doubts_of, other_logger
from survey.watch.reading_kinds import FILE, LISTED_REFUSALS, packed_readings
from survey.watch.reading_rows import IMPORT, WITHDRAWN
from survey.watch.series import series
from survey.watch.spans import Floats

MIME = "text/plain"
Readings = Mapping[str, tuple[Moments, Floats]]
Listener = Callable[[Instrument, ReadingsImport], None]
_listeners: dict[str, Listener] = {}


def on_readings(name: str, listener: Listener) -> None:
    """Let a room hear of every import, in its transaction; called from AppConfig.ready."""
    _listeners[name] = listener


@dataclass(frozen=True)
class Preview:
    """What importing a file would do: its readings, doubts, and whether it is here already."""

    read: LoggerReadings
    doubts: tuple[Doubt, ...]
    already: ReadingsImport | None
    how: How

    @property
    def stopped(self) -> bool:
        """Whether a person must answer a doubt first."""
        return any(doubt.stops for doubt in self.doubts)


@dataclass(frozen=True)
class Imported:
    """An import, and whether it was made now or was here already."""

    row: ReadingsImport
    new: bool


def usual_how(instrument: Instrument) -> How:
    """Return how the instrument's last file was read: its columns are matched once.

    Its clock is not taken along: it stands in the instrument's record and may be put right there.
    """
    last = (
        ReadingsImport.objects.filter(instrument_id=instrument.object_id, source=FILE)
        .order_by("-head__seq")
        .first()
    )
    if last is None:
        return How()
    how = How.from_json(last.content["mapping"])
    return How(how.columns, how.day_first, how.decimal)


def preview(
    instrument: Instrument, data: bytes, *, how: How, replaces: UUID | None = None
) -> Preview:
    """Return what importing the file would do; raises Unclear or InvalidInput."""
    read = read_logger(
        data, channels=instrument.channels, clock=instrument.content["time"], how=how
    )
    if read.accepted == 0:
        raise InvalidInput(
            "The file holds no reading that can be taken: "
            + (read.refused[0].reason if read.refused else "its columns are empty."),
            field="file",
        )
    others = Instrument.objects.filter(wall=instrument.wall_id).exclude(pk=instrument.pk)
    serials = {row.content["serial"]: row.code for row in others if row.content.get("serial")}
    doubts = [
        *doubts_of(read.channels, instrument.channels, now_s=moment().timestamp()),
        *other_logger(
            read.table.preamble, serial=instrument.content.get("serial") or "", others=serials
        ),
    ]
    if replaces is None:
        doubts += against_record(read.channels, lambda *asked: _on_record(instrument, *asked))
    return Preview(
        read=read,
        doubts=tuple(doubts),
        already=_known(instrument, digest_of(data), replaces),
        how=_said(how, read, instrument.content["time"]),
    )


def import_file(
    instrument: Instrument,
    data: bytes,
    *,
    file_name: str,
    how: How,
    writer: Writer,
    replaces: UUID | None = None,
    sure: bool = False,
) -> Imported:
    """Take a logger's file in. Raises Unclear, InvalidInput; then nothing was imported.

    With `sure` a person says that the readings are right although they look wrong; it is noted.
    """
    known = _known(instrument, digest_of(data), replaces)
    if known is not None:
        return Imported(known, new=False)
    looked = preview(instrument, data, how=how, replaces=replaces)
    if looked.stopped and not sure:
        said = " ".join(doubt.text for doubt in looked.doubts if doubt.stops)
        raise InvalidInput(f"{said} Nothing was imported.", field="sure")
    body = {
        "instrument": str(instrument.object_id),
        "source": FILE,
        "file_name": file_name[-300:],
        "mapping": looked.how.to_json(),
        "refused_lines": [_line(one) for one in looked.read.refused[:LISTED_REFUSALS]],
        "notes": [*looked.read.notes, *(_noted(doubt) for doubt in looked.doubts)],
        "refused": len(looked.read.refused),
    }
    with transaction.atomic():
        body["digest"] = keep_blob(data, mime=MIME, wall=instrument.wall).digest
        if replaces is not None:
            body["replaces"] = str(_replaceable(instrument, replaces))
        row = _keep(instrument, looked.read.channels, body, writer=writer, object_id=new_id())
    return Imported(row, new=True)


def import_readings(
    instrument: Instrument,
    readings: Sequence[Sequence[Any]],
    *,
    source: str,
    writer: Writer,
    note: str = "",
    object_id: UUID | None = None,
    refused: Sequence[Mapping[str, Any]] = (),
) -> Imported:
    """Take pushed or hand-written readings in: [moment with zone, channel, value] each.

    With an object id that is here already nothing is written again. Raises InvalidInput.
    """
    object_id = object_id or new_id()
    known = ReadingsImport.objects.filter(object_id=object_id).first()
    if known is not None:
        return Imported(known, new=False)
    body: dict[str, Any] = {
        "instrument": str(instrument.object_id),
        "source": source,
        "readings": [list(reading) for reading in readings],
        "refused": len(refused),
        "refused_lines": list(refused[:LISTED_REFUSALS]),
    }
    if note:
        body["note"] = note
    with transaction.atomic():
        row = _keep(instrument, None, body, writer=writer, object_id=object_id)
    return Imported(row, new=True)


@transaction.atomic
def withdraw_import(row: ReadingsImport, *, reason: str, writer: Writer) -> None:
    """Take an import back, with the reason; its entry and its file stay in the record.

    Who listens is told: what was found in its readings may be found no more.
    """
    say(
        row.wall,
        WITHDRAWN,
        {"reason": reason},
        writer=writer,
        object_id=row.object_id,
        seen=row.head_id,
    )
    _tell(Instrument.objects.get(object_id=row.instrument_id), row)


def _keep(
    instrument: Instrument,
    read: Readings | None,
    body: dict[str, Any],
    *,
    writer: Writer,
    object_id: UUID,
) -> ReadingsImport:
    """Write blocks and entry, and tell who listens; in the caller's transaction."""
    if read is not None:
        for channel, (times, values) in read.items():
            store(
                pack(
                    instrument=instrument.object_id,
                    readings_import=object_id,
                    channel=channel,
                    times_us=times,
                    values=values,
                )
            )
    summed = {**body, **_summary(read, body)}
    say(instrument.wall, IMPORT, summed, writer=writer, object_id=object_id)
    row = ReadingsImport.objects.get(object_id=object_id)
    _tell(instrument, row)
    return row


def _tell(instrument: Instrument, row: ReadingsImport) -> None:
    for listener in _listeners.values():
        listener(instrument, row)


def _summary(read: Readings | None, body: Mapping[str, Any]) -> dict[str, Any]:
    """Return counts and ends for the entry; where a reading is malformed its check speaks."""
    if read is None:
        try:
            read = packed_readings(body["readings"])
        except (InvalidInput, TypeError, ValueError):
            read = {}
    heard = {name: pair for name, pair in read.items() if pair[0].size}
    channels = {
        name: {
            "count": int((~np.isnan(values)).sum()),
            "least": float(np.nanmin(values)),
            "most": float(np.nanmax(values)),
        }
        for name, (_, values) in heard.items()
        if not np.isnan(values).all()
    }
    ends = [int(times[place]) for times, _ in heard.values() for place in (0, -1)]
    found: dict[str, Any] = {
        "channels": channels,
        "accepted": sum(int(one["count"]) for one in channels.values()),
    }
    if ends:
        found["first_at"] = moment_of_us(min(ends)).isoformat()
        found["last_at"] = moment_of_us(max(ends)).isoformat()
    return found


def _known(instrument: Instrument, digest: str, replaces: UUID | None) -> ReadingsImport | None:
    """Return the standing import of the same bytes; one that is being replaced does not count."""
    rows = ReadingsImport.objects.filter(
        instrument_id=instrument.object_id, blob_id=digest, replaced_by__isnull=True
    )
    return rows.exclude(object_id=replaces).first() if replaces else rows.first()


def _replaceable(instrument: Instrument, replaces: UUID) -> UUID:
    row = ReadingsImport.objects.filter(
        instrument_id=instrument.object_id, object_id=replaces
    ).first()
    if row is None:
        raise NotFound(f"Instrument {instrument.code} has no import {replaces}.")
    if row.replaced_by is not None:
        raise InvalidInput(
            f"Import {replaces} counts no more: it was replaced or withdrawn. Replace the one that "
            "stands in its place.",
            field="replaces",
        )
    return row.object_id


def _on_record(
    instrument: Instrument, channel: str, start_us: int, end_us: int
) -> tuple[Moments, Floats]:
    found = series(instrument, channel, moment_of_us(start_us), moment_of_us(end_us))
    return found.times_us, found.values


def _said(how: How, read: LoggerReadings, clock: Mapping[str, Any]) -> How:
    """Return how the file was read, columns and clock too, so that it always reads the same."""
    columns = {column.head: column.channel for column in read.columns}
    zone, offset_min = how.zone, how.offset_min
    if zone is None and offset_min is None:
        zone, offset_min = clock.get("zone"), clock.get("offset_min")
    return How(columns, how.day_first, how.decimal, zone, offset_min)


def _noted(doubt: Doubt) -> str:
    text = f"Taken although: {doubt.text}" if doubt.stops else doubt.text
    return text[:300]


def _line(one: Refused) -> dict[str, Any]:
    return {"line": one.line, "column": one.column, "text": one.text, "reason": one.reason}
