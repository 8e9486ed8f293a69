"""Does the database itself refuse to change, remove or replace what a logbook holds?

Every statement goes through the application's own connection, past Django's models.
"""

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from survey.clock import moment
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.models import Entry
from survey.ledger.services import append
from survey.ledger.triggers import append_only_models, missing_triggers
from tests.support.factories import make_survey, make_wall, observation_body

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def entry():
    survey = make_survey(make_wall())
    draft = Draft(
        kind="observation",
        body=observation_body(survey),
        object_id=new_id(),
        made_at=moment(),
        observed_by="Tomas Sedge",
        device_seq=7,
    )
    append([draft], logbook=survey.logbook, writer=Writer(name="Tomas Sedge", device="tablet-1"))
    return Entry.objects.get(pk=draft.id)


def refused(sql, parameters=()):
    """Say whether the database refuses the statement, and how."""
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql, parameters)
    except (DatabaseError, IntegrityError) as error:
        return str(error)
    return ""


def key_of(value):
    return value.hex if connection.vendor == "sqlite" else str(value)


@pytest.mark.parametrize("column", ["kind", "observed_by", "digest", "seq"])
def test_a_raw_update_is_refused(entry, column):
    value = 99 if column == "seq" else "changed"

    message = refused(f'UPDATE ledger_entry SET "{column}" = %s', [value])

    assert "append-only" in message
    assert Entry.objects.get(pk=entry.pk).digest == entry.digest


def test_a_raw_delete_is_refused(entry):
    assert "append-only" in refused("DELETE FROM ledger_entry WHERE id = %s", [key_of(entry.pk)])
    assert Entry.objects.filter(pk=entry.pk).exists()


UNIQUE_KEYS = {"id": ["id"], "place": ["logbook_id", "seq"], "device": ["device", "device_seq"]}


@pytest.mark.parametrize("key", UNIQUE_KEYS, ids=str)
def test_replacing_by_any_unique_key_is_refused(entry, key):
    columns = [field.column for field in Entry._meta.concrete_fields]
    row = {field.column: _raw(entry, field) for field in Entry._meta.concrete_fields}
    row |= {"id": key_of(new_id()), "seq": 4711, "device": "other", "device_seq": 4711}
    row |= {column: _raw_column(entry, column) for column in UNIQUE_KEYS[key]}
    places = ", ".join(["%s"] * len(columns))
    names = ", ".join(f'"{column}"' for column in columns)

    if connection.vendor == "sqlite":
        sql = f"INSERT OR REPLACE INTO ledger_entry ({names}) VALUES ({places})"
    else:
        target = ", ".join(UNIQUE_KEYS[key])
        sql = (
            f"INSERT INTO ledger_entry ({names}) VALUES ({places}) "
            f"ON CONFLICT ({target}) DO UPDATE SET kind = 'replaced'"
        )
    message = refused(sql, [row[column] for column in columns])

    assert "append-only" in message
    assert Entry.objects.get(pk=entry.pk).digest == entry.digest


def _raw(entry, field):
    return _raw_column(entry, field.column)


def _raw_column(entry, column):
    with connection.cursor() as cursor:
        cursor.execute(f'SELECT "{column}" FROM ledger_entry WHERE id = %s', [key_of(entry.pk)])
        return cursor.fetchone()[0]


def test_every_append_only_table_is_guarded():
    assert {model._meta.db_table for model in append_only_models()} >= {
        "ledger_entry",
        "ledger_entryparent",
        "ledger_setaside",
        "ledger_blob",
        "gridmap_layout",
        "vocabulary_vocabularyversion",
    }
    assert missing_triggers(connection) == []


@pytest.mark.skipif("connection.vendor != 'sqlite'", reason="drops a trigger as SQLite allows")
def test_a_missing_guard_is_named(entry):
    with connection.cursor() as cursor:
        cursor.execute('DROP TRIGGER "guard_ledger_entry_update"')

    assert missing_triggers(connection) == ["guard_ledger_entry_update"]


def test_truncate_is_refused(entry, on_postgresql):
    assert refused("TRUNCATE ledger_entry CASCADE")
    assert Entry.objects.filter(pk=entry.pk).exists()


@pytest.mark.parametrize(
    "statement",
    [
        'ALTER TABLE ledger_entry DISABLE TRIGGER "guard_ledger_entry_update"',
        'DROP TRIGGER "guard_ledger_entry_update" ON ledger_entry',
        "SET session_replication_role = replica",
        "DROP TABLE ledger_entry CASCADE",
    ],
)
def test_the_application_role_has_none_of_the_owners_rights(entry, on_postgresql, statement):
    assert refused(statement)
    assert missing_triggers(connection) == []
