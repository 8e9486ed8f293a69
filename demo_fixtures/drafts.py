"""How is one statement about the invented wall written as an entry draft? Plain dicts, fixed ids."""

import hashlib
from datetime import UTC, datetime
from uuid import UUID, uuid5

from demo_fixtures.people import NAMES

DEMO_NAMESPACE = UUID("5b1d4f0e-3c0a-5d1e-9a36-193600000001")

Draft = dict[str, object]


def entry_id(made_at: datetime, about: str) -> str:
    """Return a UUIDv7 whose time is that of the statement and whose rest is fixed by `about`."""
    milliseconds = int(made_at.timestamp() * 1000)
    rest = hashlib.sha256(about.encode()).digest()
    number = milliseconds << 80 | int.from_bytes(rest[:10], "big")
    number = number & ~(0xF << 76) | 0x7 << 76
    number = number & ~(0x3 << 62) | 0x2 << 62
    return str(UUID(int=number))


def object_id(about: str) -> str:
    """Return the fixed id of an object that nothing came before."""
    return str(uuid5(DEMO_NAMESPACE, about))


def continuation_id(survey_id: UUID, prior: str) -> str:
    """Return the id of the only continuation of a prior object in a survey."""
    return str(uuid5(survey_id, f"continuation:{prior}"))


def draft(
    kind: str,
    body: dict[str, object],
    *,
    about: str,
    subject: str,
    made_at: datetime,
    observer: str,
    recorder: str | None = None,
    parents: tuple[str, ...] = (),
) -> Draft:
    """Return one entry draft; `subject` is the object's id, names are usernames."""
    moment = made_at.astimezone(UTC).replace(microsecond=0)
    return {
        "id": entry_id(moment, about),
        "object_id": subject,
        "kind": kind,
        "kind_version": 1,
        "body": {key: value for key, value in body.items() if value not in (None, "", [], {}, ())},
        "parents": list(parents),
        "made_at": moment.isoformat().replace("+00:00", "Z"),
        "observed_by": NAMES.get(observer, observer),
        "recorded_by": NAMES.get(recorder or observer, recorder or observer),
    }
