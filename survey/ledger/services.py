"""The one door into the logbooks: `append`, and `rebuild` of what is projected from them."""

import json
import uuid
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from typing import NamedTuple

from django.db import transaction

from gridmap.errors import InvalidInput, PontataError
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger import kinds
from survey.ledger.canonical import canonical_bytes, digest_of
from survey.ledger.drafts import (
    ALREADY_THERE,
    SET_ASIDE,
    STORED,
    STORED_AS_CONFLICT,
    Draft,
    Receipt,
    Writer,
)
from survey.ledger.models import Entry, EntryParent, Logbook, SetAside
from survey.ledger.selectors import histories_of, history_groups

ROWS_AT_ONCE = 500


def open_logbook(wall: Wall, name: str = "") -> Logbook:
    """Return the logbook of that name, making it where it is missing."""
    return Logbook.objects.get_or_create(wall=wall, name=name)[0]


@transaction.atomic
def append(
    drafts: Sequence[Draft],
    *,
    logbook: Logbook,
    writer: Writer,
    refuse: Callable[[Draft], None] | None = None,
) -> list[Receipt]:
    """Write drafts behind the logbook's last entry and project what they say.

    Receipts come in the order of the drafts. An id that is already there is not written again.
    `refuse` raises for a draft that its caller does not let in, unless it is there already.
    Raises InvalidInput for an invalid draft unless the writer sets aside; then nothing is stored.
    """
    locked = Logbook.objects.select_for_update().get(pk=logbook.pk)
    known = _known_entries(drafts)
    families = _families_of(drafts, locked)
    elsewhere = _objects_elsewhere(drafts, locked)
    places = _places_on_device(drafts, writer)
    seq = _last_seq(locked)
    received_at = moment()
    new: dict[uuid.UUID, tuple[Entry, tuple[uuid.UUID, ...]]] = {}
    receipts: list[Receipt] = []
    for position, draft in enumerate(drafts):
        try:
            entry = _entry_of(draft, logbook=locked, writer=writer, received_at=received_at)
            _refuse_another_statement(draft, entry.digest, known)
            if draft.id in known:
                receipts.append(
                    Receipt(draft.id, ALREADY_THERE, seq=known[draft.id].seq, digest=entry.digest)
                )
                continue
            if refuse is not None:
                refuse(draft)
            kinds.check(draft.kind, draft.kind_version, draft.body, locked)
            _refuse_object_elsewhere(draft, elsewhere)
            _refuse_other_family(draft, families)
            _refuse_unknown_parents(draft, new)
            _refuse_used_place(draft, places)
        except PontataError as error:
            if not writer.sets_aside:
                raise _at(position, len(drafts), error) from error
            keep_draft_aside(draft, str(error), logbook=locked, writer=writer)
            receipts.append(Receipt(draft.id, SET_ASIDE, message=str(error)))
            continue
        seq += 1
        entry.seq = seq
        known[draft.id] = Known(entry.digest, seq)
        new[draft.id] = (entry, draft.parents)
        receipts.append(Receipt(draft.id, STORED, seq=seq, digest=entry.digest))
    _write(new.values())
    conflicts = _project(locked, {entry.object_id for entry, _ in new.values()})
    return [_with_place(receipt, new, conflicts) for receipt in receipts]


@transaction.atomic
def rebuild(logbook: Logbook) -> None:
    """Throw away everything projected from a logbook and project it anew from its entries."""
    for projection in kinds.projections():
        projection.clear(logbook)
    for projection, histories in history_groups(logbook):
        projection.project(logbook, histories)


class Known(NamedTuple):
    """What is known of an entry that is in a logbook."""

    digest: str
    seq: int


def _known_entries(drafts: Iterable[Draft]) -> dict[uuid.UUID, Known]:
    ids = [draft.id for draft in drafts]
    known: dict[uuid.UUID, Known] = {}
    for start in range(0, len(ids), ROWS_AT_ONCE):
        rows = Entry.objects.filter(pk__in=ids[start : start + ROWS_AT_ONCE])
        for entry_id, digest, seq in rows.values_list("pk", "digest", "seq"):
            known[entry_id] = Known(digest, seq)
    return known


