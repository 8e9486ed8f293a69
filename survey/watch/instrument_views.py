"""Pages about the instruments of a wall: which there are, one of them, its record and its keys."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import PontataError
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.desk import writer_at_desk
from survey.ledger.drafts import new_id, read_uuid
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.people.selectors import signed_in
from survey.record.notices import notices_of
from survey.walls.form_fields import BaseRows, refuse, with_another_row
from survey.watch.climate_views import period_of
from survey.watch.instrument_forms import (
    EVENT_WORDS,
    ChannelRows,
    EventForm,
    InstrumentForm,
    typed_channels,
    typed_instrument,
)
from survey.watch.instrument_needs import raises_alarm, tests_due
from survey.watch.instruments import EVENT, instrument_of_wall, keep_instrument, log_event
from survey.watch.keys import keys_of, make_key, revoke_key
from survey.watch.models import Instrument, LogLine, ReadingsImport
from survey.watch.overview import InstrumentNow, decks_now
from survey.watch.periods import named_spans
from survey.watch.quantities import quantity_of
from survey.watch.series_page import days_of

CHANNELS = "channels"


@require_GET
def instruments(request: HttpRequest, wall: str) -> HttpResponse:
    """List the instruments with what each last said, and those taken away."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    now = moment()
    rows = [row for deck in decks_now(opened, now) for row in deck.instruments]
    standing = [row.instrument for row in rows]
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "rows": rows,
        "due": {row.pk for row in tests_due(opened, standing, now)},
        "batteries": _last_events(opened, "battery"),
        "tests": _last_events(opened, "test-alarm"),
        "away": Instrument.objects.filter(wall=opened).exclude(pk__in=[row.pk for row in standing]),
        "now": now,
    }
    return render(request, "watch/instruments.html", context)


@require_GET
def instrument(request: HttpRequest, wall: str, instrument: UUID) -> HttpResponse:
    """Show one instrument: facts, series, events, imports and keys."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    found = instrument_of_wall(opened, instrument)
    return _instrument_page(request, opened, found)


def _instrument_page(
    request: HttpRequest, wall: Wall, found: Instrument, **more: Any
) -> HttpResponse:
    now = moment()
    period, refused = period_of(request)
    names = [channel["name"] for channel in found.channels]
    asked = request.GET.get("channel", "")
    channel = asked if asked in names else names[0]
    described = next(one for one in found.channels if one["name"] == channel)
    unit, digits = next(iter(quantity_of(described["quantity"]).shown_in.items()))
    imports = ReadingsImport.objects.filter(instrument_id=found.object_id)
    context = {
        "wall": wall,
        "notices": notices_of(wall, request.user),
        "instrument": found,
        "state": _state_now(found),
        "test_due": raises_alarm(found) and bool(tests_due(wall, [found], now)),
        "period": period,
        "period_refused": refused,
        "spans": named_spans(wall, now),
        "keep": [("channel", channel)],
        "channel": described,
        "unit": unit,
        "digits": digits,
        "days": days_of(found, channel, period),
        "imports": imports.select_related("head").order_by("-head__seq")[:200],
        "events": LogLine.objects.filter(kind=EVENT, about=found.object_id).order_by("-at"),
        "event_words": EVENT_WORDS,
        "keys": keys_of(found),
        **more,
    }
    return render(request, "watch/instrument.html", context, status=400 if refused else 200)


def _state_now(found: Instrument) -> InstrumentNow | None:
    rows = [row for deck in decks_now(found.wall, moment()) for row in deck.instruments]
    return next((row for row in rows if row.instrument.pk == found.pk), None)


def _last_events(wall: Wall, what: str) -> dict[UUID, LogLine]:
    lines = LogLine.objects.filter(
        wall=wall, kind=EVENT, withdrawn_because="", content__what=what
    ).order_by("at")
    return {line.about: line for line in lines if line.about}


@require_http_methods(["GET", "POST"])
def new_instrument(request: HttpRequest, wall: str) -> HttpResponse:
    """Put an instrument on record."""
    opened = open_page(request, wall, Action.RECORD)
    if request.method == "GET":
        form = InstrumentForm(wall=opened, initial={"from_on": moment().date()})
        return _form_page(request, opened, form, ChannelRows(prefix=CHANNELS), object_id=new_id())
    return _posted(request, opened, None)


@require_http_methods(["GET", "POST"])
def change_instrument(request: HttpRequest, wall: str, instrument: UUID) -> HttpResponse:
    """Correct an instrument's record; what it replaces stays in the logbook."""
    opened = open_page(request, wall, Action.RECORD)
    found = instrument_of_wall(opened, instrument)
    if request.method == "GET":
        form = InstrumentForm(wall=opened, initial=typed_instrument(found))
        rows = ChannelRows(prefix=CHANNELS, initial=typed_channels(found))
        return _form_page(request, opened, form, rows, kept=found)
    return _posted(request, opened, found)


