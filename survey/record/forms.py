"""The form that opens a survey: it keeps what was typed and names what is wrong."""

from typing import Any

from django import forms

from gridmap.errors import PontataError
from gridmap.models import Wall
from survey.record.models import Mode, Survey, SurveyKind
from survey.record.services import LONGEST_CODE, create_survey
from survey.vocabulary.selectors import latest_vocabulary, vocabulary_of

LONGEST_SEARCH_LIST = 20


class SurveyForm(forms.Form):
    """A survey's code, kind, dates, modes and search list."""

    code = forms.CharField(max_length=LONGEST_CODE, label="Code", help_text="Short, such as P3")
    kind = forms.ChoiceField(choices=SurveyKind.choices, label="Kind")
    starts_on = forms.DateField(
        label="First day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    ends_on = forms.DateField(
        label="Last day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    modes = forms.MultipleChoiceField(
        choices=Mode.choices,
        label="Modes",
        widget=forms.CheckboxSelectMultiple,
        initial=[Mode.NORMAL, Mode.RAKING],
    )
    searched = forms.MultipleChoiceField(
        label="Search list",
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text=(
            "What a finished cell asserts: looked for these, none seen except those drawn. "
            "Usually eight to twelve terms; without any, a finished cell asserts every term."
        ),
    )
    instruction = forms.CharField(
        label="Instruction", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    method = forms.CharField(
        label="Method, light and weather", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, wall: Wall, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._wall = wall
        self._vocabulary = vocabulary_of(latest_vocabulary(wall))
        searched = self.fields["searched"]
        assert isinstance(searched, forms.MultipleChoiceField)
        searched.choices = [
            (term.code, term.name) for term in self._vocabulary.terms if term.kind == "D"
        ]

    def clean_searched(self) -> list[str]:
        chosen: list[str] = self.cleaned_data["searched"]
        if len(chosen) > LONGEST_SEARCH_LIST:
            raise forms.ValidationError(
                f"{len(chosen)} terms are more than anyone looks for at once; "
                f"choose at most {LONGEST_SEARCH_LIST}."
            )
        return chosen

    def save(self) -> Survey | None:
        """Open the survey, or put the refusal beside its field and return None."""
        data = self.cleaned_data
        try:
            return create_survey(
                wall=self._wall,
                code=data["code"].strip(),
                kind=data["kind"],
                starts_on=data["starts_on"],
                ends_on=data["ends_on"],
                modes=data["modes"],
                search_list=self._search_list(),
                instruction=data["instruction"],
                method=data["method"],
            )
        except PontataError as error:
            self.add_error(error.field if error.field in self.fields else None, error.message)
            return None

    def _search_list(self) -> dict[str, list[str]]:
        modes = self.cleaned_data["modes"]
        searched = self.cleaned_data["searched"]
        lists = {
            mode: [
                code for code in searched if mode in self._vocabulary.term(code).modes_needed(modes)
            ]
            for mode in modes
        }
        return {mode: codes for mode, codes in lists.items() if codes}
