"""What is asked for when two pictures are to be laid beside each other?"""

from typing import Any

from django import forms

from gridmap.models import Wall
from survey.photos.forms import PICTURE_MODES
from survey.record.models import Mode, Survey
from survey.walls.form_fields import NamedForm


class PairForm(NamedForm):
    """Two surveys, a light and a cell, and the two pictures where a person chose them."""

    before = forms.ChoiceField(label="Earlier survey")
    after = forms.ChoiceField(label="Later survey")
    mode = forms.ChoiceField(label="Light", choices=PICTURE_MODES)
    cell = forms.CharField(label="Cell", max_length=20, required=False, help_text="Such as C17")
    first = forms.CharField(required=False, max_length=80, widget=forms.HiddenInput)
    second = forms.CharField(required=False, max_length=80, widget=forms.HiddenInput)

    def __init__(self, *arguments: Any, wall: Wall, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.surveys = {row.code: row for row in _surveys(wall)}
        choices = [
            (code, f"{code}, {row.starts_on:%-d %b %Y}") for code, row in self.surveys.items()
        ]
        for name in ("before", "after"):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = choices

    def survey(self, name: str) -> Survey:
        """Return the survey that a field names."""
        return self.surveys[self.cleaned_data[name]]


def first_choice(wall: Wall) -> dict[str, str]:
    """Return what is shown before anything is asked: the last survey and the one before it."""
    codes = [row.code for row in _surveys(wall)]
    if not codes:
        return {}
    return {
        "before": codes[-2] if len(codes) > 1 else codes[-1],
        "after": codes[-1],
        "mode": Mode.NORMAL,
    }


def _surveys(wall: Wall) -> list[Survey]:
    """Return the surveys that have pictures, the earliest first."""
    rows = wall.surveys.select_related("layout", "wall").order_by("starts_on", "code")
    return [row for row in rows if row.photographs.exists() or row.mosaics.exists()]
