"""Bring the tables up to this version, as the role that owns them."""

from typing import Any

from django.core.management.commands.migrate import Command as DjangoCommand
from django.db import DEFAULT_DB_ALIAS

from survey.installation import as_owner, grant_use_to, has_owner


class Command(DjangoCommand):
    help = "Bring the database up to this version; on PostgreSQL as the owner of the tables."

    def handle(self, *arguments: Any, **options: Any) -> None:
        options["database"] = DEFAULT_DB_ALIAS  # the owner is a role of it, no other database
        with as_owner() as application:
            super().handle(*arguments, **options)
            if has_owner():
                grant_use_to(application)