def _posted(request: HttpRequest, wall: Wall, kept: Instrument | None) -> HttpResponse:
    another = request.POST.get("another")
    data = with_another_row(request.POST, CHANNELS) if another else request.POST
    form, rows = InstrumentForm(data, wall=wall), ChannelRows(data, prefix=CHANNELS)
    object_id = kept.object_id if kept else read_uuid(data.get("object_id"), field="object_id")
    if not another and form.is_valid() and rows.is_valid():
        try:
            made = keep_instrument(
                wall=wall,
                body=form.body([said for _, said in rows.filled]),
                writer=writer_at_desk(request.user),
                object_id=object_id,
                seen=read_uuid(data.get("seen"), field="seen") if kept else None,
            )
        except PontataError as error:
            refuse(form, error, {"interval_s": "interval_min", "silence_s": "silence_h"})
        else:
            messages.success(request, f"Instrument {made.code} is on record.")
            return redirect("watch:instrument", wall.slug, made.object_id)
    status = 200 if another else 400
    return _form_page(
        request, wall, form, rows, kept=kept, object_id=object_id, refused=not another,
        status=status,
    )  # fmt: skip


def _form_page(
    request: HttpRequest,
    wall: Wall,
    form: InstrumentForm,
    rows: BaseRows,
    *,
    kept: Instrument | None = None,
    object_id: UUID | None = None,
    refused: bool = False,
    status: int = 200,
) -> HttpResponse:
    context = {
        "wall": wall, "form": form, "channels": rows, "kept": kept, "object_id": object_id,
        "refused": refused,
    }  # fmt: skip
    return render(request, "watch/instrument_form.html", context, status=status)


@require_http_methods(["GET", "POST"])
def instrument_event(request: HttpRequest, wall: str, instrument: UUID) -> HttpResponse:
    """Write down what happened to an instrument."""
    opened = open_page(request, wall, Action.RECORD)
    found = instrument_of_wall(opened, instrument)
    initial = {
        "what": request.GET.get("what", ""),
        "at": moment(),
        "who": str(signed_in(request.user)),
    }
    form = EventForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            log_event(found, form.body(), writer=writer_at_desk(request.user))
        except PontataError as error:
            refuse(form, error)
        else:
            messages.success(request, f"{EVENT_WORDS[form.cleaned_data['what']]}: on record.")
            return redirect("watch:instrument", opened.slug, found.object_id)
    context = {"wall": opened, "form": form, "instrument": found}
    status = 400 if form.errors else 200
    return render(request, "watch/instrument_event.html", context, status=status)


@never_cache
@require_POST
def new_key(request: HttpRequest, wall: str, instrument: UUID) -> HttpResponse:
    """Make a key with which the instrument pushes; its secret is shown on this answer alone."""
    opened = open_page(request, wall, Action.SET_UP)
    found = instrument_of_wall(opened, instrument)
    _, secret = make_key(found, by=str(signed_in(request.user)))
    address = request.build_absolute_uri(f"/api/v1/instruments/{found.object_id}/readings/")
    return _instrument_page(request, opened, found, secret=secret, address=address)


@require_POST
def key_revocation(request: HttpRequest, wall: str, instrument: UUID, key_id: UUID) -> HttpResponse:
    """Refuse a key from now on."""
    opened = open_page(request, wall, Action.SET_UP)
    found = instrument_of_wall(opened, instrument)
    revoke_key(found, key_id)
    messages.success(request, "The key opens nothing any more.")
    return redirect("watch:instrument", opened.slug, found.object_id)
