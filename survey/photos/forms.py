"""How the pages about photographs are typed: a correction, a shot list, a historical picture."""

from typing import Any

from django import forms

from gridmap.errors import InvalidInput
from survey.photos.models import Photograph
from survey.photos.presence_kind import ANSWERS
from survey.photos.said import DATE_CERTAINTIES, HISTORIC_KEYS
from survey.photos.shot_selectors import CAMERA_PX, OVERLAP, PX_PER_IN, ShotRequest
from survey.photos.taking_in import Statement
from survey.record.fields import LONGEST_LINE, LONGEST_NOTE
from survey.record.models import Mode, Survey
from survey.walls.form_fields import DateField, NamedForm

SIDES = (
    ("", "Not stated"),
    ("left", "From the left"),
    ("right", "From the right"),
    ("top", "From above"),
    ("below", "From below"),
    ("even", "Even, from both sides"),
)
# Tapping and meters make no pictures.
PICTURE_MODES = [(m.value, m.label) for m in Mode if m not in {Mode.PERCUSSION, Mode.READING}]
CERTAINTIES = [(word, word.capitalize()) for word in DATE_CERTAINTIES]
COUNTS_AS = (("record", "Record photograph"), ("note", "Camera note"))
MOST_CELLS_TYPED = 40


def cells_typed(text: str, survey: Survey, *, field: str = "cells") -> list[str]:
    """Return the cells of a text such as "C17, C18"; raises InvalidInput."""
    grid = survey.layout.grid
    named = [part for part in text.replace(";", ",").split(",") if part.strip()]
    if len(named) > MOST_CELLS_TYPED:
        raise InvalidInput(
            f"Cells names {len(named)} cells; the limit is {MOST_CELLS_TYPED}.", field=field
        )
    try:
        return list(dict.fromkeys(grid.label(*grid.position(part)) for part in named))
    except InvalidInput as error:
        raise InvalidInput(error.message, field=field) from error


class LightForm(NamedForm):
    """In which light a photograph was taken, and what lies in the frame."""

    mode = forms.ChoiceField(label="Light", choices=PICTURE_MODES)
    lamp_side = forms.ChoiceField(label="Lamp", choices=SIDES, required=False)
    lamp = forms.CharField(
        label="Which lamp", required=False, max_length=120, help_text="Such as LED panel, 5600 K"
    )
    angle_deg = forms.FloatField(
        label="Angle to the wall, degrees", required=False, min_value=0, max_value=90
    )
    scale_bar = forms.BooleanField(label="Scale bar in the frame", required=False)
    colour_target = forms.BooleanField(label="Colour target in the frame", required=False)

    def light(self) -> dict[str, Any]:
        """Return lamp, angle and what lies in the frame, without what was not said."""
        said = {key: self.cleaned_data[key] for key in ("lamp", "angle_deg")}
        flags = {key: self.cleaned_data[key] for key in ("scale_bar", "colour_target")}
        told = {key: value for key, value in said.items() if value not in ("", None)}
        return told | {key: True for key, value in flags.items() if value}


class CorrectionForm(LightForm):
    """What may be put right of a photograph; its bytes never change."""

    cells = forms.CharField(
        label="Cells", required=False, max_length=400, help_text="Such as C17, or C17, C18"
    )
    role = forms.ChoiceField(label="Counts as", choices=COUNTS_AS)
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    field_order = ("cells", "mode", "lamp_side", "lamp", "angle_deg", "role")

    def __init__(self, *arguments: Any, photograph: Photograph, **options: Any) -> None:
        options.setdefault("initial", _as_it_stands(photograph))
        super().__init__(*arguments, **options)
        self._photograph = photograph

    def changes(self) -> dict[str, Any]:
        """Return what differs from the record; a cell named by a person is no longer a slate's."""
        kept = self._photograph
        cells = cells_typed(self.cleaned_data["cells"], kept.survey)
        # The angle may stand behind the side; a side that was not touched is left as it is.
        side = self.cleaned_data["lamp_side"]
        said: dict[str, Any] = {
            "mode": self.cleaned_data["mode"],
            "lamp_side": kept.lamp_side if side == _side(kept) else side,
            "light": self.light(),
            "note": self.cleaned_data["note"].strip(),
            "role": self.cleaned_data["role"],
            "cells": cells,
        }
        stands = {key: getattr(kept, key) for key in said}
        changed = {key: value for key, value in said.items() if value != stands[key]}
        if kept.slate and {"cells", "role", "mode", "lamp_side"} & set(changed):
            changed["slate"] = None
        return {key: value if value else None for key, value in changed.items()}


class CellsForm(NamedForm):
    """Cells for the frames that were chosen from a list."""

    cells = forms.CharField(label="Cells", max_length=400, help_text="Such as C17, or C17, C18")


class ShotForm(NamedForm):
    """Which camera, which scale, which overlap, which light."""

    mode = forms.ChoiceField(label="Light", choices=PICTURE_MODES, initial=Mode.NORMAL)
    lamp_side = forms.ChoiceField(label="Lamp", choices=SIDES, required=False)
    width_px = forms.IntegerField(
        label="Camera, px across", initial=CAMERA_PX[0], min_value=1, max_value=100_000
    )
    height_px = forms.IntegerField(
        label="Camera, px high", initial=CAMERA_PX[1], min_value=1, max_value=100_000
    )
    px_per_in = forms.FloatField(
        label="Scale, px per inch", initial=f"{PX_PER_IN:g}", min_value=1, max_value=5000
    )
    overlap_pct = forms.FloatField(
        label="Overlap, %", initial=f"{100 * OVERLAP:g}", min_value=0, max_value=90
    )

    def wanted(self) -> ShotRequest:
        """Return the request as it was typed."""
        said = self.cleaned_data
        return ShotRequest(
            mode=said["mode"],
            lamp_side=said["lamp_side"],
            camera_px=(said["width_px"], said["height_px"]),
            px_per_in=said["px_per_in"],
            overlap=said["overlap_pct"] / 100,
        )


