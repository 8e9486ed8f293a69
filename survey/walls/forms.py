"""How a wall's identity, its phases of works and its people are typed."""

from typing import Any

from django import forms
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.utils.text import slugify

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.people.models import Role
from survey.walls.description import TEXTS, read_slug
from survey.walls.form_fields import (
    BaseRows,
    DateField,
    LengthField,
    NamedForm,
    name_in_refusals,
    rows_of,
)
from survey.walls.models import Contact, Phase
from survey.walls.telephone_numbers import LONGEST, read_number

_LABELS = {
    "title": "Title of the painting",
    "artist": "Artist",
    "made": "Date",
    "technique": "Technique",
    "place": "Place",
    "owner": "Owner",
    "inventory_number": "Inventory number",
    "contractor": "Contractor",
    "insurer": "Insurer",
}
_HINTS = {
    "made": "As known: 1936, or about 1936",
    "technique": "Such as secco over fresco on lime plaster",
}


class IdentityForm(NamedForm):
    """What a wall is called, and everything that identifies its painting."""

    name = forms.CharField(
        label="Name of the wall", max_length=120, help_text="As people on site say it: North wall"
    )
    base_above_floor = LengthField(
        label="Lower edge above the floor",
        minimum_in=0.0,
        initial="0",
        help_text="Of the painting: 8 ft. Decks count from the floor.",
    )

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        for key, longest in TEXTS.items():
            self.fields[key] = forms.CharField(
                label=_LABELS[key],
                max_length=longest,
                required=False,
                help_text=_HINTS.get(key, ""),
            )
            name_in_refusals(self.fields[key])

    @property
    def texts(self) -> dict[str, str]:
        """What identifies the painting, once the form is valid."""
        return {key: self.cleaned_data[key] for key in TEXTS}

    def painting_fields(self) -> list[forms.BoundField]:
        """Return the fields about the painting and its parties."""
        return [self[key] for key in TEXTS]


def typed_identity(wall: Wall) -> dict[str, Any]:
    """Return a wall's identity as it stands in the form."""
    return {
        "name": wall.name,
        "base_above_floor": wall.base_above_floor_in,
        **{key: getattr(wall, key) for key in TEXTS},
    }


class NewWallForm(IdentityForm):
    """The identity of a wall that is not there yet, with the short name in its addresses."""

    slug = forms.CharField(
        label="Short name",
        max_length=40,
        required=False,
        help_text="For addresses and commands; never changes. Empty: made from the name",
    )
    field_order = ["name", "slug", "base_above_floor"]

    def clean_slug(self) -> str:
        typed = self.cleaned_data["slug"] or slugify(self.cleaned_data.get("name", ""))
        try:
            return read_slug(typed[:40].strip("-"))
        except InvalidInput as error:
            raise forms.ValidationError(error.message) from error


class PhaseForm(NamedForm):
    """A phase of works."""

    number = forms.IntegerField(label="Number", min_value=1, max_value=99)
    name = forms.CharField(label="Name", max_length=120, help_text="Canopy demolition")
    starts_on = DateField(label="Starts on")
    ends_on = DateField(label="Ends on")
    works = forms.CharField(
        label="What is done, and with what plant",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def clean(self) -> dict[str, Any]:
        typed = super().clean() or {}
        starts, ends = typed.get("starts_on"), typed.get("ends_on")
        if starts and ends and ends < starts:
            self.add_error("ends_on", f"{ends} lies before the start, {starts}.")
        return typed


class ActivityForm(NamedForm):
    """A listed activity of a phase, such as the erection of the scaffold."""

    name = forms.CharField(label="Activity", max_length=120)
    starts_on = DateField(label="From")
    ends_on = DateField(label="To", required=False)

    def clean(self) -> dict[str, Any]:
        typed = super().clean() or {}
        starts, ends = typed.get("starts_on"), typed.get("ends_on")
        if starts and ends and ends < starts:
            self.add_error("ends_on", f"{ends} lies before the start, {starts}.")
        return typed


Activities = rows_of(ActivityForm, extra=1, most=60)


def typed_phase(phase: Phase) -> dict[str, Any]:
    """Return a phase as it stands in the form."""
    names = ("number", "name", "starts_on", "ends_on", "works")
    return {name: getattr(phase, name) for name in names}


def typed_activities(phase: Phase) -> list[dict[str, Any]]:
    """Return the activities of a phase as rows of the form."""
    return [
        {"name": row["name"], "starts_on": row.get("from"), "ends_on": row.get("to")}
        for row in phase.activities
    ]


def activities_of(rows: BaseRows) -> list[dict[str, str]]:
    """Return typed activities as a phase keeps them."""
    kept = []
    for _, row in rows.filled:
        activity = {"name": row["name"], "from": row["starts_on"].isoformat()}
        if row["ends_on"]:
            activity["to"] = row["ends_on"].isoformat()
        kept.append(activity)
    return kept


class TelephoneForm(NamedForm):
    """A telephone number that is rung from the deck."""

    order = forms.IntegerField(
        label="Place in the list", min_value=1, max_value=99, help_text="1 is rung first"
    )
    name = forms.CharField(label="Name", max_length=LONGEST["name"], help_text="Gil Alder")
    role = forms.CharField(label="Role", max_length=LONGEST["role"], help_text="Site manager")
    number = forms.CharField(
        label="Telephone number",
        max_length=LONGEST["number"],
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
        help_text="As it is dialled on site",
    )
    note = forms.CharField(
        label="Note",
        max_length=LONGEST["note"],
        required=False,
        help_text="Such as: on site from 7:00",
    )

    def clean_number(self) -> str:
        try:
            return read_number(self.cleaned_data["number"], field="Telephone number")
        except InvalidInput as error:
            raise forms.ValidationError(error.message) from error


def typed_contact(contact: Contact) -> dict[str, Any]:
    """Return a telephone number as it stands in the form."""
    return {name: getattr(contact, name) for name in ("order", "name", "role", "number", "note")}


class MemberForm(NamedForm):
    """An account that exists, and its role here."""

    username = forms.CharField(label="Account name", max_length=150)
    role = forms.ChoiceField(label="Role", choices=Role.choices, initial=Role.CONSERVATOR)


class NewAccountForm(NamedForm):
    """An account to be made, and its role here."""

    username = forms.CharField(
        label="Account name",
        max_length=150,
        validators=[UnicodeUsernameValidator()],
        help_text="Letters, digits and @ . + - _",
    )
    display_name = forms.CharField(
        label="Name on entries", max_length=150, help_text="As it stands in reports: Tomas Sedge"
    )
    password = forms.CharField(
        label="Password",
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least 10 characters, not a common word, not digits alone",
    )
    role = forms.ChoiceField(label="Role", choices=Role.choices, initial=Role.CONSERVATOR)
