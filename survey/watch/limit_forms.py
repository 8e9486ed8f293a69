"""How a limit is typed: its numbers, its place, its source, and who agreed it."""

from typing import Any

from django import forms

from gridmap.models import Wall
from survey.record.fields import LONGEST_NOTE
from survey.walls.form_fields import DateField, NamedForm
from survey.watch.instrument_kinds import AXES
from survey.watch.models import Instrument, Limit
from survey.watch.offered import Offer
from survey.watch.quantities import QUANTITIES
from survey.watch.vibration_limits import OFFERED as CURVES

DIRECTION_WORDS = {
    "above": "Beyond when at or above",
    "below": "Beyond when at or below",
    "change-24h": "Beyond when the range of 24 hours reaches it",
}
LABEL_WORDS = {
    "confirmed": "confirmed: read in a text that gives it",
    "from-memory": "from memory: check it in the document",
    "agreed-on-site": "agreed on site",
}
_FROM_CONTENT = (
    "quantity", "unit", "direction", "amber", "red", "table", "axis", "source", "edition", "label",
    "verified_by", "verified_on", "agreed_by", "valid_from", "valid_to", "phase", "note",
)  # fmt: skip


class LimitForm(NamedForm):
    """One limit; nothing in it is preset but what a person took over from an offer."""

    quantity = forms.ChoiceField(
        label="Quantity",
        choices=[(one.name, one.words.capitalize()) for one in QUANTITIES.values()],
    )
    unit = forms.ChoiceField(
        label="Unit",
        choices=[(unit, unit) for unit in dict.fromkeys(
            unit for one in QUANTITIES.values() for unit in one.units
        )],
    )  # fmt: skip
    direction = forms.ChoiceField(label="Direction", choices=list(DIRECTION_WORDS.items()))
    amber = forms.FloatField(label="Amber", required=False, help_text="Tell and look")
    red = forms.FloatField(label="Red", required=False, help_text="Stop the listed activities")
    table = forms.ChoiceField(
        label="Table of frequencies",
        required=False,
        choices=[("", "none: one number for all frequencies")]
        + [(curve.key, curve.name) for curve in CURVES if len(curve.bands) > 1],
        help_text="With a table, amber and red are shares of its value: 1 is the table itself",
    )
    axis = forms.ChoiceField(
        label="Axis",
        required=False,
        choices=[("", "each axis"), *((axis, axis) for axis in AXES[:-1]), ("sum", "vector sum")],
    )
    place = forms.ChoiceField(label="Place")
    cell = forms.CharField(label="Cell", required=False, max_length=20, help_text="Such as C17")
    source = forms.CharField(label="Source", max_length=300)
    edition = forms.CharField(label="Edition", required=False, max_length=300)
    label = forms.ChoiceField(label="How far checked", choices=list(LABEL_WORDS.items()))
    verified_by = forms.CharField(
        label="Checked in the document by", required=False, max_length=150
    )
    verified_on = DateField(label="Checked on", required=False)
    agreed_by = forms.CharField(
        label="Agreed by",
        max_length=150,
        help_text="Names and roles, such as conservator, engineer",
    )
    phase = forms.ChoiceField(
        label="Phase of works", required=False, help_text="Its dates are taken where none are typed"
    )
    valid_from = DateField(label="Holds from", required=False)
    valid_to = DateField(
        label="Holds until", required=False, help_text="Last day; none: until changed"
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *arguments: Any, wall: Wall, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self._phases = {f"{phase.number}": phase for phase in wall.phases.all()}
        phases = self.fields["phase"]
        places = self.fields["place"]
        assert isinstance(phases, forms.ChoiceField)
        assert isinstance(places, forms.ChoiceField)
        phases.choices = [("", "no phase"), *((key, str(one)) for key, one in self._phases.items())]
        places.choices = [
            ("wall:", "The whole wall"),
            *((f"deck:{deck['name']}", f"Deck {deck['name']}") for deck in wall.layout.decks),
            *(
                (f"instrument:{row.code}", f"Instrument {row}")
                for row in Instrument.objects.filter(wall=wall)
            ),
            ("cell:", "One cell, named beside"),
        ]

    def clean(self) -> dict[str, Any]:
        """Take the dates of the phase where none are typed; a limit must begin on a day."""
        data: dict[str, Any] = super().clean() or {}
        phase = self._phases.get(data.get("phase") or "")
        if phase is not None:
            data["valid_from"] = data.get("valid_from") or phase.starts_on
            data["valid_to"] = data.get("valid_to") or phase.ends_on
        if not data.get("valid_from") and "valid_from" not in self.errors:
            self.add_error(
                "valid_from", "Holds from is empty; name the first day, or choose a phase of works."
            )
        return data

    def body(self) -> dict[str, Any]:
        """Return the entry's body."""
        data = self.cleaned_data
        kept: dict[str, Any] = {
            name: data[name]
            for name in _FROM_CONTENT
            if data.get(name) not in (None, "") and name not in ("phase",)
        }
        for name in ("verified_on", "valid_from", "valid_to"):
            if name in kept:
                kept[name] = kept[name].isoformat()
        if data.get("phase"):
            kept["phase"] = str(self._phases[data["phase"]])
        what, _, name = data["place"].partition(":")
        kept["place"] = {"what": what, "name": data["cell"].strip() if what == "cell" else name}
        return kept


def of_offer(offer: Offer) -> dict[str, Any]:
    """Return what the form shows when a person takes an offer over."""
    return {
        "quantity": offer.quantity,
        "unit": offer.unit,
        "direction": offer.direction,
        "amber": offer.amber,
        "red": offer.red,
        "table": offer.table,
        "axis": offer.axis,
        "source": f"{offer.source}: {offer.name}"[:300],
        "label": offer.label,
        "note": offer.note,
        "place": "wall:",
    }


def of_limit(limit: Limit) -> dict[str, Any]:
    """Return what the form shows when a limit is corrected."""
    found = {name: limit.content.get(name) for name in _FROM_CONTENT}
    place = limit.content["place"]
    cell = place["what"] == "cell"
    found["place"] = "cell:" if cell else f"{place['what']}:{place['name']}"
    found["cell"] = place["name"] if cell else ""
    found["phase"] = (found["phase"] or "").partition(",")[0].removeprefix("Phase ")
    return found
