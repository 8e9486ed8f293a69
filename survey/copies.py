"""How is the whole record copied into a folder, and how does it come back from there?

A copy is the database and every stored file under its digest, with a manifest that is written
last: a folder without one is no finished copy. Nothing is put back before everything is checked.
"""

import hashlib
import json
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.core.files.storage import default_storage
from django.db import DEFAULT_DB_ALIAS, connections

from gridmap.errors import Clash, InvalidInput, NotFound
from survey.clock import moment
from survey.ledger.blobs import blob_path
from survey.walls.files import read_json_file

FORMAT, VERSION = "pontata-backup", 1
MANIFEST, DATABASE, BLOBS = "manifest.json", "pontata.sqlite3", "blobs"
LARGEST_MANIFEST_BYTES = 512 * 1024 * 1024
PIECE_BYTES = 1024 * 1024
MOST_NAMED = 5  # of what is wrong; the count says the rest

Say = Callable[[str], object]


@dataclass(frozen=True)
class Copied:
    """What a finished copy holds, and which stored files could not be copied."""

    folder: Path
    database: bool
    files: int
    size_bytes: int
    wanting: list[str]


@dataclass(frozen=True)
class Copy:
    """A finished copy, checked: its manifest and where it stands."""

    folder: Path
    made_at: str
    database: dict[str, Any] | None
    blobs: list[dict[str, Any]]


