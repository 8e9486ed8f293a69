"""How are laying and importing a mosaic typed at the desk?"""

from typing import Any

from django import forms

from survey.photos.forms import PICTURE_MODES, SIDES
from survey.photos.mosaic_kind import IMPORTED
from survey.photos.mosaicking import LEAST_PX_PER_IN, MOST_PX_PER_IN
from survey.photos.mosaics import MosaicStatement
from survey.record.fields import LONGEST_NOTE
from survey.record.models import Mode, Survey
from survey.walls.form_fields import DateField, LengthField, NamedForm


class LayForm(NamedForm):
    """Which light is laid together, and how fine."""

    mode = forms.ChoiceField(label="Light", choices=PICTURE_MODES)
    lamp_side = forms.CharField(label="Lamp", required=False, max_length=20)
    px_per_in = forms.FloatField(
        label="Pixels per inch", min_value=LEAST_PX_PER_IN, max_value=MOST_PX_PER_IN
    )


class ImportForm(NamedForm):
    """A finished picture, which part of the wall it shows, and how sure its places are."""

    file = forms.FileField(
        label="File",
        widget=forms.FileInput(attrs={"accept": "image/tiff,image/jpeg,image/png,.tif,.tiff"}),
        help_text="TIFF, JPEG or PNG, upright, of up to 2 gigapixels; it is kept as it comes.",
    )
    mode = forms.ChoiceField(label="Light", choices=PICTURE_MODES)
    lamp_side = forms.ChoiceField(label="Lamp", choices=SIDES, required=False)
    left = LengthField(label="Left edge", help_text="From the painting's left end: 0 ft")
    right = LengthField(label="Right edge", help_text="From the painting's left end")
    lower = LengthField(label="Lower edge", help_text="Above the painting's lower edge: 0 ft")
    upper = LengthField(label="Upper edge", help_text="Above the painting's lower edge")
    error = LengthField(
        label="Error of a place",
        help_text="One standard deviation, from whoever made it, such as 1/8 in",
    )
    taken_on = DateField(label="Taken on", required=False)
    operator = forms.CharField(label="Made by", required=False, max_length=150)
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *arguments: Any, survey: Survey, **options: Any) -> None:
        layout = survey.layout
        options.setdefault(
            "initial",
            {
                "mode": Mode.NORMAL,
                "left": 0.0,
                "right": layout.width_in,
                "lower": 0.0,
                "upper": layout.height_in,
            },
        )
        super().__init__(*arguments, **options)

    def statement(self) -> MosaicStatement:
        """Return what was typed."""
        said = self.cleaned_data
        return MosaicStatement(
            mode=said["mode"],
            lamp_side=said["lamp_side"],
            bounds_in=(said["left"], said["lower"], said["right"], said["upper"]),
            error_in=said["error"],
            source=IMPORTED,
            taken_on=said["taken_on"],
            operator=said["operator"],
            note=said["note"].strip(),
        )
