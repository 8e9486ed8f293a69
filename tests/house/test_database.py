"""Do models and migrations agree, and do the guards of the logbook stand?"""

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection

from survey.ledger.triggers import append_only_models, missing_triggers

pytestmark = [pytest.mark.django_db, pytest.mark.database]


def test_no_migration_is_missing():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_every_guard_stands_after_the_migrations():
    assert append_only_models(), "no model says `append_only`"
    assert missing_triggers(connection) == []


@pytest.mark.skipif("owner" not in settings.DATABASES, reason="asks PostgreSQL about its roles")
def test_the_tests_run_as_a_role_that_owns_no_table():
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM pg_tables WHERE tableowner = current_user")
        owned = cursor.fetchone()[0]
        cursor.execute("SELECT rolsuper FROM pg_roles WHERE rolname = current_user")
        superuser = cursor.fetchone()[0]

    assert (owned, superuser) == (0, False)
