"""Whom does one ring about a wall? The list is kept here and read for tablets and pages."""

from collections.abc import Iterable, Mapping

from django.db import transaction

from gridmap.errors import Clash
from gridmap.models import Wall
from survey.walls.models import Contact
from survey.walls.telephone_numbers import MOST_TELEPHONES


def telephones_of(wall: Wall) -> list[dict[str, str]]:
    """Return the wall's numbers in the order in which they are rung, for a tablet's pack."""
    return [
        {"name": contact.name, "role": contact.role, "number": contact.number}
        for contact in wall.contacts.all()
    ]


@transaction.atomic
def add_contact(
    wall: Wall, *, name: str, role: str, number: str, note: str = "", order: int | None = None
) -> Contact:
    """Put a number into the wall's list, at the end unless a place is given."""
    Wall.objects.select_for_update().get(pk=wall.pk)
    if wall.contacts.count() >= MOST_TELEPHONES:
        raise Clash(f"{wall.name} has {MOST_TELEPHONES} telephone numbers; remove one first.")
    return Contact.objects.create(
        wall=wall,
        order=next_place(wall) if order is None else order,
        name=name,
        role=role,
        number=number,
        note=note,
    )


def add_contacts(wall: Wall, telephones: Iterable[Mapping[str, str]]) -> None:
    """Put the numbers of a description into the wall's list, in their order."""
    for row in telephones:
        add_contact(
            wall,
            name=row["name"],
            role=row["role"],
            number=row["number"],
            note=row.get("note", ""),
        )


def change_contact(
    contact: Contact, *, order: int, name: str, role: str, number: str, note: str
) -> Contact:
    """Write a number of the list anew; tablets show it from their next preparation on."""
    contact.order, contact.name, contact.role = order, name, role
    contact.number, contact.note = number, note
    contact.full_clean()
    contact.save()
    return contact


def remove_contact(contact: Contact) -> None:
    """Take a number off the list."""
    contact.delete()


def next_place(wall: Wall) -> int:
    """Return the place behind the last number of the list."""
    last = wall.contacts.order_by("-order").values_list("order", flat=True).first()
    return (last or 0) + 1
