"""Make a wall and its layout from a JSON description, or give a wall a new layout version."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from gridmap.errors import Clash, InvalidInput, NotFound, PontataError
from gridmap.lengths import format_feet_inches_plain
from gridmap.models import Layout, Wall
from survey.people.models import Account, Membership
from survey.walls.description import WallDescription, read_wall
from survey.walls.files import read_json_file
from survey.walls.selectors import grid_summary
from survey.walls.services import add_layout, create_wall

LARGEST_FILE_BYTES = 64 * 1024 * 1024
TELEPHONES_LEFT = (
    "The file's telephone numbers are left out: a new layout version changes the layout alone. "
    "Change the numbers on the wall's set-up page."
)


class Command(BaseCommand):
    help = "Make a wall and its layout from a JSON description."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="the description, a JSON file of at most 64 MB")
        parser.add_argument("--lead", metavar="ACCOUNT", help="account that becomes the lead")
        parser.add_argument(
            "--new-version",
            action="store_true",
            help="give the wall that is there a new layout version",
        )
        parser.add_argument("--json", action="store_true", help="print what was made as JSON")

    def handle(
        self, *, file: str, lead: str | None, new_version: bool, json: bool, **options: Any
    ) -> None:
        try:
            described = read_wall(read_json_file(file, largest_bytes=LARGEST_FILE_BYTES))
            account = _lead(lead)
            layout = _new_version(described) if new_version else _new_wall(described, account)
        except PontataError as error:
            raise CommandError(error.message) from error
        if json:
            self.stdout.write(_as_json(layout))
        else:
            self.stdout.write(_in_words(layout))
            self.stdout.write(_who_leads(layout.wall))
            if new_version and described.telephones:
                self.stdout.write(TELEPHONES_LEFT)


def _lead(username: str | None) -> Account | None:
    """Return the named account, else the only one that there is."""
    if username is None:
        accounts = list(Account.objects.filter(is_active=True)[:2])
        return accounts[0] if len(accounts) == 1 else None
    account = Account.objects.filter(username=username).first()
    if account is None:
        raise NotFound(f"There is no account {username!r}; nothing was made.", field="lead")
    return account


def _new_wall(described: WallDescription, lead: Account | None) -> Layout:
    if Wall.objects.filter(slug=described.slug).exists():
        raise Clash(
            f"There is a wall {described.slug!r} already; nothing was made. Choose another short "
            "name, or add --new-version to give that wall a new layout version.",
            field="wall",
        )
    return create_wall(described, lead=lead).layout


def _new_version(described: WallDescription) -> Layout:
    wall = Wall.objects.filter(slug=described.slug).first()
    if wall is None:
        raise NotFound(
            f"There is no wall {described.slug!r} to give a new layout version; nothing was made.",
            field="wall",
        )
    if described.base_above_floor_in != wall.base_above_floor_in:
        raise InvalidInput(
            f"base_above_floor is {format_feet_inches_plain(described.base_above_floor_in)}, but "
            f"that wall's lower edge is {format_feet_inches_plain(wall.base_above_floor_in)} "
            "above the floor; nothing was made. Change it on the wall's set-up page.",
            field="base_above_floor",
        )
    return add_layout(wall, described.layout, made_by="import_wall")


def _in_words(layout: Layout) -> str:
    summary = grid_summary(layout)
    part_cells = ", ".join(summary.part_cells) or "every cell whole"
    size = " by ".join(
        format_feet_inches_plain(extent_in) for extent_in in (layout.width_in, layout.height_in)
    )
    return (
        f"{layout.wall.name} ({layout.wall.slug}), layout version {layout.version}: {size}; "
        f"{summary.text}; {part_cells}."
    )


def _who_leads(wall: Wall) -> str:
    lead = wall.memberships.filter(role="lead").select_related("account").first()
    if lead is not None:
        return f"Lead conservator: {lead.account}."
    return (
        "Nobody has a role on it yet, so no page shows it. Give one: "
        f"python3 manage.py give_role {wall.slug} ACCOUNT lead"
    )


def _as_json(layout: Layout) -> str:
    summary = grid_summary(layout)
    leads = Membership.objects.filter(wall=layout.wall, role="lead").select_related("account")
    made = {
        "wall": layout.wall.slug,
        "name": layout.wall.name,
        "layout": layout.version,
        "width_in": layout.width_in,
        "height_in": layout.height_in,
        "columns": summary.columns,
        "rows": summary.rows,
        "cells": summary.cells,
        "area_sq_in": summary.area_sq_in,
        "part_cells": list(summary.part_cells),
        "leads": [member.account.username for member in leads],
    }
    return json.dumps(made, ensure_ascii=False, indent=2)
