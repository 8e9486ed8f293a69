"""How statements of an enrolled device reach a logbook: none is ever refused for its content.

What is invalid is kept raw beside the logbook with the reason, and the device is told so. The
same batch sent again changes nothing.
"""

import json
import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from django.db import OperationalError, transaction

from gridmap.errors import Clash, InvalidInput, PontataError
from survey.clock import moment
from survey.ledger.canonical import canonical_bytes, digest_of
from survey.ledger.drafts import (
    ALREADY_THERE,
    SET_ASIDE,
    STORED,
    STORED_AS_CONFLICT,
    Draft,
    Receipt,
    Writer,
    read_draft,
)
from survey.ledger.models import Entry, Logbook, SetAside, SetAsideSettled
from survey.ledger.services import append, keep_aside, keep_draft_aside, raw_of

Refuse = Callable[[Draft], None]
Key = tuple[uuid.UUID, str]  # an entry's id and the digest of its statement
STATED = (
    "body",
    "id",
    "kind",
    "kind_version",
    "made_at",
    "object_id",
    "observed_by",
    "parents",
    "recorded_by",
)


@dataclass(frozen=True)
class Sent:
    """One thing that a device sent: a draft where it reads as one, else why not, and its bytes.

    `digest` is that of the statement as it came, empty where it has no canonical form: by it the
    device knows that its own words are held, also where they are set aside.
    """

    raw: bytes
    draft: Draft | None
    reason: str
    digest: str = ""

    @cached_property
    def raw_digest(self) -> str:
        return digest_of(self.raw)


def read_sent(value: Any, *, sender: str) -> Sent:
    """Read one thing of a batch; never raises."""
    raw = json.dumps(value, ensure_ascii=False, sort_keys=True).encode("utf-8", "surrogatepass")
    try:
        draft = read_draft(value, where="entry", observer=sender, recorder=sender)
        digest = digest_of(canonical_bytes(draft.statement()))
    except PontataError as error:
        return Sent(raw, None, error.message, _digest_as_sent(value))
    claimed = value.get("digest")
    if claimed != digest:
        reason = (
            f"What came has the digest {digest[:12]}…, not the {str(claimed)[:12]}… that the "
            "device gave: something was changed on the way, or read otherwise."
        )
        return Sent(raw, None, reason, digest)
    return Sent(raw_of(draft), draft, "", digest)


def _digest_as_sent(value: Any) -> str:
    """Return the digest of what states something without being a draft, empty where it has none."""
    if not isinstance(value, Mapping):
        return ""
    try:
        return digest_of(canonical_bytes({key: value[key] for key in STATED if key in value}))
    except InvalidInput:
        return ""


@transaction.atomic
def take_from_device(
    values: Sequence[Any], *, logbook: Logbook, writer: Writer, refuse: Refuse | None = None
) -> list[Receipt]:
    """Take a batch into the logbook; receipts come in the order sent, and none is an error.

    `refuse` raises for what the caller does not let in; that is set aside with its words. Only a
    database that cannot work now (OperationalError) goes up, with nothing stored.
    """
    locked = Logbook.objects.select_for_update().get(pk=logbook.pk)
    sent = [read_sent(value, sender=writer.name) for value in values]
    aside = _aside_already(sent, locked, writer)
    fresh = [one for one in sent if one.raw_digest not in aside]
    taken = _append_all(_drafts_once(fresh), logbook=locked, writer=writer, refuse=refuse)
    receipts = []
    for one, value in zip(sent, values, strict=True):
        kept = aside.get(one.raw_digest)
        if kept is None and one.draft is not None:
            key = (one.draft.id, one.digest)
            receipts.append(replace(taken[key], digest=one.digest))
            taken[key] = _said_again(taken[key])
            continue
        kept = kept or keep_aside(
            one.raw,
            one.reason,
            logbook=locked,
            writer=writer,
            claimed_id=claimed_id_of(value),
            device_seq=device_seq_of(value),
        )
        receipts.append(
            Receipt(claimed_id_of(value), SET_ASIDE, digest=one.digest, message=kept.reason)
        )
    return receipts


def _said_again(receipt: Receipt) -> Receipt:
    """Return the receipt for what the same batch says twice."""
    stored = receipt.status in {STORED, STORED_AS_CONFLICT}
    return replace(receipt, status=ALREADY_THERE) if stored else receipt


def _drafts_once(sent: Sequence[Sent]) -> dict[Key, Draft]:
    """Return the drafts of a batch in order; of what it repeats the first one stands for all."""
    once: dict[Key, Draft] = {}
    for one in sent:
        if one.draft is not None:
            once.setdefault((one.draft.id, one.digest), one.draft)
    return once


