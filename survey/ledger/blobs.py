"""Where bytes are kept by their content: written, fsynced, renamed, then acknowledged."""

import os
import tempfile
from pathlib import Path

from django.core.files.storage import default_storage

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.canonical import digest_of
from survey.ledger.models import Blob, BlobArrival


def keep_blob(data: bytes, *, mime: str, wall: Wall) -> Blob:
    """Keep bytes under their SHA-256 for a wall and return the row; the same are kept once."""
    digest = digest_of(data)
    blob = Blob.objects.filter(pk=digest).first()
    if blob is None:
        _write_durably(Path(default_storage.path(_place(digest))), data)
        row = {"size_bytes": len(data), "mime": mime, "received_at": moment()}
        blob = Blob.objects.get_or_create(digest=digest, defaults=row)[0]
    BlobArrival.objects.get_or_create(wall=wall, blob=blob)
    return blob


def has_arrived(digest: str, wall: Wall) -> bool:
    """Say whether somebody handed the bytes of this digest over for the wall."""
    return BlobArrival.objects.filter(wall=wall, blob_id=digest).exists()


def read_blob(digest: str) -> bytes:
    """Return the bytes of a blob; raises NotFound, also where the store lost them."""
    try:
        with default_storage.open(_place(digest)) as file:
            return file.read()
    except FileNotFoundError as error:
        raise NotFound(f"The store has no bytes with digest {digest[:12]}….") from error


def blob_path(digest: str) -> str:
    """Return the path of a blob in the local store, for programs that read files."""
    return default_storage.path(_place(digest))


def _place(digest: str) -> str:
    return f"{digest[:2]}/{digest}"


def _write_durably(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    os.replace(file.name, path)
    if os.name == "posix":  # a folder cannot be opened for fsync on Windows
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
