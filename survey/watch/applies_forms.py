"""How a person states that a computation applies to this wall, and why."""

from typing import Any

from django import forms

from survey.record.fields import LONGEST_NOTE
from survey.walls.form_fields import NamedForm
from survey.watch.applies_kind import KNOWN_SALTS, SALT_CYCLES

SALT_WORDS = {
    "NaCl": "Sodium chloride, NaCl",
    "MgCl2": "Magnesium chloride, MgCl₂",
    "Mg(NO3)2": "Magnesium nitrate, Mg(NO₃)₂",
    "KNO3": "Potassium nitrate, KNO₃",
    "K2SO4": "Potassium sulfate, K₂SO₄",
    "KCl": "Potassium chloride, KCl",
    "Na2SO4": "Sodium sulfate, Na₂SO₄ (a range: sources differ)",
}


class AppliesForm(NamedForm):
    """Who answers for it, on what grounds, and for salt cycles which salts were identified."""

    by = forms.CharField(label="Stated by", max_length=150, help_text="Name and role")
    why = forms.CharField(
        label="Grounds",
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Sample, place, method and laboratory",
    )
    salts = forms.MultipleChoiceField(
        label="Salts identified",
        required=False,
        choices=[(salt, SALT_WORDS[salt]) for salt in KNOWN_SALTS],
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *arguments: Any, what: str, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.what = what
        if what != SALT_CYCLES:
            del self.fields["salts"]
            self.fields["why"].help_text = "Why a method of other materials serves this wall"

    def body(self, at: str) -> dict[str, Any]:
        """Return the entry's body, with the moment at which it is stated."""
        kept = {key: value for key, value in self.cleaned_data.items() if value}
        return {"at": at, "what": self.what, **kept}
