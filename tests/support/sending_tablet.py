"""What has a tablet said, and what does it send of it? A model of its side of the contract.

It keeps what it said until it is told that the server holds it, and gives it its number. It is no
client: it decides nothing by itself and knows no timer, no disk and no network.
"""

import hashlib
import json
import uuid
from dataclasses import dataclass, field
from typing import Any

STATEMENT_KEYS = (
    "body", "id", "kind", "kind_version", "made_at", "object_id", "observed_by", "parents",
    "recorded_by",
)  # fmt: skip
MADE_AT = "2026-11-18T09:00:00Z"
# What a broken tablet may send in the place of an entry, or do to one.
NO_ENTRY = ("words", 7, None, [], {}, {"id": "no-uuid"}, {"body": {}}, True)
HARM = ("digest", "kind", "body", "parent", "number", "id", "nan", "nul", "surrogate", "made_at")


def digest_of_statement(value: dict[str, Any]) -> str:
    """Digest the canonical text; for plain ASCII keys and short numbers this is RFC 8785."""
    statement = {key: as_ecmascript(value[key]) for key in STATEMENT_KEYS}
    text = json.dumps(statement, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def as_ecmascript(value: Any) -> Any:
    """Write whole numbers without a fraction, as RFC 8785, section 3.2.2.3, has it: 10, not 10.0."""
    if isinstance(value, dict):
        return {key: as_ecmascript(part) for key, part in value.items()}
    if isinstance(value, list):
        return [as_ecmascript(part) for part in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def sealed(value: dict[str, Any], device_seq: int) -> dict[str, Any]:
    """Return a statement as it is sent: with its number and its digest."""
    return {**value, "device_seq": device_seq, "digest": digest_of_statement(value)}


@dataclass
class Said:
    """One thing that the tablet said: as it sends it, and what it was told about it."""

    value: Any
    status: str = ""  # empty: not acknowledged in this epoch

    @property
    def id(self) -> str | None:
        return self.value.get("id") if isinstance(self.value, dict) else None


@dataclass
class SendingTablet:
    """One enrolled tablet: what it said, what it pulled, and in which epoch it believes to be."""

    id: str
    epoch: str
    said: list[Said] = field(default_factory=list)
    pulled: dict[int, dict[str, Any]] = field(default_factory=dict)
    delivered: set[int] = field(default_factory=set)  # numbers that reached the server
    name: str = "Tomas Sedge"
    made: int = 0

    @property
    def device(self) -> str:
        return f"tablet {self.id}"

    @property
    def unsent(self) -> list[Said]:
        return [said for said in self.said if not said.status]

    def next_number(self) -> int:
        return len(self.said) + 1

    def say(self, kind, body, *, object_id=None, parents=(), **changes) -> dict[str, Any]:
        """Keep a statement of the tablet under its next number."""
        value = {
            "body": body,
            "id": self._new_id(),
            "kind": kind,
            "kind_version": 1,
            "made_at": MADE_AT,
            "object_id": str(object_id or self._new_id()),
            "observed_by": self.name,
            "parents": sorted(str(parent) for parent in parents),
            "recorded_by": self.name,
            **changes,
        }
        return self.keep(sealed(value, self.next_number()))

    def _new_id(self) -> str:
        """Ids follow from the tablet's id, so that a run can be told again."""
        self.made += 1
        return str(uuid.uuid5(uuid.UUID(self.id), str(self.made)))

    def keep(self, value: Any) -> Any:
        """Keep anything at all as the next thing that is sent."""
        self.said.append(Said(value))
        return value

    def heads_of(self, object_id: str) -> list[str]:
        """Return the entries of an object that the tablet knows and that none it knows replaces."""
        known = [value for value in self._known() if value["object_id"] == object_id]
        replaced = {parent for value in known for parent in value["parents"]}
        return sorted({value["id"] for value in known} - replaced)

    def objects_of(self, kind: str) -> list[str]:
        """Return the objects of that kind which the tablet has heard of, in order."""
        return list(dict.fromkeys(v["object_id"] for v in self._known() if v["kind"] == kind))

    def _known(self):
        own = (said.value for said in self.said if said.status != "set aside")
        for value in (*own, *self.pulled.values()):
            if (
                isinstance(value, dict)
                and isinstance(value.get("id"), str)
                and "object_id" in value
            ):
                yield value

    def told(self, sent: list[Said], receipts: list[dict[str, Any]]) -> None:
        """Take the receipts of a batch that was answered."""
        for said, receipt in zip(sent, receipts, strict=True):
            said.status = receipt["status"]

    def begin_epoch(self, epoch: str) -> None:
        """Another installation answers: everything still held is unsent, the pull starts anew."""
        self.epoch = epoch
        self.pulled.clear()
        for said in self.said:
            said.status = ""


def harmed(value, harm):
    """Return an entry with one thing wrong, under its own number unless that is the harm."""
    body = value["body"]
    changes = {
        "digest": {"digest": "0" * 64},
        "kind": {"kind": "poem"},
        "body": {"body": {**body, "condition": 9}},
        "parent": {"parents": [str(uuid.uuid4())]},
        "number": {"device_seq": 1},
        "id": {"id": 12},
        "nan": {"body": {**body, "boundary_error_in": float("nan")}},
        "nul": {"body": {**body, "note": "a\0b"}},
        "surrogate": {"body": {**body, "note": "\ud800"}},
        "made_at": {"made_at": "yesterday"},
    }
    wrong = {**value, **changes[harm]}
    if harm in {"kind", "body", "parent"}:
        wrong["digest"] = digest_of_statement(wrong)
    return wrong


def number_of(value):
    number = value.get("device_seq") if isinstance(value, dict) else None
    return number if isinstance(number, int) and not isinstance(number, bool) else None


def gapless(numbers):
    highest = 0
    while highest + 1 in numbers:
        highest += 1
    return highest
