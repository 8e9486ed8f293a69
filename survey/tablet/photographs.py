"""How do a tablet's photographs arrive: in parts, at any offset where the last one ended?

Bytes are kept as they come, whatever they are; the digest is computed anew from what lies here.
Parts of one tablet wait in a folder of its own, so that no other wall sees or continues them.
"""

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import transaction

from gridmap.errors import Clash, InvalidInput
from survey.ledger.blobs import has_arrived, keep_blob
from survey.ledger.models import Blob
from survey.photos.projection import show_arrived
from survey.tablet.models import Tablet

LARGEST_PART_BYTES = 8 * 1024 * 1024
LARGEST_PHOTOGRAPH_BYTES = 200 * 1024 * 1024
READ_AT_ONCE_BYTES = 1024 * 1024
LONGEST_MIME = 80


@dataclass(frozen=True)
class Held:
    """How much of a photograph the server holds; `digest` is what it computed from the whole."""

    digest: str
    held: int
    complete: bool


class WrongOffset(Clash):
    """A part does not begin where the bytes held end; `held` says where they do."""

    def __init__(self, held: int) -> None:
        super().__init__(f"{held:,} bytes are held; go on from there.", field="offset")
        self.held = held


def held_of(tablet: Tablet, digest: str) -> Held:
    """Return how much of a photograph is held for the tablet's wall."""
    if has_arrived(digest, tablet.wall):
        return Held(digest, Blob.objects.get(pk=digest).size_bytes, True)
    part = _part_file(tablet, digest)
    return Held(digest, part.stat().st_size if part.exists() else 0, False)


def take_part(
    tablet: Tablet, digest: str, *, offset: int, total: int, data: bytes, mime: str
) -> Held:
    """Take one part of a photograph; the whole is kept once its own digest is the one named.

    Raises WrongOffset where bytes would be missing or overwritten, InvalidInput for sizes that
    cannot be. A whole of another digest is thrown away and told by that digest.
    """
    _check_sizes(offset, total, data)
    known = held_of(tablet, digest)
    if known.complete:
        return known
    part = _part_file(tablet, digest)
    if known.held == total:
        # All of it came, and the server was stopped or busy before it could be kept.
        return _finish(tablet, digest, part, mime)
    if offset != known.held:
        raise WrongOffset(known.held)
    part.parent.mkdir(parents=True, exist_ok=True)
    with part.open("r+b" if part.exists() else "xb") as file:
        file.seek(offset)
        file.write(data)
        file.truncate()
        file.flush()
        os.fsync(file.fileno())
    if offset + len(data) < total:
        return Held("", offset + len(data), False)
    return _finish(tablet, digest, part, mime)


def _check_sizes(offset: int, total: int, data: bytes) -> None:
    if not 0 < total <= LARGEST_PHOTOGRAPH_BYTES:
        raise InvalidInput(
            f"total is {total:,} bytes; a photograph has 1 to {LARGEST_PHOTOGRAPH_BYTES:,}.",
            field="total",
        )
    if offset < 0 or offset + len(data) > total:
        raise InvalidInput(
            f"This part ends at {offset + len(data):,} bytes, beyond the whole of {total:,}.",
            field="offset",
        )
    if not data:
        raise InvalidInput("This part is empty.", field="data")


def _finish(tablet: Tablet, digest: str, part: Path, mime: str) -> Held:
    found = _digest_of_file(part)
    if found != digest:
        part.unlink()
        return Held(found, 0, False)
    data = part.read_bytes()
    with transaction.atomic():
        keep_blob(data, mime=mime[:LONGEST_MIME] or "application/octet-stream", wall=tablet.wall)
        show_arrived(digest, tablet.wall)
    part.unlink(missing_ok=True)
    return Held(digest, len(data), True)


def _digest_of_file(path: Path) -> str:
    found = hashlib.sha256()
    with path.open("rb") as file:
        while piece := file.read(READ_AT_ONCE_BYTES):
            found.update(piece)
    return found.hexdigest()


def _part_file(tablet: Tablet, digest: str) -> Path:
    return settings.DATA_FOLDER / "arriving" / str(tablet.pk) / digest
