"""How lengths, moments, repeated rows and refusals stand in the forms of this program.

A refusal names field, value and limit; what was typed stays in its place.
"""

from typing import Any, cast

from django import forms

from gridmap.errors import PontataError
from gridmap.lengths import parse_length_in, snap_in
from survey.walls.rings import exact_text

MOMENT_FORMAT = "%Y-%m-%dT%H:%M"


class NamedForm(forms.Form):
    """A form whose refusals name the field, its value and the limit."""

    use_required_attribute = False

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        for field in self.fields.values():
            name_in_refusals(field)


def name_in_refusals(field: forms.Field) -> None:
    """Let the refusals of a field begin with its label; for fields added late."""
    plain = str(field.label)
    label = plain.replace("%", "%%")  # these are filled in with the value and the limit
    said = {
        "required": f"{plain} is empty; fill it in.",
        "max_length": f"{label} has %(show_value)d characters; the limit is %(limit_value)d.",
        "min_value": f"{label} is %(show_value)s; it must be at least %(limit_value)s.",
        "max_value": f"{label} is %(show_value)s; it must be at most %(limit_value)s.",
    }
    if isinstance(field, forms.ChoiceField):
        said["invalid_choice"] = f"{label} is “%(value)s”; choose one that is offered."
    if isinstance(field, forms.IntegerField):  # decimal numbers, too
        said["invalid"] = f"{plain} is not a number."
    field.error_messages.update(said)


class LengthField(forms.CharField):
    """A length typed in feet and inches; cleaned to inches on the lattice, or None if empty."""

    def __init__(self, *, minimum_in: float | None = None, **options: Any) -> None:
        self.minimum_in = minimum_in
        options.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(**options)

    def clean(self, value: Any) -> float | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            name = str(self.label or "Length")
            return snap_in(parse_length_in(text, field=name, minimum_in=self.minimum_in))
        except PontataError as error:
            raise forms.ValidationError(error.message) from error

    def prepare_value(self, value: Any) -> Any:
        return exact_text(value) if isinstance(value, int | float) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return (self.prepare_value(initial) or "") != (data or "")


class DateField(forms.DateField):
    """A day, chosen in the browser's calendar or typed as 2026-03-16."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def __init__(self, **options: Any) -> None:
        options.setdefault("input_formats", ["%Y-%m-%d"])
        super().__init__(**options)

    def to_python(self, value: Any) -> Any:
        try:
            return super().to_python(value)
        except forms.ValidationError as error:
            raise forms.ValidationError(
                f"{self.label} is {value!r}, which is no date. Write it as 2026-03-16."
            ) from error


class MomentField(forms.DateTimeField):
    """A day and time in UTC."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format=MOMENT_FORMAT)

    def __init__(self, **options: Any) -> None:
        options.setdefault("input_formats", [MOMENT_FORMAT, "%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%S"])
        super().__init__(**options)

    def to_python(self, value: Any) -> Any:
        try:
            return super().to_python(value)
        except forms.ValidationError as error:
            raise forms.ValidationError(
                f"{self.label} is {value!r}, which is no day and time. Write it as "
                "2026-06-22 09:30."
            ) from error


class BaseRows(forms.BaseFormSet):
    """Repeated rows of a form; a row left empty is no row.

    Every row may be left empty, those of an earlier version too, so none counts as initial.
    """

    def initial_form_count(self) -> int:
        return 0

    def total_form_count(self) -> int:
        if self.is_bound:
            return super().total_form_count()
        return len(self.initial or []) + self.extra

    @property
    def filled(self) -> list[tuple[int, dict[str, Any]]]:
        """The rows that say something, with their places, once the rows are valid."""
        return [
            (place, form.cleaned_data)
            for place, form in enumerate(self.forms)
            if form.has_changed() and not form.cleaned_data.get("DELETE")
        ]


def rows_of(row: type[forms.Form], *, extra: int = 1, most: int = 200) -> type[BaseRows]:
    """Return the class of repeated rows of one form."""
    made = forms.formset_factory(
        row,
        formset=BaseRows,
        extra=extra,
        can_delete=True,
        max_num=most,
        absolute_max=most + 1,
        validate_max=True,
    )
    return cast(type[BaseRows], made)


def with_another_row(data: Any, prefix: str) -> Any:
    """Return posted data with one more row under a prefix, for browsers without scripts."""
    changed = data.copy()
    key = f"{prefix}-TOTAL_FORMS"
    try:
        changed[key] = str(int(changed.get(key, "0")) + 1)
    except ValueError:
        changed[key] = "1"
    return changed


def refuse(form: forms.Form, error: PontataError, fields: dict[str, str] | None = None) -> None:
    """Put a refusal beside the field that it names, else above the form."""
    name = (fields or {}).get(error.field or "", error.field)
    form.add_error(name if name in form.fields else None, error.message)