def make_copy(folder: Path) -> Copied:
    """Copy the record into an empty or new folder; the server may run meanwhile.

    The database comes first: a file that arrives while the copy is made is in neither or in the
    files alone, never named by the copy and missing from it.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Clash(f"{folder} is there and not empty; nothing was copied. Name a new folder.")
    # It holds the accounts, too: nobody else on this machine needs to read it.
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    database = None
    if connections[DEFAULT_DB_ALIAS].vendor == "sqlite":
        _copy_database(folder / DATABASE)
        database = {"file": DATABASE, **_measured(folder / DATABASE)}
    kept, wanting = _copy_blobs(folder / BLOBS, _blobs_named(folder, in_copy=database is not None))
    manifest = {
        "format": FORMAT,
        "version": VERSION,
        "made_at": moment().isoformat(),
        "database": database,
        "blobs": kept,
        "wanting": wanting,
    }
    _write_whole(folder / MANIFEST, json.dumps(manifest, indent=1).encode())
    size_bytes = sum(row["size_bytes"] for row in kept) + (database or {}).get("size_bytes", 0)
    return Copied(folder, database is not None, len(kept), size_bytes, wanting)


def _copy_database(target: Path) -> None:
    connection = connections[DEFAULT_DB_ALIAS]
    connection.ensure_connection()
    with closing(sqlite3.connect(target)) as copy:
        connection.connection.backup(copy)
        # One file that needs no neighbours; the installation sets its own journal again.
        copy.execute("PRAGMA journal_mode=DELETE")
    refuse_damaged_database(target)
    _sync(target)


def _blobs_named(folder: Path, *, in_copy: bool) -> list[str]:
    query = "SELECT digest FROM ledger_blob ORDER BY digest"
    if not in_copy:
        with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
            cursor.execute(query)
            return [row[0] for row in cursor.fetchall()]
    with closing(sqlite3.connect(folder / DATABASE)) as copy:
        try:
            return [row[0] for row in copy.execute(query)]
        except sqlite3.OperationalError as error:
            raise NotFound("There is no record here yet, so there is nothing to copy.") from error


def _copy_blobs(target: Path, digests: list[str]) -> tuple[list[dict[str, Any]], list[str]]:
    """Copy files by digest; what the store lost or changed is named, not copied."""
    kept, wanting = [], []
    for digest in digests:
        place = target / digest[:2] / digest
        place.parent.mkdir(parents=True, exist_ok=True)
        try:
            with default_storage.open(f"{digest[:2]}/{digest}") as source:
                size_bytes = _pour(source, place, digest)
        except (FileNotFoundError, _OtherDigest):
            wanting.append(digest)
        else:
            kept.append({"digest": digest, "size_bytes": size_bytes})
    return kept, wanting


def read_copy(folder: Path) -> Copy:
    """Return a copy after checking every byte of it.

    Raises InvalidInput naming what is missing or damaged; nothing is changed by it.
    """
    if not (folder / MANIFEST).is_file():
        raise NotFound(
            f"{folder} holds no {MANIFEST}, so it is no finished copy. Nothing was changed."
        )
    manifest = read_json_file(folder / MANIFEST, largest_bytes=LARGEST_MANIFEST_BYTES)
    if not _is_manifest(manifest):
        raise InvalidInput(f"{folder / MANIFEST} is no manifest of a copy made here.")
    if manifest.get("version") != VERSION:
        raise InvalidInput(
            f"The copy is of version {manifest.get('version')!r}; this program reads {VERSION}. "
            "Put it back with the program that made it."
        )
    copy = Copy(
        folder=folder,
        made_at=str(manifest.get("made_at", "")),
        database=manifest.get("database"),
        blobs=manifest.get("blobs", []),
    )
    wrong = list(_wrong_files(copy))
    if wrong:
        named = "; ".join(wrong[:MOST_NAMED])
        more = f"; and {len(wrong) - MOST_NAMED} more" if len(wrong) > MOST_NAMED else ""
        raise InvalidInput(f"The copy is damaged: {named}{more}. Nothing was changed.")
    if copy.database is not None:
        refuse_damaged_database(folder / DATABASE)
    return copy


def _is_manifest(value: Any) -> bool:
    """Whether a manifest has the shape of one; its digests are checked afterwards."""
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        return False
    blobs, database = value.get("blobs", []), value.get("database")
    return (
        isinstance(blobs, list)
        and all(isinstance(row, dict) for row in blobs)
        and isinstance(database, dict | None)
    )


def _wrong_files(copy: Copy) -> Iterator[str]:
    if copy.database is not None:
        yield from _wrong(copy.folder / DATABASE, copy.database.get("sha256"), "the database")
    for row in copy.blobs:
        digest = str(row.get("digest"))
        if len(digest) != 64 or not set(digest) <= set("0123456789abcdef"):
            yield f"{digest[:20]!r} is no digest"
            continue
        yield from _wrong(copy.folder / BLOBS / digest[:2] / digest, digest, f"file {digest[:12]}…")


def _wrong(path: Path, digest: Any, name: str) -> Iterator[str]:
    if not path.is_file():
        yield f"{name} is missing"
    elif _measured(path)["sha256"] != digest:
        yield f"{name} has other bytes than when it was copied"


def refuse_damaged_database(path: Path) -> None:
    """Raise InvalidInput where SQLite finds the file damaged or no database."""
    try:
        with closing(sqlite3.connect(path)) as database:
            (said,) = database.execute("PRAGMA integrity_check").fetchone()
    except sqlite3.DatabaseError as error:
        said = str(error)
    if said != "ok":
        raise InvalidInput(f"{path} is no sound database: {said}.")


def put_back(copy: Copy) -> Path | None:
    """Put a checked copy's files and database back; return where the earlier database is kept.

    Files that are there already stay; none is removed. The database is written page by page in
    one transaction, so that a server that still runs sees the old record or the new one.
    """
    for row in copy.blobs:
        _put_back_blob(copy.folder / BLOBS / row["digest"][:2] / row["digest"], row["digest"])
    if copy.database is None:
        return None
    connection = connections[DEFAULT_DB_ALIAS]
    connection.ensure_connection()
    earlier = _keep_earlier(connection.settings_dict["NAME"])
    with closing(sqlite3.connect(copy.folder / DATABASE)) as source:
        source.backup(connection.connection)
    connection.close()
    return earlier


def _keep_earlier(name: Any) -> Path | None:
    """Keep what stood in the database file beside it, for a slip of the hand."""
    path = Path(str(name))
    if not path.is_file() or not _has_tables(path):
        return None
    kept = path.with_name(f"{path.stem}-before-recover-{moment():%Y%m%dT%H%M%S}{path.suffix}")
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(kept)) as target:
        source.backup(target)
        target.execute("PRAGMA journal_mode=DELETE")
    return kept


def _has_tables(path: Path) -> bool:
    with closing(sqlite3.connect(path)) as database:
        return database.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone() is not None


def _put_back_blob(source: Path, digest: str) -> None:
    place = Path(blob_path(digest))
    if place.is_file() and _measured(place)["sha256"] == digest:
        return
    place.parent.mkdir(parents=True, exist_ok=True)
    with source.open("rb") as file:
        _pour(file, place, digest)


class _OtherDigest(Exception):
    """The bytes read are not those that the digest names."""


def _pour(source: Any, place: Path, digest: str) -> int:
    """Write bytes beside their place, check them on the way, and move them there."""
    found, size_bytes = hashlib.sha256(), 0
    with tempfile.NamedTemporaryFile(dir=place.parent, delete=False) as file:
        try:
            while piece := source.read(PIECE_BYTES):
                found.update(piece)
                size_bytes += file.write(piece)
            file.flush()
            os.fsync(file.fileno())
            if found.hexdigest() != digest:
                raise _OtherDigest
        except BaseException:
            Path(file.name).unlink(missing_ok=True)
            raise
    os.replace(file.name, place)
    return size_bytes


def _measured(path: Path) -> dict[str, Any]:
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return {"size_bytes": path.stat().st_size, "sha256": digest}


def _write_whole(path: Path, data: bytes) -> None:
    part = path.with_suffix(".part")
    part.write_bytes(data)
    _sync(part)
    shutil.move(part, path)


def _sync(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())
