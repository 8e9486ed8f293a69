"""Which bytes stand for a statement, and what their digest is. No Django, no I/O."""

import hashlib
import re
import uuid
from collections.abc import Mapping
from typing import Any

import rfc8785

from gridmap.errors import InvalidInput

# The character NUL, not a backslash followed by the letters u0000.
_NUL = re.compile(rb"(?<!\\)(?:\\\\)*\\u0000")


def canonical_bytes(statement: Mapping[str, Any]) -> bytes:
    """Return the canonical JSON of a statement (RFC 8785).

    Raises InvalidInput for what has no canonical form: NaN, infinities, integers from 2^53,
    lone surrogates, keys that are not text. The character NUL is refused too: PostgreSQL keeps
    no text with it, and a statement must read the same on every database.
    """
    try:
        data = rfc8785.dumps(dict(statement))
    except (rfc8785.CanonicalizationError, UnicodeEncodeError, RecursionError) as error:
        raise InvalidInput(
            f"This statement has no canonical form: {error}.", field="body"
        ) from error
    if _NUL.search(data):
        raise InvalidInput("This statement holds the character NUL; take it out.", field="body")
    return data


def digest_of(data: bytes) -> str:
    """Return the SHA-256 of the bytes as 64 lower-case hexadecimal digits (FIPS 180-4)."""
    return hashlib.sha256(data).hexdigest()


def continuation_id(survey_id: uuid.UUID, prior_object_id: uuid.UUID) -> uuid.UUID:
    """Return the object id of the only continuation of a prior item in a survey (UUIDv5)."""
    return uuid.uuid5(survey_id, f"continuation:{prior_object_id}")


def examination_id(survey_id: uuid.UUID, layout: int, cell: str, mode: str) -> uuid.UUID:
    """Return the object id under which every examination of a cell and mode meets (UUIDv5)."""
    return uuid.uuid5(survey_id, f"examination:{layout}:{cell}:{mode}")
