"""How is each line of the site register, the plant list and the light ledger typed at the desk?"""

from datetime import date
from typing import Any, Final

from django import forms

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.record.fields import LONGEST_LINE, LONGEST_NOTE
from survey.walls.form_fields import DateField, LengthField
from survey.watch import register_kinds as kinds
from survey.watch.stand_off import OFFERED, offered_plant
from survey.watch.stop_forms import StepForm, typed_cells
from survey.watch.units import fahrenheit_difference_to_celsius, fahrenheit_to_celsius

_NOTE: Final[dict[str, Any]] = {
    "label": "Note",
    "required": False,
    "max_length": LONGEST_NOTE,
    "widget": forms.Textarea(attrs={"rows": 2}),
}
_CELLS_HINT: Final = "Such as C17, C18"
PROTECTION_WORDS: Final = {
    "facing": "Facing", "sheeting": "Sheeting", "seal": "Seal", "prop": "Prop",
    "other": "Other protection",
}  # fmt: skip
RESULT_WORDS: Final = {
    kinds.SOUND: "sound", kinds.MEND: "to be mended", kinds.TAKE_OFF: "to be taken off"
}  # fmt: skip
PART_WORDS: Final = {
    "camera": "Camera", "door": "Door", "filter": "Filter", "leak-tape": "Leak tape",
    "lamps": "Lamps",
}  # fmt: skip
STATE_WORDS: Final = {
    "in-order": "in order", "fault": "fault", "closed": "closed", "open": "open",
    "changed": "changed", "clogged": "clogged", "dry": "dry", "wet": "wet", "off": "off",
    "left-on": "left on",
}  # fmt: skip
LABEL_WORDS: Final = {
    "confirmed": "confirmed against its source",
    "from-memory": "from memory: check",
    "stated-by-contractor": "stated by the contractor",
    "agreed-on-site": "agreed on site",
}


