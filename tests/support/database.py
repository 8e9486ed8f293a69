"""Which database do the tests use, and as whom?

SQLite in memory unless `DATABASE_URL` names a PostgreSQL. There the tables are made by the owner
named in `DATABASE_OWNER_URL`, and the tests then run as the role of `DATABASE_URL`, which owns
nothing: what the record refuses to that role is refused in the tests too.
"""

import os
from urllib.parse import unquote, urlsplit

import pytest
from django.db import connections
from django.test.utils import setup_databases, teardown_databases


def pytest_report_header():
    kind = "PostgreSQL" if os.environ.get("DATABASE_URL") else "SQLite"
    return f"database: {kind}"


@pytest.fixture(scope="session")
def django_db_setup(request, django_test_environment, django_db_blocker):
    """Make the test database as its owner, then hand it to the application's role."""
    verbosity = max(request.config.option.verbose, 0)
    with django_db_blocker.unblock():
        application_role = act_as_owner()
        created = setup_databases(verbosity=verbosity, interactive=False)
        act_as(application_role)
    yield
    with django_db_blocker.unblock():
        act_as_owner()
        teardown_databases(created, verbosity=verbosity)


def act_as_owner():
    """Switch the default connection to the owner's role and return the former role."""
    settings_dict = connections["default"].settings_dict
    former_role = (settings_dict["USER"], settings_dict["PASSWORD"])
    owner_url = os.environ.get("DATABASE_OWNER_URL")
    if owner_url and connections["default"].vendor == "postgresql":
        owner = urlsplit(owner_url)
        act_as((unquote(owner.username or ""), unquote(owner.password or "")))
    return former_role


def act_as(role):
    """Reconnect the default connection as `role`, a user name and a password."""
    connection = connections["default"]
    connection.close()
    connection.settings_dict["USER"], connection.settings_dict["PASSWORD"] = role


@pytest.fixture
def on_postgresql(db):
    """Skip a test that only PostgreSQL can answer."""
    if connections["default"].vendor != "postgresql":
        pytest.skip("asks PostgreSQL; this run is on SQLite")
