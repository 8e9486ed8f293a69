"""What an entry is before it is one: the draft, who writes it, and the receipt for it."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import uuid_utils

from gridmap.errors import InvalidInput

LONGEST_NAME = 150
MOST_PARENTS = 32
EARLIEST_YEAR, LATEST_YEAR = 1800, 2200  # a slip of the pen, and room for old records


@dataclass(frozen=True)
class Draft:
    """A statement that waits at the door of a logbook."""

    kind: str
    body: Mapping[str, Any]
    object_id: uuid.UUID
    made_at: datetime
    observed_by: str
    id: uuid.UUID = field(default_factory=lambda: new_id())
    kind_version: int = 1
    parents: tuple[uuid.UUID, ...] = ()
    recorded_by: str = ""
    device_seq: int | None = None

    def statement(self) -> dict[str, Any]:
        """Return what is digested: the body with who, when and after what."""
        return {
            "body": dict(self.body),
            "id": str(self.id),
            "kind": self.kind,
            "kind_version": self.kind_version,
            "made_at": self.made_at.astimezone(UTC).isoformat().replace("+00:00", "Z"),
            "object_id": str(self.object_id),
            "observed_by": self.observed_by,
            "parents": sorted(str(parent) for parent in self.parents),
            "recorded_by": self.recorded_by,
        }


@dataclass(frozen=True)
class Writer:
    """Who carries drafts to the door, on which device, and whether refusals are set aside.

    A desk or an import is told at once what is wrong and nothing is stored. An enrolled tablet
    is never refused for content: what is invalid is kept raw and shown to the lead.
    """

    name: str
    device: str
    sets_aside: bool = False


@dataclass(frozen=True)
class Receipt:
    """What became of one draft: stored / already there / stored as conflict / set aside."""

    id: uuid.UUID | None
    status: str
    seq: int | None = None
    digest: str = ""
    message: str = ""

    def to_json(self) -> dict[str, Any]:
        """Return the receipt for the API."""
        return {
            "id": str(self.id) if self.id else None,
            "status": self.status,
            "seq": self.seq,
            "digest": self.digest,
            "message": self.message,
        }


STORED, ALREADY_THERE = "stored", "already there"
STORED_AS_CONFLICT, SET_ASIDE = "stored as conflict", "set aside"


def new_id() -> uuid.UUID:
    """Return a fresh UUIDv7 (RFC 9562): its order follows the time it was made."""
    return uuid.UUID(bytes=uuid_utils.uuid7().bytes)


def read_draft(value: Any, *, where: str, observer: str, recorder: str) -> Draft:
    """Read one draft of an API body; raises InvalidInput naming field, value and limit."""
    if not isinstance(value, Mapping):
        raise InvalidInput(f"{where} must be an object, not {type(value).__name__}.", field=where)
    body = value.get("body")
    if not isinstance(body, Mapping):
        raise InvalidInput(f"{where}.body must be an object.", field=f"{where}.body")
    return Draft(
        id=read_uuid(value.get("id"), field=f"{where}.id"),
        object_id=read_uuid(value.get("object_id"), field=f"{where}.object_id"),
        kind=_read_text(value.get("kind"), field=f"{where}.kind"),
        kind_version=_read_count(value.get("kind_version", 1), field=f"{where}.kind_version"),
        body=body,
        parents=_read_parents(value.get("parents", []), field=f"{where}.parents"),
        made_at=read_moment(value.get("made_at"), field=f"{where}.made_at"),
        observed_by=_read_text(value.get("observed_by") or observer, field=f"{where}.observed_by"),
        recorded_by=_read_text(value.get("recorded_by") or recorder, field=f"{where}.recorded_by"),
        device_seq=(
            None
            if value.get("device_seq") is None
            else _read_count(value["device_seq"], field=f"{where}.device_seq")
        ),
    )


def read_uuid(value: Any, *, field: str) -> uuid.UUID:
    """Read a UUID in its usual text form; raises InvalidInput."""
    try:
        return uuid.UUID(str(value))
    except ValueError as error:
        raise InvalidInput(
            f"{field} is {_shown(value)}; it must be a UUID.", field=field
        ) from error


def _read_text(value: Any, *, field: str) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST_NAME:
        raise InvalidInput(
            f"{field} is {_shown(value)}; it must be text of 1 to {LONGEST_NAME} characters.",
            field=field,
        )
    return value.strip()


def _read_count(value: Any, *, field: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value < 2**53:
        raise InvalidInput(
            f"{field} is {_shown(value)}; it must be a whole number from 0.", field=field
        )
    return value


def _read_parents(value: Any, *, field: str) -> tuple[uuid.UUID, ...]:
    if not isinstance(value, Sequence) or isinstance(value, str) or len(value) > MOST_PARENTS:
        raise InvalidInput(
            f"{field} must be a list of at most {MOST_PARENTS} entry ids.", field=field
        )
    return tuple(read_uuid(item, field=field) for item in value)


def read_moment(value: Any, *, field: str) -> datetime:
    """Read a date and time with its zone, within living memory of walls; raises InvalidInput."""
    try:
        moment = datetime.fromisoformat(value)
    except (TypeError, ValueError) as error:
        raise InvalidInput(
            f"{field} is {_shown(value)}; it must be a date and time such as 2026-11-18T09:00:00Z.",
            field=field,
        ) from error
    if moment.tzinfo is None:
        raise InvalidInput(f"{field} is {_shown(value)}; the time zone is missing.", field=field)
    if not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
        raise InvalidInput(
            f"{field} is {_shown(value)}; the year must lie between {EARLIEST_YEAR} and "
            f"{LATEST_YEAR}.",
            field=field,
        )
    return moment


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "…"
