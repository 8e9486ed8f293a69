"""How a wall, a new version of its layout, and its phases come to be."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db import transaction

from gridmap.errors import Clash, InvalidInput
from gridmap.lengths import format_feet_inches
from gridmap.models import Layout, Wall
from survey.ledger.services import open_logbook
from survey.people.models import Account, Role
from survey.people.services import give_role
from survey.vocabulary.services import give_built_in_vocabulary
from survey.walls.description import TEXTS, LayoutDescription, WallDescription
from survey.walls.models import Phase
from survey.walls.telephones import add_contacts


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
    add_contacts(wall, description.telephones)
    give_built_in_vocabulary(wall)
    open_logbook(wall)
    if lead is not None:
        give_role(account=lead, wall=wall, role=Role.LEAD)
    return wall


@transaction.atomic
def add_layout(wall: Wall, layout: LayoutDescription, *, made_by: str) -> Layout:
    """Put a new version beside the wall's layouts; earlier surveys keep theirs."""
    Wall.objects.select_for_update().get(pk=wall.pk)  # two at once must not take one number
    last = wall.layouts.order_by("-version").values_list("version", flat=True).first() or 0
    wall.__dict__.pop("layout", None)
    made = layout_of(wall, layout, version=last + 1, made_by=made_by)
    made.save()
    return made


def layout_of(wall: Wall, layout: LayoutDescription, *, version: int, made_by: str = "") -> Layout:
    """Return a described layout as a row that is not kept yet."""
    return Layout(
        wall=wall,
        version=version,
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


@transaction.atomic
def replace_layout(
    wall: Wall, layout: LayoutDescription, *, seen_version: int, made_by: str
) -> Layout:
    """Put a new version beside the one that the person saw; raises Clash if that is not the newest.

    Surveys that are there keep the version under which they were opened.
    """
    newest = Wall.objects.select_for_update().get(pk=wall.pk).layout.version
    if newest != seen_version:
        raise Clash(
            f"Somebody made version {newest} of the layout while version {seen_version} stood on "
            "this page. Look at it first, then make your change again.",
            field="seen_version",
        )
    return add_layout(wall, layout, made_by=made_by)


@transaction.atomic
def describe_wall(
    wall: Wall, *, name: str, base_above_floor_in: float, texts: Mapping[str, str]
) -> Wall:
    """Write down what identifies a wall.

    Raises Clash where the height above the floor would change under surveys that are there: the
    bands of their decks hang on it.
    """
    if base_above_floor_in != wall.base_above_floor_in and wall.surveys.exists():
        raise Clash(
            "The lower edge's height above the floor is "
            f"{format_feet_inches(wall.base_above_floor_in)} and there are surveys that count "
            "their decks from it. It can no longer change.",
            field="base_above_floor",
        )
    wall.name, wall.base_above_floor_in = name, base_above_floor_in
    for key in TEXTS:
        setattr(wall, key, texts.get(key, ""))
    wall.full_clean()
    wall.save()
    return wall


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


def remove_phase(phase: Phase) -> None:
    """Take back a phase that was written down by mistake."""
    phase.delete()


def next_phase_number(wall: Wall) -> int:
    """Return the first number above those of the wall's phases."""
    last = wall.phases.order_by("-number").values_list("number", flat=True).first()
    return (last or 0) + 1