class DatedForm(NamedForm):
    """Date and source of a picture from before the works, each with its certainty."""

    date_words = forms.CharField(
        label="Date, in words",
        max_length=LONGEST_LINE,
        help_text="Such as summer 1951, or before 1938",
    )
    earliest = DateField(label="Not before", required=False)
    latest = DateField(label="Not after", required=False)
    date_certainty = forms.ChoiceField(label="The date is", choices=CERTAINTIES)
    source = forms.CharField(
        label="Source",
        max_length=LONGEST_LINE,
        help_text="Where it lies and under which number; a postcard's publisher",
    )
    source_certainty = forms.ChoiceField(label="The source is", choices=CERTAINTIES)
    cells = forms.CharField(
        label="Cells that it shows",
        required=False,
        max_length=400,
        help_text="Such as C17, C18; where they are many, leave it empty and place the picture",
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Such as retouched in print, or cropped at the left",
    )

    def historic(self) -> dict[str, str]:
        """Return date and source as an entry holds them, without what was not said."""
        said = {key: self.cleaned_data[key] for key in sorted(HISTORIC_KEYS)}
        for day in ("earliest", "latest"):
            said[day] = said[day].isoformat() if said[day] else ""
        return {key: value for key, value in said.items() if value}


class HistoricForm(DatedForm):
    """A picture from before the works, and the survey in whose logbook it is kept."""

    survey = forms.ChoiceField(label="Kept with survey")
    file = forms.FileField(
        label="Picture",
        widget=forms.FileInput(
            attrs={"accept": "image/jpeg,image/png,image/tiff,image/heic,.tif,.heic"}
        ),
        help_text="JPEG, PNG, TIFF or HEIC; the file is kept as it comes.",
    )

    def __init__(self, *arguments: Any, surveys: list[Survey], **options: Any) -> None:
        super().__init__(*arguments, **options)
        self._surveys = {survey.code: survey for survey in surveys}
        chosen = self.fields["survey"]
        assert isinstance(chosen, forms.ChoiceField)
        chosen.choices = [(code, code) for code in self._surveys]

    def survey_chosen(self) -> Survey:
        """Return the survey in whose logbook the picture is kept."""
        return self._surveys[self.cleaned_data["survey"]]

    def statement(self) -> Statement:
        """Return what is said of the picture."""
        return Statement(
            mode=Mode.NORMAL,
            role="historic",
            cells=tuple(cells_typed(self.cleaned_data["cells"], self.survey_chosen())),
            note=self.cleaned_data["note"].strip(),
            historic=self.historic(),
        )


class HistoricCorrectionForm(DatedForm):
    """What may be put right of a historical picture: date, source, cells, note."""

    def __init__(self, *arguments: Any, photograph: Photograph, **options: Any) -> None:
        stands = {"cells": ", ".join(photograph.cells), "note": photograph.note}
        options.setdefault("initial", {**photograph.historic, **stands})
        super().__init__(*arguments, **options)
        self._photograph = photograph

    def changes(self) -> dict[str, Any]:
        """Return what differs from the record."""
        kept = self._photograph
        said: dict[str, Any] = {
            "cells": cells_typed(self.cleaned_data["cells"], kept.survey),
            "note": self.cleaned_data["note"].strip(),
            "historic": self.historic(),
        }
        changed = {key: value for key, value in said.items() if value != getattr(kept, key)}
        return {key: value if value else None for key, value in changed.items()}


def correction_form(
    photograph: Photograph, typed: Any = None
) -> CorrectionForm | HistoricCorrectionForm:
    """Return the form that corrects a photograph, filled with what was typed or what stands."""
    if photograph.role == "historic":
        return HistoricCorrectionForm(typed, photograph=photograph)
    return CorrectionForm(typed, photograph=photograph)


class PresenceForm(NamedForm):
    """What a historical picture shows of one place."""

    cell = forms.CharField(label="Cell", max_length=20, help_text="Such as C17")
    what = forms.CharField(
        label="What is looked for",
        max_length=LONGEST_LINE,
        help_text="Such as the crack beside the clock, the loss at the driver's hand",
    )
    item = forms.CharField(
        label="Item on record", required=False, max_length=40, help_text="Such as L1"
    )
    answer = forms.ChoiceField(
        label="The picture says", choices=list(ANSWERS.items()), widget=forms.RadioSelect
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What in the picture says so, or why it cannot tell",
    )


def _as_it_stands(photograph: Photograph) -> dict[str, Any]:
    return {
        "cells": ", ".join(photograph.cells),
        "mode": photograph.mode,
        "lamp_side": _side(photograph),
        "role": photograph.role,
        "note": photograph.note,
        **photograph.light,
    }


def _side(photograph: Photograph) -> str:
    return photograph.lamp_side.split(",")[0].strip()