def _families_of(drafts: Iterable[Draft], logbook: Logbook) -> dict[uuid.UUID, str]:
    ids = list({draft.object_id for draft in drafts})
    families: dict[uuid.UUID, str] = {}
    for start in range(0, len(ids), ROWS_AT_ONCE):
        rows = logbook.entries.filter(object_id__in=ids[start : start + ROWS_AT_ONCE])
        for object_id, kind in rows.values_list("object_id", "kind"):
            families[object_id] = kinds.projection_of(kind).name
    return families


def _objects_elsewhere(drafts: Iterable[Draft], logbook: Logbook) -> set[uuid.UUID]:
    """Return the objects of which another logbook speaks already."""
    ids = list({draft.object_id for draft in drafts})
    others = Logbook.objects.exclude(pk=logbook.pk).values("pk")
    found: set[uuid.UUID] = set()
    for start in range(0, len(ids), ROWS_AT_ONCE):
        rows = Entry.objects.filter(
            logbook__in=others, object_id__in=ids[start : start + ROWS_AT_ONCE]
        )
        found.update(rows.values_list("object_id", flat=True))
    return found


def _refuse_object_elsewhere(draft: Draft, elsewhere: set[uuid.UUID]) -> None:
    """Keep one logbook from speaking of another's object: its rows would be projected anew."""
    if draft.object_id in elsewhere:
        raise InvalidInput(
            f"Object {draft.object_id} belongs to another logbook; a new object needs a new id.",
            field="object_id",
        )


def _places_on_device(drafts: Iterable[Draft], writer: Writer) -> dict[int, uuid.UUID]:
    """Return which entries hold the numbers that the writer's device gave to these drafts."""
    numbers = [draft.device_seq for draft in drafts if draft.device_seq is not None]
    held: dict[int, uuid.UUID] = {}
    for start in range(0, len(numbers), ROWS_AT_ONCE):
        rows = Entry.objects.filter(
            device=writer.device, device_seq__in=numbers[start : start + ROWS_AT_ONCE]
        )
        for number, entry_id in rows.values_list("device_seq", "pk"):
            if number is not None:
                held[number] = entry_id
    return held


def _refuse_used_place(draft: Draft, places: dict[int, uuid.UUID]) -> None:
    if draft.device_seq is not None and places.setdefault(draft.device_seq, draft.id) != draft.id:
        raise InvalidInput(
            f"device_seq is {draft.device_seq}, which this device gave to another entry.",
            field="device_seq",
        )


def _refuse_other_family(draft: Draft, families: dict[uuid.UUID, str]) -> None:
    family = kinds.projection_of(draft.kind).name
    if families.setdefault(draft.object_id, family) != family:
        raise InvalidInput(
            f"Object {draft.object_id} stands for one {families[draft.object_id]}; "
            f"an entry of kind {draft.kind!r} cannot speak of it.",
            field="object_id",
        )


def _last_seq(logbook: Logbook) -> int:
    last = logbook.entries.order_by("-seq").values_list("seq", flat=True).first()
    return last or 0


def _entry_of(draft: Draft, *, logbook: Logbook, writer: Writer, received_at: datetime) -> Entry:
    body = canonical_bytes(draft.statement())
    return Entry(
        id=draft.id,
        logbook=logbook,
        object_id=draft.object_id,
        kind=draft.kind,
        kind_version=draft.kind_version,
        body=body,
        digest=digest_of(body),
        observed_by=draft.observed_by,
        recorded_by=draft.recorded_by or draft.observed_by,
        carried_by=writer.name,
        device=writer.device,
        device_seq=draft.device_seq,
        made_at=draft.made_at,
        received_at=received_at,
    )


def _refuse_another_statement(draft: Draft, digest: str, known: dict[uuid.UUID, Known]) -> None:
    if draft.id in known and known[draft.id].digest != digest:
        raise InvalidInput(
            f"Entry {draft.id} is already in a logbook and says something else; "
            "a new statement needs a new id.",
            field="id",
        )


