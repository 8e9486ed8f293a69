"""The pages of vibration, cracks, colour and dust."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from survey.clock import moment
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.record.notices import notices_of
from survey.watch.climate_views import period_of
from survey.watch.crack_page import crack_gauges
from survey.watch.dust import CAUTION, OFFERED, TOLERABLE_PCT_PER_DAY
from survey.watch.periods import named_spans
from survey.watch.spots import colour_spots, dust_slides
from survey.watch.vibration_page import vibration_loggers


@require_GET
def vibration(request: HttpRequest, wall: str) -> HttpResponse:
    """Show each logger's peaks, events and exposure in the days asked for."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    period, refused = period_of(request)
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "period": period,
        "period_refused": refused,
        "spans": named_spans(opened, period.now),
        "keep": [],
        "loggers": vibration_loggers(opened, period),
    }
    return render(request, "watch/vibration.html", context, status=400 if refused else 200)


@require_GET
def cracks(request: HttpRequest, wall: str) -> HttpResponse:
    """Show each crack gauge with the thermal part taken out of its change."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    now = moment()
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "gauges": crack_gauges(opened, now, asked=request.GET),
    }
    return render(request, "watch/cracks.html", context)


@require_GET
def colour(request: HttpRequest, wall: str) -> HttpResponse:
    """Show each colour spot's difference from its first day, against how well it repeats."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "spots": colour_spots(opened, moment()),
    }
    return render(request, "watch/colour.html", context)


@require_GET
def dust(request: HttpRequest, wall: str) -> HttpResponse:
    """Show what settled on each slide, against the weeks before the works."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "slides": dust_slides(opened, moment()),
        "thresholds": OFFERED,
        "tolerable": TOLERABLE_PCT_PER_DAY,
        "caution": CAUTION,
    }
    return render(request, "watch/dust.html", context)
