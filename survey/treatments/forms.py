"""How a treatment, and the decision for or against one, is typed."""

from datetime import UTC, datetime
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.record.bodies import ITEM_CHOICES
from survey.record.fields import LONGEST_LINE, LONGEST_NOTE
from survey.treatments import places
from survey.treatments.models import Treatment
from survey.treatments.pictures import MOMENTS, check_pictures, keep_pictures
from survey.vocabulary.selectors import latest_vocabulary, vocabulary_of
from survey.walls.form_fields import (
    DateField,
    LengthField,
    MomentField,
    NamedForm,
    name_in_refusals,
    rows_of,
)

PLACES = [
    ("cells", "Whole cells"),
    ("rectangle", "A rectangle in feet and inches"),
    ("item", "An outline drawn in a survey"),
    ("points", "Points typed one by one"),
]
KEPT_PLACE = ("kept", "The place as it stands")
LINES = {  # longer texts: rows of their box
    "reason": 2,
    "condition_before": 2,
    "method": 3,
    "result": 3,
    "adverse_effects": 2,
    "residues": 2,
    "retreatment_note": 2,
    "waste_and_safety": 2,
}
_TEXTS = {
    "reason": ("Reason", ""),
    "decided_by": ("Decided by", "Name and role"),
    "consent": ("Consent", "Whose, by which letter or meeting"),
    "condition_before": ("Condition before", ""),
    "method": ("Method", "With the test that went before it"),
    "tool": ("Tool", "Such as cotton swab, soft brush, syringe"),
    "product_chemical": ("Product, chemical name", ""),
    "product_trade": ("Product, trade name", ""),
    "batch": ("Batch", ""),
    "concentration": ("Concentration", "Such as 2 % in water"),
    "solvent": ("Solvent", ""),
    "amount": ("Amount", "Such as 40 ml"),
    "result": ("Result", "After drying, in normal light and under ultraviolet"),
    "adverse_effects": ("Adverse effects", "Write none seen where none were seen"),
    "residues": ("Residues left", ""),
    "retreatment_note": ("For whoever treats this again", ""),
    "waste_and_safety": ("Waste and safety", "Data sheets read, protection worn, waste bagged as"),
}
_NEEDED = {"reason", "decided_by", "condition_before", "method", "result"}


class PicturesInput(forms.ClearableFileInput):
    """A file control that takes several pictures."""

    allow_multiple_selected = True


class PicturesField(forms.FileField):
    """Several pictures of one moment; cleaned to files with their MIME types."""

    def __init__(self, **options: Any) -> None:
        options.setdefault(
            "widget", PicturesInput(attrs={"accept": "image/jpeg,image/png", "multiple": True})
        )
        super().__init__(required=False, **options)

    def clean(self, data: Any, initial: Any = None) -> list[tuple[UploadedFile, str]]:
        files = [file for file in (data if isinstance(data, list) else [data]) if file]
        try:
            return check_pictures(files, field=str(self.label).lower())
        except InvalidInput as error:
            raise forms.ValidationError(error.message) from error