def _refuse_unknown_parents(
    draft: Draft, new: dict[uuid.UUID, tuple[Entry, tuple[uuid.UUID, ...]]]
) -> None:
    if not draft.parents and draft.kind in kinds.projection_of(draft.kind).replacing:
        raise InvalidInput(
            f"parents is empty; an entry of kind {draft.kind!r} names the entry that it answers.",
            field="parents",
        )
    missing = [
        parent
        for parent in draft.parents
        if parent not in new or new[parent][0].object_id != draft.object_id
    ]
    if not missing:
        return
    there = set(
        Entry.objects.filter(pk__in=missing, object_id=draft.object_id).values_list("pk", flat=True)
    )
    for parent in missing:
        if parent not in there:
            raise InvalidInput(
                f"Entry {parent}, which this one replaces, is not an entry of object "
                f"{draft.object_id}.",
                field="parents",
            )


def _write(rows: Iterable[tuple[Entry, tuple[uuid.UUID, ...]]]) -> None:
    pairs = list(rows)
    Entry.objects.bulk_create([entry for entry, _ in pairs], batch_size=ROWS_AT_ONCE)
    EntryParent.objects.bulk_create(
        [
            EntryParent(entry=entry, parent_id=parent)
            for entry, parents in pairs
            for parent in parents
        ],
        batch_size=ROWS_AT_ONCE,
    )


def _project(logbook: Logbook, object_ids: set[uuid.UUID]) -> set[uuid.UUID]:
    conflicts: set[uuid.UUID] = set()
    for projection, histories in histories_of(logbook, object_ids):
        projection.project(logbook, histories)
        conflicts |= {history.object_id for history in histories if history.conflict}
    return conflicts


def _with_place(
    receipt: Receipt,
    new: dict[uuid.UUID, tuple[Entry, tuple[uuid.UUID, ...]]],
    conflicts: set[uuid.UUID],
) -> Receipt:
    if receipt.status == STORED and receipt.id and new[receipt.id][0].object_id in conflicts:
        return Receipt(receipt.id, STORED_AS_CONFLICT, seq=receipt.seq, digest=receipt.digest)
    return receipt


def raw_of(draft: Draft) -> bytes:
    """Return what is kept of a draft that cannot become an entry: its statement and number."""
    said = {**draft.statement(), "device_seq": draft.device_seq}
    return json.dumps(said, ensure_ascii=False, sort_keys=True, default=str).encode(
        "utf-8", "surrogatepass"
    )


def keep_draft_aside(draft: Draft, reason: str, *, logbook: Logbook, writer: Writer) -> SetAside:
    """Keep a draft that cannot become an entry."""
    return keep_aside(
        raw_of(draft),
        reason,
        logbook=logbook,
        writer=writer,
        claimed_id=draft.id,
        device_seq=draft.device_seq,
    )


def keep_aside(
    raw: bytes,
    reason: str,
    *,
    logbook: Logbook,
    writer: Writer,
    claimed_id: uuid.UUID | None,
    device_seq: int | None,
) -> SetAside:
    """Keep what a device sent and no entry could be made of; the same is kept once."""
    known = {"logbook": logbook, "device": writer.device, "raw_digest": digest_of(raw)}
    kept = SetAside.objects.filter(**known).first()
    return kept or SetAside.objects.create(
        **known,
        raw=raw,
        # The words may quote what came: a database takes no half characters and no NUL.
        reason=reason.encode("utf-8", "replace").decode().replace("\0", "?"),
        claimed_id=claimed_id,
        device_seq=device_seq,
        carried_by=writer.name,
        received_at=moment(),
    )


def _at(position: int, count: int, error: PontataError) -> PontataError:
    if count == 1:
        return error
    where = f"entries[{position}]"
    field = f"{where}.{error.field}" if error.field else where
    return type(error)(f"Entry {position + 1} of {count}: {error.message}", field=field)
