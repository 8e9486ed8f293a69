"""The page on which a photograph is placed on the wall by points marked on it."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from gridmap.errors import NotFound
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.photos.models import Photograph
from survey.photos.place_boot import place_boot


@require_GET
def place_page(request: HttpRequest, wall: str, photograph: UUID) -> HttpResponse:
    """Show a photograph to mark points on, or how it lies already."""
    opened = open_page(request, wall, Action.RECORD)
    rows = Photograph.objects.select_related("survey__wall", "survey__layout")
    found = rows.filter(pk=photograph, survey__wall=opened).first()
    if found is None:
        raise NotFound("There is no such photograph on this wall.")
    shown = {"wall": opened, "photograph": found, "boot": place_boot(found)}
    return render(request, "photos/place.html", shown)