class TreatmentForm(NamedForm):
    """Everything that a treatment's record holds."""

    term = forms.ChoiceField(label="What was done")
    place = forms.ChoiceField(label="Where, given as", choices=PLACES)
    cells = forms.CharField(
        label="Cells", required=False, max_length=4000, help_text="Such as C17, C18"
    )
    x = LengthField(label="From left end", required=False)
    y = LengthField(label="From lower edge", required=False)
    w = LengthField(label="Width", required=False)
    h = LengthField(label="Height", required=False)
    survey = forms.ChoiceField(label="Survey", required=False)
    item = forms.CharField(
        label="Item",
        required=False,
        max_length=40,
        help_text="The label of the outline, such as L1",
    )
    points = forms.CharField(
        label="Points",
        required=False,
        max_length=100_000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One a line, x then y, such as 2 ft, 1' 6\". A single one is a point.",
    )
    reveals = forms.BooleanField(label="It brings to view what was hidden", required=False)
    dwell_min = forms.FloatField(label="Dwell, minutes", required=False, min_value=0)
    temperature_c = forms.FloatField(label="Air, °C", required=False, min_value=-30, max_value=60)
    humidity_rh_pct = forms.FloatField(
        label="Air, % RH", required=False, min_value=0, max_value=100
    )
    operators = forms.CharField(
        label="Who did the work", max_length=2000, help_text="Every name, parted by commas"
    )
    started_at = MomentField(label="Began (UTC)")
    ended_at = MomentField(label="Ended (UTC)", required=False)
    before = PicturesField(label="Before")
    during = PicturesField(label="During")
    after = PicturesField(label="After")

    def __init__(
        self, *arguments: Any, wall: Wall, kept: Treatment | None = None, **options: Any
    ) -> None:
        super().__init__(*arguments, **options)
        self._wall, self._kept = wall, kept
        for name, (label, hint) in _TEXTS.items():
            widget = forms.Textarea(attrs={"rows": LINES[name]}) if name in LINES else None
            self.fields[name] = forms.CharField(
                label=label,
                help_text=hint,
                required=name in _NEEDED,
                max_length=LONGEST_NOTE if name in LINES else LONGEST_LINE,
                widget=widget or forms.TextInput(),
            )
            name_in_refusals(self.fields[name])
        terms = vocabulary_of(latest_vocabulary(wall)).terms
        self._choose("term", [(term.code, term.name) for term in terms if "T" in term.kind])
        codes = [(row.code, row.code) for row in wall.surveys.order_by("-starts_on", "-code")]
        self._choose("survey", codes)
        if kept is not None:
            self._choose("place", [KEPT_PLACE, *PLACES])

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices

    def group(self, *names: str) -> list[forms.BoundField]:
        """Return some of the fields, for a part of the page."""
        return [self[name] for name in names]

    @property
    def why(self) -> list[forms.BoundField]:
        return self.group("reason", "decided_by", "consent", "condition_before")

    @property
    def how(self) -> list[forms.BoundField]:
        return self.group(
            "method", "tool", "product_chemical", "product_trade", "batch", "concentration",
            "solvent", "amount", "dwell_min", "temperature_c", "humidity_rh_pct",
        )  # fmt: skip

    @property
    def who(self) -> list[forms.BoundField]:
        return self.group("operators", "started_at", "ended_at")

    @property
    def outcome(self) -> list[forms.BoundField]:
        return self.group(
            "result", "adverse_effects", "residues", "retreatment_note", "waste_and_safety"
        )

    @property
    def pictures(self) -> list[forms.BoundField]:
        return self.group(*MOMENTS)

    def clean(self) -> dict[str, Any]:
        typed = super().clean() or {}
        started, ended = typed.get("started_at"), typed.get("ended_at")
        if started and ended and ended < started:
            self.add_error("ended_at", f"{ended:%Y-%m-%d %H:%M} lies before the beginning.")
        if typed.get("place") and not {"x", "y", "w", "h"} & set(self.errors):
            try:
                typed["geometry"] = self._geometry(typed)
            except InvalidInput as error:
                names = {"width": "w", "height": "h"}
                field = names.get(error.field or "", error.field)
                self.add_error(field if field in self.fields else "place", error.message)
        return typed

    def _geometry(self, typed: dict[str, Any]) -> dict[str, Any]:
        chosen = typed["place"]
        if chosen == "kept" and self._kept is not None:
            kept: dict[str, Any] = self._kept.geometry
            return kept
        if chosen == "cells":
            return places.of_cells(typed["cells"], self._wall.layout.grid)
        if chosen == "points":
            return places.of_points(typed["points"])
        if chosen == "item":
            survey = self._wall.surveys.filter(code=typed["survey"]).first()
            if survey is None:
                raise InvalidInput("Choose the survey in which it was drawn.", field="survey")
            return places.of_item(survey, typed["item"])
        for name in ("x", "y", "w", "h"):
            if typed.get(name) is None:
                raise InvalidInput(
                    f"{self.fields[name].label} is empty; write it as 2' 6\".", field=name
                )
        return places.of_rectangle(
            left_in=typed["x"], lower_in=typed["y"], width_in=typed["w"], height_in=typed["h"]
        )

    def body(self) -> dict[str, Any]:
        """Return the body of the entry, after keeping the pictures; the form must be valid."""
        typed = self.cleaned_data
        body = {name: typed[name] for name in _TEXTS if typed[name]}
        body |= {
            name: typed[name]
            for name in ("dwell_min", "temperature_c", "humidity_rh_pct")
            if typed[name] is not None
        }
        body |= {
            "term": typed["term"],
            "geometry": typed["geometry"],
            "operators": [name.strip() for name in typed["operators"].split(",") if name.strip()],
            "started_at": _utc_text(typed["started_at"]),
        }
        if typed["ended_at"]:
            body["ended_at"] = _utc_text(typed["ended_at"])
        if typed["reveals"]:
            body["reveals"] = True
        if photographs := self._photographs():
            body["photographs"] = photographs
        return body

    def _photographs(self) -> dict[str, list[str]]:
        """Return the digests of each moment: those kept before, then the new ones."""
        before = self._kept.details.get("photographs", {}) if self._kept else {}
        found = {}
        for moment in MOMENTS:
            new = keep_pictures(self.cleaned_data[moment], self._wall)
            digests = [*before.get(moment, []), *new]
            if digests:
                found[moment] = list(dict.fromkeys(digests))
        return found


