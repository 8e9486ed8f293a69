"""Do commands find or make the tables that they need, and leave the database alone where not?"""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from survey.command_line import needs_tables

PROJECT = Path(__file__).parents[2]


def manage(*arguments, data_folder, **variables):
    environment = {
        **os.environ,
        "PONTATA_DATA": str(data_folder),
        "PONTATA_SETUP": "0",
        **variables,
    }
    for variable in ("DATABASE_URL", "DATABASE_OWNER_URL"):
        environment.pop(variable, None)
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=PROJECT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_first_command_of_a_new_installation_makes_its_tables(tmp_path):
    made = manage(
        "createsuperuser", "--noinput", "--username", "ines", "--email", "ines@example.org",
        data_folder=tmp_path, DJANGO_SUPERUSER_PASSWORD="harvest-train-1936",
    )  # fmt: skip

    assert made.returncode == 0, made.stderr


def test_a_comparison_on_an_empty_installation_ends_in_a_sentence(tmp_path):
    ended = manage("compare", "B1", "P1", data_folder=tmp_path)

    assert ended.returncode == 1
    assert "Traceback" not in ended.stderr
    assert "wall" in ended.stderr


def test_a_setting_that_makes_no_sense_ends_in_a_sentence(tmp_path):
    ended = manage("compare", "B1", "P1", data_folder=tmp_path, PONTATA_CLOCK="yesterday")

    assert ended.returncode == 1
    assert "Traceback" not in ended.stderr
    assert "PONTATA_CLOCK is 'yesterday'" in ended.stderr


def test_an_older_database_with_accounts_is_not_migrated_without_asking(tmp_path):
    manage(
        "createsuperuser", "--noinput", "--username", "ines", "--email", "ines@example.org",
        data_folder=tmp_path, DJANGO_SUPERUSER_PASSWORD="harvest-train-1936",
    )  # fmt: skip
    with sqlite3.connect(tmp_path / "pontata.sqlite3") as database:
        database.execute("DELETE FROM django_migrations WHERE app = 'report'")
    database.close()

    ended = manage("compare", "B1", "P1", data_folder=tmp_path)

    assert ended.returncode == 1
    assert "python3 manage.py backup --out" in ended.stderr
    assert "python3 manage.py migrate" in ended.stderr


def test_an_older_database_can_be_copied_before_it_is_migrated(tmp_path):
    data = tmp_path / "data"
    manage(
        "createsuperuser", "--noinput", "--username", "ines", "--email", "ines@example.org",
        data_folder=data, DJANGO_SUPERUSER_PASSWORD="harvest-train-1936",
    )  # fmt: skip
    with sqlite3.connect(data / "pontata.sqlite3") as database:
        database.execute("DELETE FROM django_migrations WHERE app = 'report'")
    database.close()

    ended = manage("backup", "--out", str(tmp_path / "copy"), data_folder=data)

    assert ended.returncode == 0, ended.stderr
    assert (tmp_path / "copy" / "manifest.json").exists()


def test_help_makes_no_database(tmp_path):
    ended = manage("compare", "--help", data_folder=tmp_path)

    assert ended.returncode == 0
    assert not (tmp_path / "pontata.sqlite3").exists()


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (["compare", "B1", "P1"], True),
        (["import_wall", "wall.json"], True),
        (["migrate"], False),
        (["makemigrations"], False),
        (["serve"], False),
        (["no-such-command"], False),
        ([], False),
    ],
)
def test_only_commands_of_the_record_need_tables(arguments, expected):
    assert needs_tables(arguments) is expected
