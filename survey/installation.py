"""Is the database of this installation ready, and who makes it ready?

On PostgreSQL with an owner (`DATABASE_OWNER_URL`) the tables are made as the owner, and the
application's role is granted the use of their rows and nothing more.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.db import DEFAULT_DB_ALIAS, OperationalError, connections
from django.db.migrations.executor import MigrationExecutor

from gridmap.errors import PontataError

OWNER_ALIAS = "owner"


class NotReady(PontataError):
    """The installation cannot serve yet; the message says what to do first."""


def has_owner() -> bool:
    """Say whether another role than the application's owns the tables."""
    return OWNER_ALIAS in settings.DATABASES


@contextmanager
def as_owner() -> Iterator[str]:
    """Let the default connection act as the owner; yield the application's role.

    One connection, because a migration of a package may write through the default connection
    whichever was named, and would then wait for ever for the owner's locks.
    """
    connection = connections[DEFAULT_DB_ALIAS]
    application = {name: connection.settings_dict[name] for name in ("USER", "PASSWORD")}
    if not has_owner():
        yield application["USER"]
        return
    owner = {name: settings.DATABASES[OWNER_ALIAS][name] for name in ("USER", "PASSWORD")}
    connection.close()
    connection.settings_dict.update(owner)
    try:
        yield application["USER"]
    finally:
        connection.close()
        connection.settings_dict.update(application)


def pending_migrations() -> tuple[int, int]:
    """Return how many migrations are wanting, and how many there are."""
    try:
        with as_owner():
            executor = MigrationExecutor(connections[DEFAULT_DB_ALIAS])
            targets = executor.loader.graph.leaf_nodes()
            return len(executor.migration_plan(targets)), len(executor.loader.graph.nodes)
    except (OperationalError, ImproperlyConfigured) as error:
        raise NotReady(f"The database does not answer: {str(error).strip()}") from error


def make_ready() -> bool:
    """Make the tables of a new database; refuse to touch one that already holds a record.

    Returns whether tables were made. Raises NotReady where an older database waits for a
    migration, which is a decision of the person who keeps it.
    """
    pending, known = pending_migrations()
    if not pending:
        return False
    if pending < known and has_accounts():
        raise NotReady(
            f"The database waits for {pending} migrations of this version. Make a copy first: "
            "python3 manage.py backup --out FOLDER. Then run: python3 manage.py migrate"
        )
    call_command("migrate", interactive=False, verbosity=0)
    return True


def has_accounts() -> bool:
    """Say whether anybody has been let in yet."""
    with as_owner():
        connection = connections[DEFAULT_DB_ALIAS]
        if "people_account" not in connection.introspection.table_names():
            return False
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1 FROM people_account LIMIT 1")
            return cursor.fetchone() is not None


def grant_use_to(role: str) -> None:
    """Let the application's role read and write rows; it can change no table and no trigger."""
    connection = connections[DEFAULT_DB_ALIAS]
    with connection.cursor() as cursor:
        for statement in grants(connection.ops.quote_name(role)):
            cursor.execute(statement)


def grants(quoted_role: str) -> Sequence[str]:
    """Return what the owner grants: the use of rows, no right over tables."""
    return (
        f"GRANT USAGE ON SCHEMA public TO {quoted_role}",
        f"GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO {quoted_role}",
        f"GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA public TO {quoted_role}",
    )
