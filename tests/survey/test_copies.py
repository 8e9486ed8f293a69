"""Does a copy hold the whole record, does it come back, and is a damaged one refused whole?

The commands run as an operator runs them: each in a process of its own, on a data folder of its own.
"""

import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from gridmap.errors import InvalidInput, NotFound
from survey.copies import read_copy
from tests.support.factories import SMALL_WALL

PROJECT = Path(__file__).parents[2]
PICTURE = PROJECT / "static" / "img" / "mark-192.png"
EPOCH = "SELECT epoch FROM tablet_installation"


def manage(*arguments, data):
    environment = {
        **os.environ,
        "PONTATA_DATA": str(data),
        "PONTATA_SETUP": "0",
        "DJANGO_SUPERUSER_PASSWORD": "harvest-train-1936",
    }
    for variable in ("DATABASE_URL", "DATABASE_OWNER_URL", "PONTATA_CLOCK"):
        environment.pop(variable, None)
    return subprocess.run(
        [sys.executable, "manage.py", *map(str, arguments)],
        cwd=PROJECT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


def done(*arguments, data):
    ended = manage(*arguments, data=data)
    assert ended.returncode == 0, ended.stdout + ended.stderr
    return ended.stdout


def refused(*arguments, data):
    ended = manage(*arguments, data=data)
    assert ended.returncode == 1, ended.stdout
    assert "Traceback" not in ended.stderr
    return ended.stderr


def rows(data, query):
    with closing(sqlite3.connect(data / "pontata.sqlite3")) as database:
        return database.execute(query).fetchall()


def keep_picture(data):
    """Put the bytes of a picture into the store, as a photograph would."""
    code = (
        "from pathlib import Path; from gridmap.models import Wall; "
        "from survey.ledger.blobs import keep_blob; "
        f"data = Path({str(PICTURE)!r}).read_bytes(); "
        "print(keep_blob(data, mime='image/png', wall=Wall.objects.get()).digest)"
    )
    return done("shell", "--no-imports", "-c", code, data=data).strip()


@pytest.fixture(scope="module")
def described(tmp_path_factory):
    """A data folder with an account, a wall, and one stored file; not to be changed."""
    data = tmp_path_factory.mktemp("described")
    wall = data / "wall.json"
    wall.write_text(json.dumps(SMALL_WALL))
    done(
        "createsuperuser", "--noinput", "--username", "ines", "--email", "i@example.org", data=data
    )
    done("import_wall", wall, data=data)
    keep_picture(data)
    return data


@pytest.fixture(scope="module")
def copy(described, tmp_path_factory):
    folder = tmp_path_factory.mktemp("copies") / "first"
    said = done("backup", "--out", folder, data=described)
    assert "The database and 1 stored file," in said
    return folder


@pytest.fixture
def another(copy, tmp_path):
    """A copy of the copy, to be damaged."""
    return Path(shutil.copytree(copy, tmp_path / "another"))


def test_the_manifest_names_every_file_by_its_own_digest(copy):
    manifest = json.loads((copy / "manifest.json").read_text())

    assert manifest["format"] == "pontata-backup"
    database = (copy / manifest["database"]["file"]).read_bytes()
    assert hashlib.sha256(database).hexdigest() == manifest["database"]["sha256"]
    (blob,) = manifest["blobs"]
    stored = (copy / "blobs" / blob["digest"][:2] / blob["digest"]).read_bytes()
    assert stored == PICTURE.read_bytes()
    assert hashlib.sha256(stored).hexdigest() == blob["digest"]


def test_nothing_of_the_key_of_sessions_is_in_the_copy(described, copy):
    key = (described / "secret-key").read_text()

    assert not any(key.encode() in file.read_bytes() for file in copy.rglob("*") if file.is_file())


def test_a_copy_is_never_written_over_another(described, copy):
    assert "is there and not empty" in refused("backup", "--out", copy, data=described)


def test_an_installation_without_a_record_has_nothing_to_copy(tmp_path):
    assert "nothing to copy" in refused(
        "backup", "--out", tmp_path / "copy", data=tmp_path / "empty"
    )
    assert not (tmp_path / "copy" / "manifest.json").exists()


def test_a_stored_file_that_is_lost_is_named_and_the_rest_copied(another, tmp_path):
    data = tmp_path / "data"
    done("recover", another, data=data)
    (stored,) = (data / "blobs").rglob("*/*")
    stored.unlink()

    said = refused("backup", "--out", tmp_path / "second", data=data)

    assert stored.name in said
    manifest = json.loads((tmp_path / "second" / "manifest.json").read_text())
    assert (manifest["blobs"], manifest["wanting"]) == ([], [stored.name])


def test_the_record_comes_back_on_a_new_installation_with_its_guards(copy, tmp_path):
    data = tmp_path / "data"

    said = done("recover", copy, data=data)

    assert "are put back" in said and "new epoch" in said
    assert rows(data, "SELECT slug FROM gridmap_wall") == [("booking-hall",)]
    (stored,) = (data / "blobs").rglob("*/*")
    assert stored.read_bytes() == PICTURE.read_bytes()
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        rows(data, "DELETE FROM ledger_blob")


def test_every_recovery_renews_the_epoch(copy, tmp_path):
    data = tmp_path / "data"
    done("recover", copy, data=data)
    first = rows(data, EPOCH)
    done("recover", copy, "--replace", data=data)
    second = rows(data, EPOCH)
    said = done("recover", "--database-restored", data=data)
    third = rows(data, EPOCH)

    assert len({str(found) for found in (first, second, third)}) == 3
    assert "new epoch" in said


def test_a_record_that_is_there_is_replaced_only_when_asked(copy, tmp_path):
    data = tmp_path / "data"
    done("recover", copy, data=data)
    done("createsuperuser", "--noinput", "--username", "tomas", "--email", "t@e.org", data=data)
    find = "SELECT username FROM people_account ORDER BY username"

    said = refused("recover", copy, data=data)
    untouched = rows(data, find)
    replaced = done("recover", copy, "--replace", data=data)

    assert "--replace" in said
    assert untouched == [("ines",), ("tomas",)]
    assert rows(data, find) == [("ines",)]
    (kept,) = data.glob("pontata-before-recover-*.sqlite3")
    assert kept.name in replaced
    with closing(sqlite3.connect(kept)) as earlier:
        assert earlier.execute(find).fetchall() == untouched


def test_one_changed_byte_of_a_file_refuses_the_whole_copy(another, tmp_path):
    (stored,) = (another / "blobs").rglob("*/*")
    data = bytearray(stored.read_bytes())
    data[100] ^= 1
    stored.write_bytes(data)

    said = refused("recover", another, data=tmp_path / "data")

    assert "other bytes than when it was copied" in said
    assert not (tmp_path / "data" / "blobs").exists()


def test_a_missing_database_refuses_the_whole_copy(another):
    (another / "pontata.sqlite3").unlink()

    with pytest.raises(InvalidInput, match="the database is missing"):
        read_copy(another)


def test_a_folder_without_manifest_is_no_finished_copy(another):
    (another / "manifest.json").unlink()

    with pytest.raises(NotFound, match="no finished copy"):
        read_copy(another)


@pytest.mark.parametrize(
    ("manifest", "said"),
    [
        ("{", "must be JSON"),
        ("[]", "no manifest"),
        ('{"format": "something"}', "no manifest"),
        ('{"format": "pontata-backup", "version": 9}', "version 9"),
        (
            '{"format": "pontata-backup", "version": 1, "blobs": [{"digest": "../../secret"}]}',
            "no digest",
        ),
        ('{"format": "pontata-backup", "version": 1, "blobs": ["x"]}', "no manifest"),
        ('{"format": "pontata-backup", "version": 1, "blobs": 7}', "no manifest"),
        ('{"format": "pontata-backup", "version": 1, "database": "x"}', "no manifest"),
    ],
)
def test_a_strange_manifest_is_refused_in_words(another, manifest, said):
    (another / "manifest.json").write_text(manifest)

    with pytest.raises(InvalidInput, match=said):
        read_copy(another)


def test_a_database_that_is_none_is_refused(another):
    path = another / "pontata.sqlite3"
    path.write_bytes(b"no database at all" * 100)
    manifest = json.loads((another / "manifest.json").read_text())
    manifest["database"]["sha256"] = hashlib.sha256(path.read_bytes()).hexdigest()
    (another / "manifest.json").write_text(json.dumps(manifest))

    with pytest.raises(InvalidInput, match="no sound database"):
        read_copy(another)


def test_recover_asks_for_one_thing_at_a_time(copy, tmp_path):
    assert "Name the folder" in refused("recover", data=tmp_path)
    assert "Name the folder" in refused("recover", copy, "--database-restored", data=tmp_path)