class LineForm(StepForm):
    """A line of the register: its fields, when, and who stands for it.

    `about` is what the line belongs to. Days become texts and empty fields are left out.
    """

    def __init__(self, *arguments: Any, wall: Wall, about: str = "", **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.wall, self.about = wall, about
        decks = [(str(one["name"]), f"Deck {one['name']}") for one in wall.layout.decks]
        if isinstance(deck := self.fields.get("deck"), forms.ChoiceField):
            deck.choices = [("", "none"), *decks]

    def clean(self) -> dict[str, Any]:
        """Read the cells as on the grid."""
        data = super().clean() or self.cleaned_data
        if "cells" in self.fields and "cells" not in self.errors:
            data["cells"] = typed_cells(self, self.wall, data.get("cells", ""))
        return data

    def body(self) -> dict[str, Any]:
        """Return the entry's body."""
        body = {
            name: value.isoformat() if isinstance(value, date) else value
            for name, value in super().body().items()
            if value not in ([], False)
        }
        return {**body, "about": self.about} if self.about else body


class ProtectionForm(LineForm):
    """What was put on or before the wall."""

    kind = forms.ChoiceField(label="Kind", choices=list(PROTECTION_WORDS.items()))
    name = forms.CharField(label="Name", max_length=120, help_text="As on its label")
    cells = forms.CharField(label="Cells", required=False, max_length=4000, help_text=_CELLS_HINT)
    place = forms.CharField(label="Place, where no cell", required=False, max_length=LONGEST_LINE)
    material = forms.CharField(label="Material", required=False, max_length=LONGEST_LINE)
    installed_on = DateField(label="Installed on")
    due_off_on = DateField(label="Due off on", required=False, help_text="A facing needs it")
    inspect_every_days = forms.IntegerField(
        label="Inspected every, days", required=False, min_value=1, max_value=366
    )
    test_removal = forms.CharField(
        label="Test removal", required=False, max_length=LONGEST_LINE,
        help_text="Of a facing: where, when, with what result",
    )  # fmt: skip
    by = forms.CharField(label="Put on by", max_length=150)
    note = forms.CharField(**_NOTE)


class InspectedForm(LineForm):
    """An inspection of a protection."""

    result = forms.ChoiceField(
        label="Result", choices=[(key, said.capitalize()) for key, said in RESULT_WORDS.items()]
    )
    by = forms.CharField(label="Inspected by", max_length=150)
    note = forms.CharField(**_NOTE)


class RemovedForm(LineForm):
    """A protection taken off, and what was seen below."""

    seen = forms.CharField(
        label="Seen below it", max_length=LONGEST_NOTE, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Write no change visible where none was seen",
    )  # fmt: skip
    by = forms.CharField(label="Taken off by", max_length=150)
    note = forms.CharField(**_NOTE)


class CustodyForm(LineForm):
    """A fragment handed over."""

    by = forms.CharField(label="Handed over by", max_length=150)
    to = forms.CharField(label="Taken by", max_length=150)
    place = forms.CharField(label="Kept at", max_length=LONGEST_LINE)
    note = forms.CharField(**_NOTE)


class SourceForm(LineForm):
    """The loss from which a fragment came, as a person's statement."""

    item = forms.ChoiceField(label="Loss")
    grounds = forms.CharField(
        label="Grounds", max_length=LONGEST_NOTE, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Such as edge, layer, colour and size compared under a lens",
    )  # fmt: skip
    by = forms.CharField(label="Stated by", max_length=150)
    note = forms.CharField(**_NOTE)

    def offer(self, losses: list[tuple[str, str]]) -> None:
        """Offer the losses that lie above the fragment."""
        field = self.fields["item"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = losses


class DeckBookForm(LineForm):
    """Who went in or out."""

    way = forms.ChoiceField(label="In or out", choices=[(kinds.IN, "In"), (kinds.OUT, "Out")])
    who = forms.CharField(label="Who", max_length=150)
    deck = forms.ChoiceField(label="Deck", required=False)
    why = forms.CharField(
        label="Why", required=False, max_length=LONGEST_LINE, help_text="Needed on the way in"
    )
    keys = forms.CharField(label="Keys", required=False, max_length=LONGEST_LINE)
    note = forms.CharField(**_NOTE)


class EnclosureForm(LineForm):
    """How a part of the enclosure was found."""

    what = forms.ChoiceField(label="Part", choices=list(PART_WORDS.items()))
    state = forms.ChoiceField(
        label="Found", choices=[(key, said.capitalize()) for key, said in STATE_WORDS.items()]
    )
    place = forms.CharField(label="Which one", required=False, max_length=LONGEST_LINE)
    pressure_pa = forms.FloatField(label="Pressure across the filter, Pa", required=False)
    who = forms.CharField(label="Found by", max_length=150)
    note = forms.CharField(**_NOTE)


class PlantForm(LineForm):
    """A machine of the contractor's list."""

    name = forms.CharField(label="Machine", max_length=120)
    activity = forms.CharField(label="Activity", max_length=LONGEST_LINE)
    machine_class = forms.ChoiceField(label="Class")
    reference_ppv_in_s = forms.FloatField(
        label="Velocity at 25 ft, in/s", required=False, min_value=1e-5, max_value=100,
        help_text="Left empty, that of the class is taken over with its label",
    )  # fmt: skip
    source = forms.CharField(
        label="Source of the velocity", required=False, max_length=LONGEST_LINE
    )
    label = forms.ChoiceField(
        label="The velocity is", required=False,
        choices=[("", "as the class says"), *LABEL_WORDS.items()],
    )  # fmt: skip
    distance_in = LengthField(
        label="Least distance from the wall", minimum_in=0.0, help_text="Such as 18 ft"
    )
    phase = forms.ChoiceField(label="Phase", required=False)
    from_on = DateField(label="From")
    to_on = DateField(label="To")
    same_masonry = forms.BooleanField(
        label="It works on the masonry that carries the painting", required=False
    )
    by = forms.CharField(label="Stated by", max_length=150)
    note = forms.CharField(**_NOTE)

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        offered = [
            (one.key, f"{one.name}, {one.ppv_at_25_ft_in_s:g} in/s at 25 ft ({one.label})")
            for one in OFFERED
        ]
        phases = [(str(one.number), str(one)) for one in self.wall.phases.all()]
        for name, choices in (
            ("machine_class", [("", "choose"), *offered, (kinds.OTHER_PLANT, "another machine")]),
            ("phase", [("", "none"), *phases]),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = choices

    def clean(self) -> dict[str, Any]:
        """Ask for velocity and label where no offered class gives them."""
        data = super().clean()
        own = data.get("reference_ppv_in_s") is not None
        if data.get("machine_class") == kinds.OTHER_PLANT and not own:
            self.add_error(
                "reference_ppv_in_s", "Another machine needs its velocity at 25 ft, in in/s."
            )
        if own and not data.get("label"):
            self.add_error("label", "Say where the velocity typed here comes from.")
        return data

    def body(self) -> dict[str, Any]:
        """Return the entry's body; an offered velocity is taken over with label and source."""
        body = super().body()
        key = body.pop("machine_class")
        body |= {"class": key, "from": body.pop("from_on"), "to": body.pop("to_on")}
        if "phase" in body:
            body["phase"] = int(body["phase"])
        if "reference_ppv_in_s" not in body:
            plant = offered_plant(key)
            body |= {
                "reference_ppv_in_s": plant.ppv_at_25_ft_in_s,
                "label": plant.label.replace(" ", "-"),
                "source": plant.source,
            }
        return body


class BlowForm(LineForm):
    """One blow or pass of the supervised trial."""

    distance_in = LengthField(label="Distance from the wall", minimum_in=12.0)
    ppv_in_s = forms.FloatField(
        label="Peak particle velocity at the wall, in/s", min_value=1e-5, max_value=100
    )
    frequency_hz = forms.FloatField(
        label="Dominant frequency, Hz", required=False, min_value=0.1, max_value=10_000
    )
    who = forms.CharField(label="Supervised by", max_length=150)
    note = forms.CharField(**_NOTE)


class LampForm(LineForm):
    """A lamp that burned on the wall."""

    lamp = forms.CharField(label="Lamp", max_length=80, help_text="As on its label")
    cells = forms.CharField(label="Cells", required=False, max_length=4000, help_text=_CELLS_HINT)
    deck = forms.ChoiceField(label="Or the whole deck", required=False)
    lux = forms.FloatField(
        label="Illuminance at the wall, lx", min_value=0, max_value=200_000,
        help_text="Measured at the wall; 1 fc is 10.764 lx",
    )  # fmt: skip
    minutes = forms.FloatField(
        label="Burned, minutes", min_value=0, max_value=kinds.MOST_MINUTES,
        help_text="Up to the time given above",
    )  # fmt: skip
    before_f = forms.FloatField(label="Surface before, °F", required=False)
    after_f = forms.FloatField(label="Surface with the lamp, °F", required=False)
    surface_rh_pct = forms.FloatField(
        label="Humidity at the surface before, % RH", required=False, min_value=0, max_value=100
    )
    error_f = forms.FloatField(
        label="Thermometer's standard error, °F", required=False, min_value=0.02, max_value=18
    )
    by = forms.CharField(label="Written down by", max_length=150)
    note = forms.CharField(**_NOTE)

    def body(self) -> dict[str, Any]:
        """Return the entry's body, with temperatures in °C."""
        body = super().body()
        for typed, kept, convert in (
            ("before_f", "surface_before_c", fahrenheit_to_celsius),
            ("after_f", "surface_after_c", fahrenheit_to_celsius),
            ("error_f", "sensor_error_c", fahrenheit_difference_to_celsius),
        ):
            if typed in body:
                body[kept] = round(float(convert(body.pop(typed))), 4)
        return body


class DoseForm(LineForm):
    """A dose of light that was agreed for cells or the wall."""

    limit_lx_h = forms.FloatField(label="Agreed dose, lx·h", min_value=1, max_value=1e9)
    cells = forms.CharField(
        label="Cells", required=False, max_length=4000,
        help_text=f"{_CELLS_HINT}; left empty, it holds for the whole wall",
    )  # fmt: skip
    from_on = DateField(label="Holds from")
    until_on = DateField(label="Holds until")
    source = forms.CharField(label="Source and edition", max_length=LONGEST_LINE)
    label = forms.ChoiceField(label="The dose is", choices=list(LABEL_WORDS.items()))
    by = forms.CharField(label="Agreed by", max_length=150, help_text="Name and role")
    note = forms.CharField(**_NOTE)


FORMS: Final[dict[str, type[LineForm]]] = {
    kinds.PROTECTION: ProtectionForm,
    kinds.INSPECTED: InspectedForm,
    kinds.REMOVED: RemovedForm,
    kinds.CUSTODY: CustodyForm,
    kinds.SOURCE: SourceForm,
    kinds.DECK_BOOK: DeckBookForm,
    kinds.ENCLOSURE: EnclosureForm,
    kinds.PLANT: PlantForm,
    kinds.BLOW: BlowForm,
    kinds.LAMP: LampForm,
    kinds.DOSE: DoseForm,
}
# An entry's field → the field in which it is typed, for refusals.
TYPED_AS: Final = {
    "class": "machine_class", "from": "from_on", "to": "to_on", "surface_before_c": "before_f",
    "surface_after_c": "after_f", "sensor_error_c": "error_f", "cell": "cells",
}  # fmt: skip


def form_of(kind: str) -> type[LineForm]:
    """Return the form of a kind of line; raises NotFound."""
    if kind not in FORMS:
        raise NotFound(f"{kind!r} is no line of the site register.")
    return FORMS[kind]
