"""How a wall, a new version of its layout, and its phases come to be."""

from datetime import date
from typing import Any

from django.db import transaction

from gridmap.errors import Clash, InvalidInput
from gridmap.models import Layout, Wall
from survey.ledger.services import open_logbook
from survey.people.models import Account, Role
from survey.people.services import give_role
from survey.vocabulary.services import give_built_in_vocabulary
from survey.walls.description import LayoutDescription, WallDescription
from survey.walls.models import Phase


@transaction.atomic
def create_wall(
    description: WallDescription, *, lead: Account | None, invented: bool = False
) -> Wall:
    """Make a wall with its first layout, built-in vocabulary and standing logbook.

    Raises Clash when the short name is taken.
    """
    if Wall.objects.filter(slug=description.slug).exists():
        raise Clash(
            f"There is a wall {description.slug!r} already. Choose another short name, or give "
            "the wall a new layout version on its set-up page.",
            field="wall",
        )
    wall = Wall.objects.create(
        slug=description.slug,
        name=description.name,
        base_above_floor_in=description.base_above_floor_in,
        invented=invented,
        **description.texts,
    )
    made_by = str(lead) if lead else ""
    add_layout(wall, description.layout, made_by=made_by)
    give_built_in_vocabulary(wall)
    open_logbook(wall)
    if lead is not None:
        give_role(account=lead, wall=wall, role=Role.LEAD)
    return wall


@transaction.atomic
def add_layout(wall: Wall, layout: LayoutDescription, *, made_by: str) -> Layout:
    """Put a new version beside the wall's layouts; earlier surveys keep theirs."""
    last = wall.layouts.order_by("-version").values_list("version", flat=True).first() or 0
    wall.__dict__.pop("layout", None)
    return Layout.objects.create(
        wall=wall,
        version=last + 1,
        width_in=layout.width_in,
        height_in=layout.height_in,
        grid_json=layout.grid.to_json(),
        openings=list(layout.openings),
        zones=list(layout.zones),
        decks=list(layout.decks),
        obstructions=list(layout.obstructions),
        note=layout.note,
        made_by=made_by,
    )


def set_phase(
    *,
    wall: Wall,
    number: int,
    name: str,
    starts_on: date,
    ends_on: date,
    works: str = "",
    activities: list[dict[str, Any]] | None = None,
) -> Phase:
    """Write a phase of works, replacing what stood under its number."""
    if ends_on < starts_on:
        raise InvalidInput(
            f"Phase {number} ends on {ends_on}, before it starts on {starts_on}.", field="ends_on"
        )
    phase, _ = Phase.objects.update_or_create(
        wall=wall,
        number=number,
        defaults={
            "name": name,
            "starts_on": starts_on,
            "ends_on": ends_on,
            "works": works,
            "activities": activities or [],
        },
    )
    return phase