def _append_all(
    keyed: Mapping[Key, Draft], *, logbook: Logbook, writer: Writer, refuse: Refuse | None
) -> dict[Key, Receipt]:
    """Append a batch at once, or one by one where something in it breaks the program."""
    aside = replace(writer, sets_aside=True)
    drafts = list(keyed.values())
    try:
        with transaction.atomic():
            receipts = append(drafts, logbook=logbook, writer=aside, refuse=refuse)
    except OperationalError:
        raise
    except Exception:  # noqa: BLE001  whatever breaks, the rest of the batch is taken
        receipts = [
            _append_one(draft, logbook=logbook, writer=aside, refuse=refuse) for draft in drafts
        ]
    return dict(zip(keyed, receipts, strict=True))


def _append_one(
    draft: Draft, *, logbook: Logbook, writer: Writer, refuse: Refuse | None
) -> Receipt:
    try:
        with transaction.atomic():
            return append([draft], logbook=logbook, writer=writer, refuse=refuse)[0]
    except OperationalError:
        raise
    except Exception as error:  # noqa: BLE001  an entry of a tablet is never refused
        reason = f"The program could not take this entry: {type(error).__name__}: {error}"
        keep_draft_aside(draft, reason, logbook=logbook, writer=writer)
        return Receipt(draft.id, SET_ASIDE, message=reason)


def _aside_already(sent: Sequence[Sent], logbook: Logbook, writer: Writer) -> dict[str, SetAside]:
    """Return what of this batch was set aside before and has not been taken since, by digest."""
    digests = {one.raw_digest for one in sent}
    rows = SetAside.objects.filter(
        logbook=logbook, device=writer.device, raw_digest__in=digests
    ).exclude(settled__entry__isnull=False)
    return {row.raw_digest: row for row in rows}


def claimed_id_of(value: Any) -> uuid.UUID | None:
    """Return the id under which a thing was sent, None where it does not read."""
    try:
        return uuid.UUID(str(value.get("id"))) if isinstance(value, Mapping) else None
    except ValueError:
        return None


def device_seq_of(value: Any) -> int | None:
    """Return the number that the device gave a thing, None where it does not read."""
    number = value.get("device_seq") if isinstance(value, Mapping) else None
    whole = isinstance(number, int) and not isinstance(number, bool)
    return number if number is not None and whole and 0 <= number < 2**53 else None


@transaction.atomic
def take_set_aside(kept: SetAside, *, by: str, reason: str = "") -> Receipt:
    """Take what was set aside into its logbook after all, as its device sent it.

    Raises Clash when somebody has settled it, InvalidInput when it still cannot be an entry.
    """
    Logbook.objects.select_for_update().get(pk=kept.logbook_id)
    _refuse_settled(kept)
    value = json.loads(bytes(kept.raw).decode("utf-8", "surrogatepass"))
    draft = read_draft(value, where="entry", observer=kept.carried_by, recorder=kept.carried_by)
    writer = Writer(name=kept.carried_by or by, device=kept.device)
    receipt = append([draft], logbook=kept.logbook, writer=writer)[0]
    SetAsideSettled.objects.create(
        set_aside=kept,
        entry=Entry.objects.get(pk=draft.id),
        settled_by=by,
        settled_at=moment(),
        reason=reason,
    )
    return receipt


@transaction.atomic
def leave_set_aside(kept: SetAside, *, by: str, reason: str) -> None:
    """State that what was set aside stays out of the record, and why; it is kept all the same."""
    Logbook.objects.select_for_update().get(pk=kept.logbook_id)
    _refuse_settled(kept)
    if not reason.strip():
        raise InvalidInput("Say why it stays out of the record.", field="reason")
    SetAsideSettled.objects.create(
        set_aside=kept, entry=None, settled_by=by, settled_at=moment(), reason=reason.strip()
    )


def _refuse_settled(kept: SetAside) -> None:
    settled = SetAsideSettled.objects.filter(set_aside=kept).first()
    if settled is not None:
        raise Clash(f"{settled.settled_by} has settled this already.")


def received_to(device: str, *, known: int = 0) -> int:
    """Return the highest n such that everything that the device numbered 1 to n is held."""
    entries = Entry.objects.filter(device=device, device_seq__gt=known)
    aside = SetAside.objects.filter(device=device, device_seq__gt=known)
    held = {
        *entries.values_list("device_seq", flat=True),
        *aside.values_list("device_seq", flat=True),
    }
    while known + 1 in held:
        known += 1
    return known
