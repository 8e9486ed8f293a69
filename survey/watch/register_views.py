"""Pages of the site register, the plant list and the light ledger. Nothing is computed here."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from gridmap.errors import InvalidInput, NotFound, PontataError
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.desk import writer_at_desk
from survey.ledger.drafts import new_id, read_uuid
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.people.selectors import signed_in
from survey.record.notices import notices_of
from survey.walls.form_fields import refuse
from survey.watch import register_kinds as kinds
from survey.watch.deck_statements import deck_statements
from survey.watch.enclosure import deck_book, enclosure
from survey.watch.fragments import fragments
from survey.watch.light_dose import CLASSES
from survey.watch.light_ledger import light_of, logged_light
from survey.watch.log_lines import say
from survey.watch.models import LogLine
from survey.watch.plant_forecast import (
    calendar_weeks,
    clashes_of,
    days_at_wall,
    forecasts,
    works_of,
)
from survey.watch.protection import protections
from survey.watch.register_forms import (
    LABEL_WORDS,
    PART_WORDS,
    PROTECTION_WORDS,
    RESULT_WORDS,
    STATE_WORDS,
    TYPED_AS,
    LineForm,
    SourceForm,
    form_of,
)
from survey.watch.stand_off import CALTRANS_EXPONENT, CAUTION, FTA_EXPONENT

MOST_LINES: Final = 200
LOGGED_DAYS: Final = 28


@dataclass(frozen=True)
class Sheet:
    """How the page of one kind of line is headed, and to which page it leads back."""

    title: str
    button: str
    back: str
    hint: str = ""


_SITE, _PLANT, _LIGHT = "watch:site", "watch:plant", "watch:light"
SHEETS: Final = {
    kinds.PROTECTION: Sheet(
        "Put a protection on record", "Put protection on record", _SITE,
        "A facing is a risk too: test its removal and set the day on which it comes off. No "
        "sheeting may touch or flap on paint, and no tape holds on original.",
    ),
    kinds.INSPECTED: Sheet(
        "Inspection of a protection", "Put inspection on record", _SITE,
        "Look for damp behind it, movement, and paint that came away with it.",
    ),
    kinds.REMOVED: Sheet(
        "A protection taken off", "Put removal on record", _SITE,
        "The wall below is surveyed at once; a protection struck with no survey hides what it did.",
    ),
    kinds.CUSTODY: Sheet("A fragment handed over", "Put custody on record", _SITE),
    kinds.SOURCE: Sheet(
        "The source of a fragment", "State this source", _SITE,
        "The losses offered lie above the place of the find. Place alone proves nothing.",
    ),
    kinds.DECK_BOOK: Sheet(
        "A line of the deck book", "Put line in the book", _SITE,
        "Nobody is alone on the deck for solvents, ultraviolet or out of hours. A closed enclosure "
        "can become a confined space: ventilate, small quantities, a watcher outside.",
    ),
    kinds.ENCLOSURE: Sheet(
        "A line of the enclosure's log", "Put line on record", _SITE,
        "Water: everybody is told now. Lamps are off when nobody is there.",
    ),
    kinds.PLANT: Sheet(
        "A machine of the plant list", "Put machine on the list", _PLANT,
        f"{CAUTION} The numbers of the classes are offered with their labels: check them.",
    ),
    kinds.BLOW: Sheet(
        "A blow of the supervised trial", "Put blow on record", _PLANT,
        "Write down every blow, the quiet ones too. A trial may lengthen a distance and never "
        "shortens it.",
    ),
    kinds.LAMP: Sheet(
        "A lamp that burned", "Put lamp on record", _LIGHT,
        "Temperatures are those of the surface, not of the air.",
    ),
    kinds.DOSE: Sheet(
        "An agreed dose of light", "Put agreed dose on record", _LIGHT,
        "No dose is preset. Secco may answer to light where fresco does not: agree it for each "
        "area with whoever knows the paint.",
    ),
}  # fmt: skip
ABOUT: Final = {
    kinds.INSPECTED: kinds.PROTECTION, kinds.REMOVED: kinds.PROTECTION, kinds.BLOW: kinds.PLANT
}  # fmt: skip
WORDS: Final = {
    "protection_words": PROTECTION_WORDS, "result_words": RESULT_WORDS, "part_words": PART_WORDS,
    "state_words": STATE_WORDS, "label_words": LABEL_WORDS,
}  # fmt: skip


@require_GET
def site(request: HttpRequest, wall: str) -> HttpResponse:
    """Show protection, fragments, daily checks, deck book and enclosure."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    now = moment()
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "protections": protections(opened, now.date()),
        "fragments": fragments(opened),
        "checks": deck_statements(opened, "daily-check")[:MOST_LINES],
        "book": deck_book(opened, now),
        "enclosure": enclosure(opened, now),
        "today": now.date(),
        "most": MOST_LINES,
        **WORDS,
    }
    return render(request, "watch/site.html", context)


