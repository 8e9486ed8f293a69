"""The due list: what is due for a look and why, and the agreement on looks that it stands on."""

from datetime import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gridmap.errors import PontataError
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.drafts import Writer
from survey.people.pages import open_page
from survey.people.permissions import Action, require
from survey.people.selectors import signed_in
from survey.record.notices import notices_of
from survey.walls.form_fields import DateField, NamedForm, refuse
from survey.watch.due import NEAR_WORDS, agreement_of, due_now, next_repeat
from survey.watch.log_lines import say
from survey.watch.stop_kinds import AGREEMENT, MOST_DAYS


class AgreementForm(NamedForm):
    """How often each cell is looked at, how many are drawn each week, and by whom it is agreed."""

    interval_days = forms.IntegerField(
        label="Days between two looks at a cell", min_value=1, max_value=MOST_DAYS
    )
    sample_cells = forms.IntegerField(label="Cells drawn at random each week", min_value=1)
    handed_back_on = DateField(
        label="Handed back on", required=False, help_text="Then 3, 6 and 12 months after follow"
    )
    agreed_by = forms.CharField(label="Agreed by", max_length=150)

    def body(self, at: datetime) -> dict[str, Any]:
        """Return the entry's body."""
        kept = {name: value for name, value in self.cleaned_data.items() if value}
        if "handed_back_on" in kept:
            kept["handed_back_on"] = kept["handed_back_on"].isoformat()
        return {"at": at.isoformat(), **kept}


@require_http_methods(["GET", "POST"])
def due(request: HttpRequest, wall: str) -> HttpResponse:
    """Show what is due; take down what is agreed on looks."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    if request.method == "POST":
        require(request.user, opened, Action.DECIDE)
    agreed = agreement_of(opened)
    form = AgreementForm(request.POST or None, initial=dict(agreed.content) if agreed else None)
    if request.method == "POST" and form.is_valid():
        try:
            _agree(opened, form, name=str(signed_in(request.user)))
        except PontataError as error:
            refuse(form, error)
        else:
            messages.success(request, "The agreement on looks is on record.")
            return redirect("watch:due", opened.slug)
    now = moment()
    found = due_now(opened, now)
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "now": now,
        "due": found,
        "next_repeat": next_repeat(found.repeats, now) if found else None,
        "near_words": NEAR_WORDS,
        "form": form,
    }
    return render(request, "watch/due.html", context, status=400 if form.errors else 200)


def _agree(wall: Wall, form: AgreementForm, *, name: str) -> None:
    earlier = agreement_of(wall)
    say(
        wall,
        AGREEMENT,
        form.body(moment()),
        writer=Writer(name=name, device="desk"),
        object_id=earlier.object_id if earlier else None,
        seen=earlier.head_id if earlier else None,
    )
