"""The guards in the database that refuse to change, remove or replace an append-only row.

A model says `append_only = True`; the guards are made from its table and its unique keys. They
are laid anew after every `migrate`, because SQLite drops a table's triggers when a migration
rebuilds the table. On PostgreSQL the application's role owns no table and cannot disable them.
"""

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.core.exceptions import ImproperlyConfigured
from django.db import DEFAULT_DB_ALIAS, connections, models
from django.db.backends.base.base import BaseDatabaseWrapper

PREFIX = "guard"
REFUSAL = "append-only: a row here is never changed, removed or replaced"


def append_only_models() -> list[type[models.Model]]:
    """Return every model whose rows are written once."""
    return [model for model in apps.get_models() if getattr(model, "append_only", False)]


def missing_triggers(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of guards that the database lacks, sorted; empty when all stand."""
    expected = {name for model in append_only_models() for name, _ in _guards(model, connection)}
    return sorted(expected - _present(connection))


def refuse_start_without_guards() -> None:
    """Raise ImproperlyConfigured when a guard is missing, so that a server does not start."""
    missing = missing_triggers(connections[DEFAULT_DB_ALIAS])
    if missing:
        raise ImproperlyConfigured(
            f"{len(missing)} guards of the logbook are missing in the database, the first is "
            f"{missing[0]!r}. Run: python3 manage.py migrate"
        )


def before_migrate(using: str = DEFAULT_DB_ALIAS, **_: Any) -> None:
    """Lift the guards while tables may be rebuilt (SQLite alone rebuilds them)."""
    connection = connections[using]
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        for name in _present(connection):
            cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"')


def after_migrate(using: str = DEFAULT_DB_ALIAS, **_: Any) -> None:
    """Lay every guard whose table exists; what is there already stays."""
    connection = connections[using]
    tables = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_POSTGRESQL_FUNCTION)
        for model in append_only_models():
            if model._meta.db_table not in tables:
                continue
            for name, statement in _guards(model, connection):
                if name not in _present(connection):
                    cursor.execute(statement)


_POSTGRESQL_FUNCTION = f"""
CREATE OR REPLACE FUNCTION {PREFIX}_refuse() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
  RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'integrity_constraint_violation';
END $$
"""


def _present(connection: BaseDatabaseWrapper) -> set[str]:
    query = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE %s"
        if connection.vendor == "sqlite"
        # A disabled trigger guards nothing, so it counts as missing.
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D' "
        "AND tgname LIKE %s"
    )
    with connection.cursor() as cursor:
        cursor.execute(query, [f"{PREFIX}\\_%" if connection.vendor != "sqlite" else f"{PREFIX}_%"])
        return {row[0] for row in cursor.fetchall()}


def _guards(
    model: type[models.Model], connection: BaseDatabaseWrapper
) -> Iterator[tuple[str, str]]:
    table = model._meta.db_table
    if connection.vendor == "postgresql":
        yield from _postgresql_guards(table)
    else:
        yield from _sqlite_guards(model, table)


def _postgresql_guards(table: str) -> Iterator[tuple[str, str]]:
    for what, each in [("UPDATE OR DELETE", "ROW"), ("TRUNCATE", "STATEMENT")]:
        name = f"{PREFIX}_{table}_{what.split()[0].lower()}"
        yield (
            name,
            f'CREATE TRIGGER "{name}" BEFORE {what} ON "{table}" FOR EACH {each} '
            f"EXECUTE FUNCTION {PREFIX}_refuse()",
        )


def _sqlite_guards(model: type[models.Model], table: str) -> Iterator[tuple[str, str]]:
    for what in ("UPDATE", "DELETE"):
        name = f"{PREFIX}_{table}_{what.lower()}"
        yield (
            name,
            f'CREATE TRIGGER "{name}" BEFORE {what} ON "{table}" '
            f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END",
        )
    for number, columns in enumerate(_unique_keys(model)):
        same = " AND ".join(f'"{column}" = NEW."{column}"' for column in columns)
        name = f"{PREFIX}_{table}_replace_{number}"
        yield (
            name,
            f'CREATE TRIGGER "{name}" BEFORE INSERT ON "{table}" '
            f'WHEN EXISTS (SELECT 1 FROM "{table}" WHERE {same}) '
            f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END",
        )


def _unique_keys(model: type[models.Model]) -> list[list[str]]:
    columns = {field.name: str(field.column) for field in model._meta.concrete_fields}
    keys = [[columns[field.name]] for field in model._meta.concrete_fields if field.unique]
    for constraint in model._meta.constraints:
        if isinstance(constraint, models.UniqueConstraint):
            keys.append([columns[name] for name in constraint.fields])
    return keys