@require_GET
def plant(request: HttpRequest, wall: str) -> HttpResponse:
    """Show the plant list with forecasts, trials and the calendar of clashes."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    today = moment().date()
    first, refused = _asked_day(request, today)
    found = forecasts(opened, today=today)
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "forecasts": found,
        "clashes": clashes_of(opened, found, after=today),
        "weeks": calendar_weeks(works_of(found), days_at_wall(opened), first=first, today=today),
        "first": first,
        "earlier": first - timedelta(weeks=6),
        "later": first + timedelta(weeks=6),
        "day_refused": refused,
        "caution": CAUTION,
        "fta_exponent": FTA_EXPONENT,
        "caltrans_exponent": CALTRANS_EXPONENT,
        **WORDS,
    }
    return render(request, "watch/plant.html", context, status=400 if refused else 200)


def _asked_day(request: HttpRequest, today: date) -> tuple[date, str]:
    text = request.GET.get("from", "")
    try:
        day = date.fromisoformat(text) if text else today
    except ValueError:
        return today, f"From is {text!r}, which is no date. Write it as 2026-03-16."
    if not today.year - 50 <= day.year <= today.year + 50:
        return today, f"From is {text}; choose a day within fifty years."
    return day, ""


@require_GET
def light(request: HttpRequest, wall: str) -> HttpResponse:
    """Show the light ledger, the lamps, the heat at the surface and what loggers measured."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    today = moment().date()
    found = light_of(opened, today)
    first = today - timedelta(days=LOGGED_DAYS - 1)
    context = {
        "wall": opened,
        "notices": notices_of(opened, request.user),
        "light": found,
        "most": MOST_LINES,
        "logged": logged_light(opened, first, today),
        "logged_first": first,
        "classes": CLASSES,
        **WORDS,
    }
    return render(request, "watch/light.html", context)


@require_http_methods(["GET", "POST"])
def new_line(request: HttpRequest, wall: str, entry: str) -> HttpResponse:
    """Put one line on record."""
    opened = open_page(request, wall, Action.RECORD)
    sheet, about = SHEETS.get(entry), request.GET.get("about", "")
    form = form_of(entry)(
        request.POST or None, wall=opened, about=about, initial=_initial(request, entry)
    )
    subject = _subject(opened, entry, about, form)
    if request.method == "POST" and form.is_valid():
        try:
            object_id = read_uuid(request.POST.get("object_id"), field="object_id")
            if not LogLine.objects.filter(wall=opened, object_id=object_id).exists():
                say(
                    opened,
                    entry,
                    form.body(),
                    writer=writer_at_desk(request.user),
                    object_id=object_id,
                )
        except PontataError as error:
            refuse(form, error, TYPED_AS)
        else:
            messages.success(request, "The line is on record.")
            assert sheet is not None
            return redirect(sheet.back, opened.slug)
    context = {
        "wall": opened, "form": form, "sheet": sheet, "subject": subject,
        "object_id": request.POST.get("object_id") or new_id(),
    }  # fmt: skip
    return render(request, "watch/line_form.html", context, status=400 if form.errors else 200)


def _initial(request: HttpRequest, entry: str) -> dict[str, Any]:
    now, person = moment(), str(signed_in(request.user))
    asked = {name: request.GET[name] for name in ("way", "who") if name in request.GET}
    return {"at": now, "by": person, "who": person, "installed_on": now.date(), **asked}


def _subject(wall: Wall, entry: str, about: str, form: LineForm) -> str:
    """Return in words what a line belongs to, and offer a fragment's losses; raises NotFound."""
    if entry in ABOUT:
        found = LogLine.objects.filter(
            wall=wall, kind=ABOUT[entry], object_id=_about(about), withdrawn_because=""
        ).first()
        if found is None:
            raise NotFound("What this line is to belong to is not on record here.")
        return str(found.content["name"])
    if entry not in (kinds.CUSTODY, kinds.SOURCE):
        return ""
    bag = next((one for one in fragments(wall) if one.found.object_id == _about(about)), None)
    if bag is None:
        raise NotFound("There is no such fragment on this wall.")
    if isinstance(form, SourceForm):
        form.offer(
            [
                (str(one.observation.pk), f"{one.observation.item}, survey {one.observation.survey}"
                 f", {', '.join(one.observation.cells)}")
                for one in bag.candidates
            ]
        )  # fmt: skip
    return f"Bag {bag.found.content['bag']}, below {bag.found.content['cell']}"


def _about(text: str) -> UUID:
    try:
        return read_uuid(text, field="about")
    except InvalidInput as error:
        raise NotFound("What this line is to belong to is not named.") from error


@require_http_methods(["GET", "POST"])
def withdraw_line(request: HttpRequest, wall: str, line: UUID) -> HttpResponse:
    """Take back a line that should not have been put down; it stays in the logbook."""
    opened = open_page(request, wall, Action.RECORD)
    found = LogLine.objects.filter(
        wall=opened, object_id=line, kind__in=list(SHEETS), withdrawn_because=""
    ).first()
    if found is None:
        raise NotFound("There is no such line on this wall, or it is withdrawn already.")
    refused = ""
    if request.method == "POST":
        try:
            say(
                opened,
                f"{found.kind}-withdrawn",
                {"reason": request.POST.get("reason", "").strip()},
                writer=writer_at_desk(request.user),
                object_id=found.object_id,
                seen=read_uuid(request.POST.get("seen"), field="seen"),
            )
        except PontataError as error:
            refused = error.message
        else:
            messages.success(request, "The line is withdrawn; it stays in the logbook.")
            return redirect(SHEETS[found.kind].back, opened.slug)
    context = {
        "wall": opened, "line": found, "sheet": SHEETS[found.kind], "refused": refused,
        "said": [
            (key.replace("_", " "), value)
            for key, value in found.content.items()
            if key not in ("at", "about")
        ],
    }  # fmt: skip
    return render(request, "watch/line_withdrawal.html", context, status=400 if refused else 200)
