"""How do instruments and their imports become rows, and an import's readings packed blocks?

Blocks are made from what the entry stands for; the importer, which has just read the file, puts
its own there first, and then they are left.
"""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef

from survey.ledger.drafts import read_moment
from survey.ledger.kinds import History, Projection
from survey.ledger.models import Logbook
from survey.record.bodies import check_reason
from survey.watch.blocks import pack, store
from survey.watch.instrument_kinds import check_instrument, instrument_row
from survey.watch.models import Instrument, ReadingBlock, ReadingsImport
from survey.watch.reading_kinds import check_import, readings_of

IMPORT, WITHDRAWN = "readings-import", "readings-import-withdrawn"


def _project_instruments(logbook: Logbook, histories: Sequence[History]) -> None:
    Instrument.objects.filter(object_id__in=[one.object_id for one in histories]).delete()
    Instrument.objects.bulk_create(
        Instrument(
            object_id=history.object_id,
            wall=logbook.wall,
            head=history.heads[-1],
            conflict=history.conflict,
            content=history.heads[-1].content,
            **instrument_row(history.heads[-1].content),
        )
        for history in histories
    )
    _unpack_what_waited({history.object_id for history in histories})


def _unpack_what_waited(instruments: set[UUID]) -> None:
    """Make the blocks of imports that came to be rows before their instrument, as in a rebuild."""
    blocks = ReadingBlock.objects.filter(import_id=OuterRef("object_id"))
    waiting = ReadingsImport.objects.filter(~Exists(blocks), instrument_id__in=instruments)
    for row in waiting.filter(accepted__gt=0):
        _unpack(row)


def _clear_instruments(logbook: Logbook) -> None:
    Instrument.objects.filter(head__logbook=logbook).delete()


def _project_imports(logbook: Logbook, histories: Sequence[History]) -> None:
    ReadingsImport.objects.filter(object_id__in=[one.object_id for one in histories]).delete()
    rows = [_import_row(logbook, history) for history in histories]
    ReadingsImport.objects.bulk_create(rows)
    for row in rows:
        _unpack(row)
    _mark_replaced(logbook)


def _clear_imports(logbook: Logbook) -> None:
    rows = ReadingsImport.objects.filter(head__logbook=logbook)
    for import_id in rows.values_list("object_id", flat=True):
        ReadingBlock.objects.filter(import_id=import_id).delete()
    rows.delete()


def _import_row(logbook: Logbook, history: History) -> ReadingsImport:
    withdrawn = any(head.kind == WITHDRAWN for head in history.heads)
    content = [entry for entry in history.entries if entry.kind == IMPORT][-1].content
    return ReadingsImport(
        object_id=history.object_id,
        wall=logbook.wall,
        head=history.heads[-1],
        conflict=history.conflict,
        content=content,
        instrument_id=UUID(content["instrument"]),
        blob_id=content.get("digest"),
        source=content["source"],
        # one that was withdrawn, with nothing in its place, names itself
        replaced_by=history.object_id if withdrawn else None,
        accepted=content["accepted"],
        refused=content["refused"],
        first_at=_moment(content.get("first_at")),
        last_at=_moment(content.get("last_at")),
    )


def _moment(text: str | None) -> Any:
    return read_moment(text, field="at") if text else None


def _unpack(row: ReadingsImport) -> None:
    """Make the import's blocks, unless they are there."""
    if ReadingBlock.objects.filter(import_id=row.object_id).exists():
        return
    instrument = Instrument.objects.filter(object_id=row.instrument_id).first()
    if instrument is None:
        return  # in a rebuild it may come later, and asks for what waits
    for channel, (times, values) in readings_of(row.content, instrument).items():
        store(
            pack(
                instrument=row.instrument_id,
                readings_import=row.object_id,
                channel=channel,
                times_us=times,
                values=values,
            )
        )


def _mark_replaced(logbook: Logbook) -> None:
    """Let every import that a later one replaces name it, whichever came to be a row first."""
    rows = ReadingsImport.objects.filter(wall=logbook.wall_id)
    corrections = rows.filter(content__has_key="replaces")
    for object_id, content, replaced_by in corrections.values_list(
        "object_id", "content", "replaced_by"
    ):
        replaced = rows.filter(object_id=UUID(content["replaces"]))
        if replaced_by == object_id:  # withdrawn, so that what it replaced counts again
            replaced.filter(replaced_by=object_id).update(replaced_by=None)
        else:
            replaced.update(replaced_by=object_id)


INSTRUMENTS = Projection(
    "instrument", {"instrument": check_instrument}, _project_instruments, _clear_instruments
)
IMPORTS = Projection(
    IMPORT,
    {IMPORT: check_import, WITHDRAWN: check_reason},
    _project_imports,
    _clear_imports,
    replacing=frozenset({WITHDRAWN}),
)
