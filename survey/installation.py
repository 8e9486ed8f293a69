"""Is the database of this installation ready, and who makes it ready?

On PostgreSQL with an owner (`DATABASE_OWNER_URL`) the tables are made as the owner, and the
application's role is granted the use of them and nothing more.
"""

from collections.abc import Sequence

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.db import DEFAULT_DB_ALIAS, OperationalError, connections
from django.db.migrations.executor import MigrationExecutor

from gridmap.errors import PontataError

OWNER_ALIAS = "owner"


class NotReady(PontataError):
    """The installation cannot serve yet; the message says what to do first."""


def migrating_alias() -> str:
    """Return the name of the connection that may make tables."""
    return OWNER_ALIAS if OWNER_ALIAS in settings.DATABASES else DEFAULT_DB_ALIAS


def pending_migrations() -> tuple[int, int]:
    """Return how many migrations are wanting, and how many there are."""
    connection = connections[migrating_alias()]
    try:
        executor = MigrationExecutor(connection)
    except (OperationalError, ImproperlyConfigured) as error:
        raise NotReady(f"The database does not answer: {str(error).strip()}") from error
    targets = executor.loader.graph.leaf_nodes()
    return len(executor.migration_plan(targets)), len(executor.loader.graph.nodes)


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
            f"The database waits for {pending} migrations of this version. Make a copy of the data "
            f"folder ({settings.DATA_FOLDER}) or of the database first, then run: "
            f"python3 manage.py migrate{migrate_options()}"
        )
    migrate()
    return True


def migrate() -> None:
    """Bring the tables up to this version as their owner."""
    call_command("migrate", database=migrating_alias(), interactive=False, verbosity=0)
    if migrating_alias() != DEFAULT_DB_ALIAS:
        grant_use_to(connections[DEFAULT_DB_ALIAS].settings_dict["USER"])


def migrate_options() -> str:
    return f" --database {OWNER_ALIAS}" if migrating_alias() == OWNER_ALIAS else ""


def has_accounts() -> bool:
    """Say whether anybody has been let in yet."""
    connection = connections[migrating_alias()]
    if "people_account" not in connection.introspection.table_names():
        return False
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM people_account LIMIT 1")
        return cursor.fetchone() is not None


def grant_use_to(role: str) -> None:
    """Let the application's role read and write rows; it can change no table and no trigger."""
    connection = connections[OWNER_ALIAS]
    name = connection.ops.quote_name(role)
    with connection.cursor() as cursor:
        for statement in grants(name):
            cursor.execute(statement)


def grants(quoted_role: str) -> Sequence[str]:
    return (
        f"GRANT USAGE ON SCHEMA public TO {quoted_role}",
        f"GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO {quoted_role}",
        f"GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA public TO {quoted_role}",
    )
