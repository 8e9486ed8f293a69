"""Give an account its role on a wall, for the operator of an installation."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from gridmap.models import Wall
from survey.people.models import Account, Role
from survey.people.services import give_role


class Command(BaseCommand):
    help = "Give an account its role on a wall: lead, conservator, site-manager or reader."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("wall", help="the wall's short name")
        parser.add_argument("account", help="the account's name")
        parser.add_argument("role", choices=Role.values)

    def handle(self, *, wall: str, account: str, role: str, **options: Any) -> None:
        found_wall = Wall.objects.filter(slug=wall).first()
        if found_wall is None:
            known = ", ".join(Wall.objects.values_list("slug", flat=True)) or "none yet"
            raise CommandError(f"There is no wall {wall!r}. Walls: {known}.")
        found_account = Account.objects.filter(username=account).first()
        if found_account is None:
            raise CommandError(
                f"There is no account {account!r}. Make one: python3 manage.py createsuperuser"
            )
        member = give_role(account=found_account, wall=found_wall, role=Role(role))
        self.stdout.write(f"{member}.")