def typed_treatment(treatment: Treatment) -> dict[str, Any]:
    """Return a treatment as it stands in the form."""
    details = treatment.details
    typed = {name: details.get(name, "") for name in _TEXTS}
    for name in ("dwell_min", "temperature_c", "humidity_rh_pct"):
        typed[name] = details.get(name)
    return {
        **typed,
        "term": treatment.term,
        "place": "kept",
        "reveals": treatment.reveals,
        "operators": ", ".join(details.get("operators", [])),
        "started_at": treatment.started_at,
        "ended_at": treatment.ended_at,
    }


def _utc_text(value: datetime) -> str:
    return value.astimezone(UTC).isoformat().replace("+00:00", "Z")


def record_lines(treatment: Treatment) -> list[tuple[str, Any]]:
    """Return the label and value of everything that a record says in words, in its order."""
    labels = {name: label for name, (label, _) in _TEXTS.items()}
    units = {
        "dwell_min": "Dwell, minutes",
        "temperature_c": "Air, °C",
        "humidity_rh_pct": "Air, % RH",
    }
    order = [
        "reason", "decided_by", "consent", "condition_before", "method", "tool",
        "product_chemical", "product_trade", "batch", "concentration", "solvent", "amount",
        "dwell_min", "temperature_c", "humidity_rh_pct", "result", "adverse_effects", "residues",
        "retreatment_note", "waste_and_safety",
    ]  # fmt: skip
    said = treatment.details
    return [((labels | units)[name], said.get(name, "")) for name in order]


CHOICE_NAMES = {
    "leave": "Leave as it is",
    "watch": "Watch",
    "treat": "Treat",
    "investigate": "Investigate",
}
RECOMMENDATIONS = [
    ("", "none given"),
    ("0", "0, nothing needed"),
    ("1", "1, at the next occasion"),
    ("2", "2, within the works"),
    ("3", "3, at once"),
]


class DecisionForm(NamedForm):
    """What is to be done about an item: most often, nothing, and why."""

    choice = forms.ChoiceField(
        label="Decision",
        choices=[(choice, CHOICE_NAMES[choice]) for choice in ITEM_CHOICES],
        widget=forms.RadioSelect,
    )
    reason = forms.CharField(
        label="Reason",
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    decided_by = forms.CharField(label="Decided by", max_length=LONGEST_LINE)
    consented_by = forms.CharField(
        label="Consented by", required=False, max_length=LONGEST_LINE, help_text="Name and role"
    )
    review_on = DateField(
        label="Look at it again on",
        required=False,
        help_text="The decision is due for review from that day on.",
    )
    recommendation = forms.ChoiceField(
        label="Recommendation", choices=RECOMMENDATIONS, required=False
    )

    def body(self, *, item: str, refused: list[dict[str, str]]) -> dict[str, Any]:
        """Return the body of the decision's entry."""
        typed = self.cleaned_data
        body: dict[str, Any] = {
            "subject": "item",
            "item": item,
            "choice": typed["choice"],
            "reason": typed["reason"],
            "decided_by": typed["decided_by"],
        }
        if typed["consented_by"]:
            body["consented_by"] = typed["consented_by"]
        if typed["review_on"]:
            body["review_on"] = typed["review_on"].isoformat()
        if typed["recommendation"]:
            body["recommendation"] = int(typed["recommendation"])
        if refused:
            body["refused"] = refused
        return body


class RefusedForm(NamedForm):
    """An option that was considered and refused."""

    option = forms.CharField(label="Option refused", max_length=LONGEST_LINE)
    reason = forms.CharField(label="Refused because", max_length=LONGEST_NOTE)


Refused = rows_of(RefusedForm, extra=1, most=12)


class FindItemForm(NamedForm):
    """Which item a decision is about: its survey and label."""

    survey = forms.ChoiceField(label="Survey")
    item = forms.CharField(label="Item", max_length=40, help_text="Its label, such as L1")

    def __init__(self, *arguments: Any, wall: Wall, **options: Any) -> None:
        super().__init__(*arguments, **options)
        field = self.fields["survey"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(s.code, s.code) for s in wall.surveys.order_by("-starts_on", "-code")]
