"""Pages of the limits: what is agreed, what is offered, and taking one over or correcting it."""

from itertools import groupby
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import InvalidInput, PontataError
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.desk import object_of_form, writer_at_desk
from survey.ledger.drafts import new_id, read_uuid
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.record.notices import notices_of
from survey.walls.form_fields import refuse
from survey.watch.limit_forms import LimitForm, of_limit, of_offer
from survey.watch.limited_channels import unread
from survey.watch.limits import keep_limit, limit_of_wall, limits_by_standing, withdraw_limit
from survey.watch.models import Instrument, Limit
from survey.watch.offered import OFFERED, offer


@require_GET
def limits(request: HttpRequest, wall: str) -> HttpResponse:
    """List the limits that are agreed, those that ended, and the offered sources."""
    opened = open_page(request, wall, Action.SEE_LIMITS)
    holding, ended = limits_by_standing(opened, moment().date())
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "holding": holding,
        "ended": ended,
        "unread": unread(holding, Instrument.objects.filter(wall=opened)),
        "groups": [
            (group, list(rows)) for group, rows in groupby(_sorted(), lambda one: one.group)
        ],
    }
    return render(request, "watch/limits.html", context)


def _sorted() -> list[Any]:
    groups = list(dict.fromkeys(one.group for one in OFFERED))
    return sorted(OFFERED, key=lambda one: groups.index(one.group))


@require_http_methods(["GET", "POST"])
def new_limit(request: HttpRequest, wall: str) -> HttpResponse:
    """Take down a limit that people agreed; an offer fills the form and nothing more."""
    opened = open_page(request, wall, Action.DECIDE)
    initial: dict[str, Any] = {"direction": "above", "place": "wall:", "label": "agreed-on-site"}
    key = request.GET.get("offer", "")
    if key:
        try:
            initial = of_offer(offer(key))
        except InvalidInput as error:
            messages.error(request, error.message)
    form = LimitForm(request.POST or None, wall=opened, initial=initial)
    if request.method == "POST":
        object_id = object_of_form(request)
        if form.is_valid() and (kept := _kept(request, opened, form, object_id=object_id)):
            return kept
    else:
        object_id = new_id()
    return _form_page(request, opened, form, object_id=object_id)


@require_http_methods(["GET", "POST"])
def limit(request: HttpRequest, wall: str, limit_id: UUID) -> HttpResponse:
    """Correct a limit: its next version."""
    opened = open_page(request, wall, Action.DECIDE)
    row = limit_of_wall(opened, limit_id)
    form = LimitForm(request.POST or None, wall=opened, initial=of_limit(row))
    if request.method == "POST" and form.is_valid():
        kept = _kept(request, opened, form, object_id=row.object_id, corrects=True)
        if kept:
            return kept
    return _form_page(request, opened, form, object_id=row.object_id, row=row)


def _kept(
    request: HttpRequest, wall: Wall, form: LimitForm, *, object_id: UUID, corrects: bool = False
) -> HttpResponse | None:
    """Keep what the form says and go to the list, or put the refusal into the form."""
    known = Limit.objects.filter(object_id=object_id).exists()
    try:
        if known and not corrects:  # a form sent twice
            return redirect("watch:limits", wall.slug)
        seen = read_uuid(request.POST.get("seen"), field="seen") if corrects else None
        kept, found = keep_limit(
            wall=wall,
            body=form.body(),
            writer=writer_at_desk(request.user),
            object_id=object_id,
            seen=seen,
        )
    except PontataError as error:
        refuse(form, error)
        return None
    text = f"Version {kept.version} of the limit is on record."
    if found:
        text += f" {found} exceedance{'' if found == 1 else 's'} found in readings on record."
    messages.success(request, text)
    return redirect("watch:limits", wall.slug)


def _form_page(
    request: HttpRequest, wall: Wall, form: LimitForm, *, object_id: UUID, row: Limit | None = None
) -> HttpResponse:
    context = {
        "wall": wall,
        "notices": notices_of(wall, request.user),
        "form": form,
        "row": row,
        "object_id": object_id,
        "seen": request.POST.get("seen") or (row.head_id if row else ""),
    }
    return render(request, "watch/limit_form.html", context, status=400 if form.errors else 200)


@require_POST
def withdraw(request: HttpRequest, wall: str, limit_id: UUID) -> HttpResponse:
    """Take back a limit that should not have been put down, with the reason."""
    opened = open_page(request, wall, Action.DECIDE)
    row = limit_of_wall(opened, limit_id)
    try:
        withdraw_limit(
            row,
            reason=request.POST.get("reason", ""),
            seen=read_uuid(request.POST.get("seen"), field="seen"),
            writer=writer_at_desk(request.user),
        )
    except PontataError as error:
        messages.error(request, error.message)
        return redirect("watch:limit", opened.slug, row.object_id)
    messages.success(request, "The limit is taken back; it stays in the record.")
    return redirect("watch:limits", opened.slug)
