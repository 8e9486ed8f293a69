"""On PostgreSQL, does a copy hold the stored files and say how the database itself is copied?"""

import hashlib
import json
import shutil
import sqlite3
from contextlib import closing

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from survey.ledger.blobs import blob_path, keep_blob
from survey.tablet.services import installation
from tests.support.factories import make_account, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture(autouse=True)
def on_postgres():
    if connection.vendor != "postgresql":
        pytest.skip("this is about PostgreSQL alone")


@pytest.fixture
def blob():
    return keep_blob(b"a picture", mime="image/png", wall=make_wall(lead=make_account()))


def test_the_copy_holds_the_files_and_names_pg_dump(blob, tmp_path, capsys):
    call_command("backup", "--out", str(tmp_path / "copy"))

    said = capsys.readouterr().out
    manifest = json.loads((tmp_path / "copy" / "manifest.json").read_text())
    assert "pg_dump --format=custom" in said
    assert manifest["database"] is None
    assert [row["digest"] for row in manifest["blobs"]] == [blob.digest]


def test_files_come_back_and_the_operator_is_told_what_is_left_to_do(blob, tmp_path, capsys):
    call_command("backup", "--out", str(tmp_path / "copy"))
    stored = tmp_path / "moved"
    shutil.move(blob_path(blob.digest), stored)

    call_command("recover", str(tmp_path / "copy"))

    with open(blob_path(blob.digest), "rb") as file:
        assert file.read() == b"a picture"
    assert "recover --database-restored" in capsys.readouterr().out


def test_a_copy_of_an_sqlite_database_is_not_put_over_postgresql(blob, tmp_path, sqlite_copy):
    before = installation().epoch

    with pytest.raises(CommandError, match="this installation is on PostgreSQL"):
        call_command("recover", str(sqlite_copy), "--replace")

    assert installation().epoch == before


@pytest.fixture
def sqlite_copy(tmp_path):
    """A copy with a sound, empty SQLite database."""
    folder = tmp_path / "sqlite"
    folder.mkdir()
    path = folder / "pontata.sqlite3"
    with closing(sqlite3.connect(path)) as database:
        database.execute("CREATE TABLE t (n)")
        database.commit()
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    manifest = {
        "format": "pontata-backup",
        "version": 1,
        "database": {"file": path.name, "sha256": digest},
        "blobs": [],
    }
    (folder / "manifest.json").write_text(json.dumps(manifest))
    return folder
