"""What does the file "download my work" of a tablet hold, and can it be taken in at this desk?

The envelope is checked here and refused in words. What the entries say is not: they go through the
same door as a push, which sets aside what it cannot take.
"""

import base64
import binascii
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Protocol
from uuid import UUID

from gridmap.errors import InvalidInput
from survey.ledger.canonical import digest_of
from survey.walls.files import BYTES_PER_MB, read_json_text

FORMAT, VERSION = "pontata-work", 1
LARGEST_FILE_BYTES = 256 * BYTES_PER_MB
MOST_ENTRIES = 50_000
MOST_PHOTOGRAPHS = 1_000
MOST_DRAFTS = 1_000
MIMES = frozenset({"image/jpeg", "image/png", "image/webp", "image/heic", "image/heif"})
DIGITS = frozenset("0123456789abcdef")


@dataclass(frozen=True)
class WorkFile:
    """A work file whose envelope is sound: the device it comes from, entries, photographs."""

    device: UUID
    wall: str
    survey: str
    made_at: str
    entries: list[Any]
    photographs: list[Mapping[str, Any]]
    drafts: int  # outlines that were not put down: no statements, so they stay in the file


@dataclass(frozen=True)
class FilePhotograph:
    """A photograph out of a work file; `wrong` says why its bytes are not to be had."""

    digest: str
    mime: str
    data: bytes
    wrong: str = ""


class Readable(Protocol):
    """What can be read in bytes: an open file, or one that a browser sent."""

    def read(self, size: int, /) -> bytes: ...


def read_work_file(file: Readable, *, name: str) -> WorkFile:
    """Return what a work file holds; raises InvalidInput naming what is wrong with it."""
    data = file.read(LARGEST_FILE_BYTES + 1)
    if len(data) > LARGEST_FILE_BYTES:
        raise _refused(name, f"it is larger than {LARGEST_FILE_BYTES // BYTES_PER_MB} MB.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _refused(
            name,
            f"byte {error.start + 1} is no UTF-8 text, so it is no work file. Take the file that "
            "“Download my work” saves.",
        ) from error
    value = read_json_text(text, name=name)
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        raise _refused(
            name,
            "it is no work file of a tablet. On the tablet choose “Download my work” and take "
            "the file that it saves.",
        )
    if value.get("version") != VERSION:
        raise _refused(
            name,
            f"it is of version {_shown(value.get('version'))}; this program reads version "
            f"{VERSION}. Bring this installation up to date first.",
        )
    return WorkFile(
        device=_device(value.get("device"), name),
        wall=_text(value, "wall", name),
        survey=_text(value, "survey", name),
        made_at=_text(value, "made_at", name),
        entries=_list(value, "entries", MOST_ENTRIES, name),
        photographs=[
            photograph
            for photograph in _list(value, "photographs", MOST_PHOTOGRAPHS, name)
            if isinstance(photograph, Mapping)
        ],
        drafts=len(_list(value, "drafts", MOST_DRAFTS, name)),
    )


def photographs_in(work: WorkFile) -> Iterator[FilePhotograph]:
    """Yield the photographs of a work file one by one, their bytes checked against the digest."""
    for row in work.photographs:
        digest, mime, coded = (row.get(key) for key in ("digest", "mime", "base64"))
        named = digest if isinstance(digest, str) else ""
        kind = mime if isinstance(mime, str) else ""
        if len(named) != 64 or not set(named) <= DIGITS or not isinstance(coded, str):
            yield FilePhotograph(named[:64], kind, b"", "It has no digest or no bytes.")
            continue
        if kind not in MIMES:
            yield FilePhotograph(named, kind, b"", f"Its type {kind[:40]!r} is no photograph's.")
            continue
        try:
            data = base64.b64decode(coded, validate=True)
        except (binascii.Error, ValueError):
            yield FilePhotograph(named, kind, b"", "Its bytes cannot be read from the file.")
            continue
        if digest_of(data) != named:
            yield FilePhotograph(named, kind, b"", "Its bytes are not those that its digest names.")
        else:
            yield FilePhotograph(named, kind, data)


def _refused(name: str, reason: str) -> InvalidInput:
    return InvalidInput(f"{name}: {reason} Nothing was taken in.", field="file")


def _device(value: Any, name: str) -> UUID:
    if value is None:
        raise _refused(name, "it comes from a tablet that was never prepared for a survey.")
    try:
        return UUID(value)
    except (TypeError, ValueError, AttributeError) as error:
        raise _refused(name, f"its device is {_shown(value)}, which is no tablet's id.") from error


def _text(value: Mapping[str, Any], key: str, name: str) -> str:
    text = value.get(key)
    if not isinstance(text, str) or len(text) > 80:
        raise _refused(name, f"its {key} is {_shown(text)}; it must be a short text.")
    return text


def _list(value: Mapping[str, Any], key: str, most: int, name: str) -> list[Any]:
    found = value.get(key, [])
    if not isinstance(found, list) or len(found) > most:
        raise _refused(name, f"its {key} must be a list of at most {most:,}.")
    return found


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:57]}…"
