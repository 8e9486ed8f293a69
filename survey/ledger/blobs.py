"""Where bytes are kept by their content: written, fsynced, renamed, then acknowledged."""

import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from django.core.files.storage import default_storage

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.canonical import digest_of
from survey.ledger.models import Blob, BlobArrival

COPIED_AT_ONCE_BYTES = 1024 * 1024


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


def keep_file(path: Path, *, digest: str, mime: str, wall: Wall) -> Blob:
    """Keep a file's bytes, never all of them in memory, under the digest computed from them."""
    blob = Blob.objects.filter(pk=digest).first()
    if blob is None:
        _copy_durably(path, Path(default_storage.path(_place(digest))))
        row = {"size_bytes": path.stat().st_size, "mime": mime, "received_at": moment()}
        blob = Blob.objects.get_or_create(digest=digest, defaults=row)[0]
    BlobArrival.objects.get_or_create(wall=wall, blob=blob)
    return blob


def digest_of_file(path: Path) -> str:
    """Return the SHA-256 of a file's bytes in lower-case hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


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
    with _durably(path) as file:
        file.write(data)


def _copy_durably(source: Path, path: Path) -> None:
    with source.open("rb") as read, _durably(path) as file:
        shutil.copyfileobj(read, file, COPIED_AT_ONCE_BYTES)


@contextmanager
def _durably(path: Path) -> Iterator[IO[bytes]]:
    """Yield a file that stands under the path, whole and on the disk, once it was written."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:
        try:
            yield file
        except BaseException:
            os.unlink(file.name)
            raise
        file.flush()
        os.fsync(file.fileno())
    os.replace(file.name, path)
    if os.name == "posix":  # a folder cannot be opened for fsync on Windows
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
