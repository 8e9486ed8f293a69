"""Does an installation on PostgreSQL keep the owner of the tables and the application apart?"""

import os
import subprocess
import sys
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import psycopg
import pytest

from tests.support.postgres import APPLICATION, OWNER, NoPostgres, administrator, running_postgres

PROJECT = Path(__file__).parents[2]
pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def roles():
    """Both roles' addresses of a new database to which no right was given beforehand."""
    try:
        with running_postgres() as database:
            folder = Path(parse_qs(urlsplit(database["DATABASE_URL"]).query)["host"][0])
            with psycopg.connect(administrator(folder), autocommit=True) as connection:
                connection.execute(f"CREATE DATABASE pontata OWNER {OWNER} TEMPLATE template0")
            yield {name: url.replace("/postgres?", "/pontata?") for name, url in database.items()}
    except NoPostgres as reason:
        if os.environ.get("CI"):
            raise
        pytest.skip(str(reason))


@pytest.fixture(scope="module")
def installed(roles, tmp_path_factory):
    """The first command of a new installation, run with both addresses."""
    environment = {
        **os.environ,
        **roles,
        "PONTATA_SETUP": "0",
        "PONTATA_DATA": str(tmp_path_factory.mktemp("data")),
        "DJANGO_SUPERUSER_PASSWORD": "harvest-train-1936",
    }
    ended = subprocess.run(
        [sys.executable, "manage.py", "createsuperuser", "--noinput", "--username", "ines",
         "--email", "ines@example.org"],
        cwd=PROJECT, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ended.returncode == 0, ended.stderr
    return roles


def test_tables_belong_to_the_owner_and_rows_are_written_by_the_application(installed):
    with psycopg.connect(installed["DATABASE_URL"]) as application:
        owners = application.execute(
            "SELECT DISTINCT tableowner FROM pg_tables WHERE schemaname = 'public'"
        ).fetchall()
        accounts = application.execute("SELECT username FROM people_account").fetchall()
        (role,) = application.execute("SELECT current_user").fetchone()

    assert role == APPLICATION
    assert owners == [(OWNER,)]
    assert accounts == [("ines",)]


@pytest.mark.parametrize(
    "statement",
    [
        "TRUNCATE ledger_entry CASCADE",
        "DROP TABLE ledger_entry CASCADE",
        "ALTER TABLE ledger_entry DISABLE TRIGGER ALL",
        "SET session_replication_role = replica",
        "CREATE TABLE aside (id int)",
    ],
)
def test_the_application_can_lift_no_guard(installed, statement):
    with (
        psycopg.connect(installed["DATABASE_URL"]) as application,
        pytest.raises(psycopg.errors.InsufficientPrivilege),
    ):
        application.execute(statement)
