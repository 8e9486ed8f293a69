"""Pages of pairs: which there are, which could be made, and one laid out to be looked at.

Nothing is computed here.
"""

from typing import Any, cast
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import PontataError
from gridmap.models import Wall
from survey.people.models import Account
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.people.selectors import signed_in
from survey.photos.models import PairState
from survey.photos.pair_boot import pair_boot
from survey.photos.pair_forms import PairForm, first_choice
from survey.photos.pair_listing import cells_to_pair, pair_lines
from survey.photos.pair_selectors import choices_for_pair, pair_of_wall
from survey.photos.pairing import ask_again, ask_for_pair
from survey.walls.form_fields import refuse

_FIELDS = {"before_survey": "before"}


@require_http_methods(["GET", "POST"])
def pairs_page(request: HttpRequest, wall: str) -> HttpResponse:
    """Show the pairs of a wall and where others can be made; ask for one."""
    action = Action.SEE_RECORD if request.method == "GET" else Action.RECORD
    opened = open_page(request, wall, action)
    given = _given(request, opened)
    form = PairForm(request.POST if request.method == "POST" else given, wall=opened)
    if request.method == "POST" and form.is_valid():
        try:
            pair = ask_for_pair(
                wall=opened,
                before_survey=form.survey("before"),
                after_survey=form.survey("after"),
                mode=form.cleaned_data["mode"],
                cell=form.cleaned_data["cell"],
                before=form.cleaned_data["first"],
                after=form.cleaned_data["second"],
                asked_by=cast(Account, request.user),
            )
        except PontataError as error:
            refuse(form, error, _FIELDS)
        else:
            return redirect("photos:pair", opened.slug, pair.pk)
    return _pairs_page(request, opened, form)


def _given(request: HttpRequest, wall: Wall) -> dict[str, Any]:
    """Return what the address asks for, with what it leaves open filled in."""
    asked = request.GET.dict()
    first = first_choice(wall, after=asked.get("after", ""))
    if "before" not in asked and first.get("before") == asked.get("after"):
        # The address names the earliest survey alone.
        asked.pop("after", None)
    return {**first, **asked}


def _pairs_page(request: HttpRequest, wall: Wall, form: PairForm) -> HttpResponse:
    lines = pair_lines(wall)
    context: dict[str, Any] = {"wall": wall, "form": form, "lines": lines}
    if form.is_valid():
        try:
            context |= _choices(wall, form, lines)
        except PontataError as error:
            refuse(form, error, _FIELDS)
    # A wall without pictures is no mistake of whoever only looks.
    mistaken = form.errors and (form.pictured or request.method == "POST")
    status = 400 if mistaken else 200
    return render(request, "photos/pairs.html", context, status=status)


def _choices(wall: Wall, form: PairForm, lines: list[Any]) -> dict[str, Any]:
    """Return the strip of cells that can be paired, and the pictures of the cell that is named."""
    before, after = form.survey("before"), form.survey("after")
    asked = {key: form.cleaned_data[key] for key in ("before", "after", "mode")}
    link = f"{reverse('photos:pairs', args=[wall.slug])}?{urlencode(asked)}&cell=CELL#pictures"
    inks = cells_to_pair(before, after, asked["mode"], lines=lines, link=link)
    found: dict[str, Any] = {
        "before": before,
        "after": after,
        "cells": inks,
        "can_be_paired": sum(ink.style == "pair-both" for ink in inks.values()),
        "cell": "",
    }
    if form.cleaned_data["cell"]:
        grid = after.layout.grid
        found["cell"] = grid.label(*grid.position(form.cleaned_data["cell"]))
        found["choices"] = choices_for_pair(wall, before, after, asked["mode"], found["cell"])
    return found


@require_GET
def pair_page(request: HttpRequest, wall: str, pair: UUID) -> HttpResponse:
    """Show two pictures of one place three ways with the hints between them, or that they wait."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    found = pair_of_wall(opened, pair)
    if found.state == PairState.WAITING:
        return render(request, "photos/pair_waiting.html", {"wall": opened, "pair": found})
    boot = pair_boot(found, signed_in(request.user))
    return render(request, "photos/pair.html", {"wall": opened, "pair": found, "boot": boot})


@require_POST
def again(request: HttpRequest, wall: str, pair: UUID) -> HttpResponse:
    """Start the work on a pair once more that failed or was cancelled."""
    opened = open_page(request, wall, Action.RECORD)
    ask_again(pair_of_wall(opened, pair), asked_by=cast(Account, request.user))
    return redirect("photos:pair", opened.slug, pair)
