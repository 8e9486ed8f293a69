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
        rows = wall.surveys.select_related("layout", "wall").order_by("starts_on", "code")
        self.surveys = {row.code: row for row in rows}
        self.pictured = pictured_codes(wall)
        choices = [(code, self._words(row)) for code, row in self.surveys.items()]
        for name in ("before", "after"):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = choices

    def survey(self, name: str) -> Survey:
        """Return the survey that a field names."""
        return self.surveys[self.cleaned_data[name]]

    def _words(self, survey: Survey) -> str:
        none = "" if survey.code in self.pictured else ", no picture yet"
        return f"{survey.code}, {survey.starts_on:%-d %b %Y}{none}"


def first_choice(wall: Wall, *, after: str = "") -> dict[str, str]:
    """Return what is shown before anything is asked: a survey, or the last, and the one before it.

    The earliest survey has none before it, so it is laid beside the one that followed.
    """
    codes = pictured_codes(wall)
    if not codes:
        return {}
    place = codes.index(after) if after in codes else len(codes) - 1
    place = min(max(place, 1), len(codes) - 1)
    return {"before": codes[max(place - 1, 0)], "after": codes[place], "mode": Mode.NORMAL}


def pictured_codes(wall: Wall) -> list[str]:
    """Return the codes of the surveys that have pictures to lay beside others, the earliest first.

    Historical pictures do not count: nothing is measured on them.
    """
    rows = wall.surveys.order_by("starts_on", "code")
    return [
        row.code
        for row in rows
        if row.photographs.exclude(role="historic").exists() or row.mosaics.exists()
    ]
