"""The page that says in one screen whether anything on the wall needs a person now."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from survey.clock import moment
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.people.selectors import signed_in
from survey.record.notices import notices_of
from survey.watch.overview import decks_now, needs_of_watch
from survey.watch.stops import cases


@require_GET
def overview(request: HttpRequest, wall: str) -> HttpResponse:
    """Show what needs a person, then every instrument with what it says."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    now = moment()
    decks = decks_now(opened, now)
    rows = [row for deck in decks for row in deck.instruments]
    context = {
        "wall": opened,
        "now": now,
        "notices": notices_of(opened, request.user),
        "needs": needs_of_watch(opened, signed_in(request.user)),
        "decks": decks,
        "silent": [row for row in rows if row.unknown],
        "open": [row for row in rows if row.open_exceedances],
        "amber": [case for case in cases(opened, amber=True) if case.open and not case.full],
    }
    return render(request, "watch/overview.html", context)
