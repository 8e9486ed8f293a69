"""How each step of an exceedance's or a stop's log is typed."""

from datetime import datetime
from typing import Any

from django import forms

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.record.fields import LONGEST_NOTE
from survey.walls.form_fields import LengthField, MomentField, NamedForm
from survey.watch import stop_kinds as kinds
from survey.watch.cells_due import Choice
from survey.watch.stops import Case

HOW = [
    ("by telephone", "By telephone"),
    ("in person", "In person"),
    ("by radio", "By radio"),
    ("by e-mail", "By e-mail"),
    ("by its siren", "By the instrument's siren"),
]
FIT_WORDS = {
    "fit": "fit for use",
    "fit-after-repair": "fit after repair",
    "not-fit": "not fit: nobody climbs",
}
CAUSE_WORDS = {
    "agreed": "agreed",
    "disputed": "disputed",
    "reserved": "reserved",
    "not-known": "not known",
}
_NOTE: dict[str, Any] = {
    "max_length": LONGEST_NOTE,
    "widget": forms.Textarea(attrs={"rows": 2}),
}


class StepForm(NamedForm):
    """What every step asks: when it was."""

    at = MomentField(label="When (UTC)")

    def body(self) -> dict[str, Any]:
        """Return the entry's body without what it is about."""
        data = {name: value for name, value in self.cleaned_data.items() if value not in (None, "")}
        at = data["at"]
        assert isinstance(at, datetime)
        return {**data, "at": at.isoformat()}


class ActivityForm(StepForm):
    """What was going on, in the contractor's words."""

    activity = forms.CharField(label="Activity, in the contractor's words", **_NOTE)
    plant = forms.CharField(label="Plant", required=False, max_length=300)
    distance_in = LengthField(
        label="Distance from the wall", required=False, minimum_in=0.0, help_text="Such as 18 ft"
    )
    by = forms.CharField(label="Said by", max_length=150)


class ToldForm(StepForm):
    """Who was told, how and by whom."""

    who = forms.CharField(label="Who was told", max_length=150)
    role = forms.CharField(label="Role", required=False, max_length=300)
    how = forms.ChoiceField(label="How", choices=HOW)
    said = forms.CharField(label="What was said", required=False, **_NOTE)
    by = forms.CharField(label="Told by", max_length=150)


