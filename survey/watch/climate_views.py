"""The climate page, and the statement that a computation applies to this wall."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from gridmap.errors import InvalidInput, NotFound, PontataError
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.desk import writer_at_desk
from survey.ledger.drafts import Writer
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.people.selectors import signed_in
from survey.record.notices import notices_of
from survey.walls.form_fields import refuse
from survey.watch.applies_forms import AppliesForm
from survey.watch.applies_kind import (
    CONTROL_TYPES,
    KIND,
    SALT_CYCLES,
    SEASONAL_BAND,
    WHAT,
    what_applies,
)
from survey.watch.climate import (
    Climate,
    air_loggers,
    air_now,
    charts_of,
    chosen_logger,
    climate_of,
    surfaces_now,
    whole_air,
)
from survey.watch.hidden import Part, control_types, humidity_trend, salt_cycles, seasonal_band
from survey.watch.log_lines import say
from survey.watch.models import LogLine
from survey.watch.periods import Period, asked_period, named_spans, usual_period

TITLES = {
    SALT_CYCLES: "Salt cycles",
    SEASONAL_BAND: "Seasonal band",
    CONTROL_TYPES: "Types of control",
}


@require_GET
def climate(request: HttpRequest, wall: str) -> HttpResponse:
    """Show the air by the wall day by day, and what else applies."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    period, refused = period_of(request)
    logger = chosen_logger(opened, request.GET.get("instrument"))
    found = climate_of(logger, period) if logger else None
    stated = what_applies(opened)
    context: dict[str, Any] = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "period": period,
        "period_refused": refused,
        "spans": named_spans(opened, period.now),
        "keep": [("instrument", logger.code)] if logger else [],
        "loggers": air_loggers(opened),
        "climate": found,
        "may_state": WHAT,
        "stated": stated,
        "statements": stated.values(),
    }
    if found:
        context |= {
            "now": air_now(found),
            "surfaces": surfaces_now(found),
            "charts": charts_of(found),
            "parts": _parts(found, stated, period),
        }
    return render(request, "watch/climate.html", context, status=400 if refused else 200)


def period_of(request: HttpRequest) -> tuple[Period, str]:
    """Return the days asked for, or the usual ones and why those asked for are refused."""
    now = moment()
    try:
        return asked_period(request.GET, now), ""
    except InvalidInput as error:
        return usual_period(now), error.message


def _parts(found: Climate, stated: dict[str, LogLine], period: Period) -> list[Part]:
    """Return what is shown when it applies; band, types and trend look at the whole record."""
    every = found.interval_s
    salts = stated[SALT_CYCLES].content["salts"] if SALT_CYCLES in stated else []
    whole = whole_air(found.instrument, period.now)
    return [
        salt_cycles(found.air, salts, interval_s=every),
        seasonal_band(whole, stated=SEASONAL_BAND in stated, interval_s=every),
        control_types(whole, stated=CONTROL_TYPES in stated, interval_s=every),
        humidity_trend(whole),
    ]


@require_http_methods(["GET", "POST"])
def applies(request: HttpRequest, wall: str, what: str) -> HttpResponse:
    """Take down that salts were identified, or why a method made for other materials serves."""
    opened = open_page(request, wall, Action.DECIDE)
    if what not in WHAT:
        raise NotFound(f"{what!r} is nothing that waits for a statement.")
    account = signed_in(request.user)
    form = AppliesForm(request.POST or None, what=what, initial={"by": str(account)})
    if request.method == "POST" and form.is_valid():
        try:
            state(opened, form, writer=writer_at_desk(account))
        except PontataError as error:
            refuse(form, error)
        else:
            messages.success(request, f"{TITLES[what]}: the statement is on record.")
            return redirect("watch:climate", opened.slug)
    context = {"wall": opened, "form": form, "title": TITLES[what], "what": what}
    status = 400 if form.errors else 200
    return render(request, "watch/applies.html", context, status=status)


def state(wall: Wall, form: AppliesForm, *, writer: Writer) -> None:
    """Write the statement; an earlier one about the same is replaced, not lost."""
    earlier = what_applies(wall).get(form.what)
    say(
        wall,
        KIND,
        form.body(moment().isoformat()),
        writer=writer,
        object_id=earlier.object_id if earlier else None,
        seen=earlier.head_id if earlier else None,
    )