class CellsDueForm(StepForm):
    """Which cells are due: the proposal, or a changed choice with its reason."""

    cells = forms.CharField(
        label="Cells due",
        required=False,
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="In the order of looking. Empty only where no cell is fragile.",
    )
    changed_because = forms.CharField(label="Changed because", required=False, **_NOTE)
    by = forms.CharField(label="Chosen by", max_length=150)

    def __init__(self, *arguments: Any, wall: Wall, choice: Choice, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self._wall, self._choice = wall, choice

    def clean(self) -> dict[str, Any]:
        """Read the cells as on the grid; a changed choice says why."""
        data: dict[str, Any] = super().clean() or {}
        data["cells"] = typed_cells(self, self._wall, data.get("cells", ""))
        changed = set(data["cells"]) != set(self._choice.cells)
        if changed and not self.errors and not data.get("changed_because"):
            self.add_error(
                "changed_because",
                "The cells differ from the proposal; say in a few words why.",
            )
        return data

    def body(self) -> dict[str, Any]:
        """Return the body with the words that say how the cells were chosen."""
        return {"cells": [], **super().body(), "chosen": self._choice.words}


class ReinspectedForm(StepForm):
    """Who inspected the scaffold again, by which competence, and whether it is fit."""

    by = forms.CharField(label="Inspected by", max_length=150)
    competence = forms.CharField(
        label="Competence", max_length=300, help_text="Such as scaffold inspector, card and number"
    )
    result = forms.ChoiceField(label="The scaffold is", choices=list(FIT_WORDS.items()))
    note = forms.CharField(label="Note", required=False, **_NOTE)


class LookedForm(StepForm):
    """What was seen, or why cells could not be looked at and who accepted that."""

    cells = forms.CharField(
        label="Cells", max_length=20_000, widget=forms.Textarea(attrs={"rows": 2})
    )
    result = forms.CharField(label="Result", help_text="What was seen, in words", **_NOTE)
    reason = forms.CharField(label="Inaccessible because", required=False, **_NOTE)
    accepted_by = forms.CharField(label="Accepted by", required=False, max_length=150)
    by = forms.CharField(label="Looked by", max_length=150)

    def __init__(self, *arguments: Any, wall: Wall, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self._wall = wall

    def clean(self) -> dict[str, Any]:
        """Read the cells; a reason and who accepted it go together."""
        data: dict[str, Any] = super().clean() or {}
        if "cells" not in self.errors:
            data["cells"] = typed_cells(self, self._wall, data.get("cells", ""))
        for given, other, text in (
            ("reason", "accepted_by", "Accepted by is empty; name who accepted the reason."),
            ("accepted_by", "reason", "Inaccessible because is empty; give the reason."),
        ):
            if data.get(given) and not data.get(other):
                self.add_error(other, text)
        return data

    def body(self) -> dict[str, Any]:
        """Return the body, with the reason and who accepted it together."""
        body = super().body()
        reason, accepted = body.pop("reason", ""), body.pop("accepted_by", "")
        if reason:
            body["inaccessible"] = {"reason": reason, "accepted_by": accepted}
        return body


class CauseForm(StepForm):
    """Whose opinion of the cause it is, and whether it is agreed."""

    cause = forms.CharField(label="Cause, as opinion", **_NOTE)
    agreed = forms.ChoiceField(label="It is", choices=list(CAUSE_WORDS.items()))
    by = forms.CharField(label="Opinion of", max_length=150)


class NoObjectionForm(StepForm):
    """A named person's word, for the painting only."""

    by = forms.CharField(label="Given by", max_length=150)
    words = forms.ChoiceField(label="Words", choices=[(kinds.PAINTING_ONLY, kinds.PAINTING_ONLY)])


class InstructionForm(StepForm):
    """The instruction under the contract, by a named role."""

    by = forms.CharField(label="Given by", max_length=150)
    role = forms.CharField(
        label="Role under the contract", max_length=300, help_text="Such as contract administrator"
    )
    words = forms.CharField(label="Words of the instruction", **_NOTE)


_PLAIN: dict[str, type[StepForm]] = {
    kinds.ACTIVITY: ActivityForm,
    kinds.TOLD: ToldForm,
    kinds.REINSPECTED: ReinspectedForm,
    kinds.CAUSE: CauseForm,
    kinds.NO_OBJECTION: NoObjectionForm,
    kinds.INSTRUCTION: InstructionForm,
}


def form_of_step(
    kind: str, case: Case, *, choice: Choice, name: str, now: datetime, data: Any = None
) -> StepForm:
    """Return the form of a step, filled with who is at the desk and what is proposed."""
    by = "" if kind in (kinds.REINSPECTED, kinds.INSTRUCTION, kinds.ACTIVITY) else name
    initial: dict[str, Any] = {"at": now.replace(second=0, microsecond=0), "by": by}
    options: dict[str, Any] = {"initial": initial, "prefix": kind}
    if kind == kinds.CELLS_DUE:
        chosen = case.due_chosen
        initial["cells"] = ", ".join(chosen.cells if chosen else choice.cells)
        return CellsDueForm(data, wall=case.wall, choice=choice, **options)
    if kind == kinds.LOOKED:
        return LookedForm(data, wall=case.wall, **options)
    if kind not in _PLAIN:
        raise InvalidInput(f"{kind!r} is no step of the log.", field="step")
    return _PLAIN[kind](data, **options)


def typed_cells(form: forms.Form, wall: Wall, text: str) -> list[str]:
    """Return the cells of a text as on the grid, each once; a refusal goes beside the field."""
    grid = wall.layout.grid
    found: list[str] = []
    for word in text.replace(";", ",").replace("\n", ",").split(","):
        if not word.strip():
            continue
        try:
            found.append(grid.label(*grid.position(word.strip())))
        except InvalidInput as error:
            form.add_error("cells", error.message)
            return []
    return list(dict.fromkeys(found))
