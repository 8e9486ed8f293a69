"""Which open stops must be read first on every page of a wall?

An open stop stands there until nothing of its way is missing. One that was lifted on the deck
without that way stays as a warning. A stop that the deck still holds open is told by the deck's own
notice.
"""

from django.urls import reverse

from gridmap.models import Wall
from survey.clock import moment
from survey.people.permissions import Action
from survey.record.notices import ALARM, WARN, Notice
from survey.walls.needs import Need
from survey.watch.hours import moment_in_words
from survey.watch.limits import limits_by_standing
from survey.watch.models import Instrument
from survey.watch.stop_words import page_of, peak_in_words
from survey.watch.stops import Case, open_cases

MOST_SAID = 3


def stops_open(wall: Wall) -> list[Notice]:
    """Return one notice for each red exceedance and each stop that is not settled."""
    return [
        _notice(case)
        for case in open_cases(wall)
        if case.exceedance is not None or case.lifted_on_deck
    ]


def needs_of_stops(wall: Wall) -> list[Need]:
    """Return the same for the start page, and that no limit is agreed where sensors stand."""
    needs = [
        Need(notice.text, notice.href, notice.action, alarm=notice.tone == ALARM)
        for notice in stops_open(wall)
    ]
    holding, _ = limits_by_standing(wall, moment().date())
    if not holding and Instrument.objects.filter(wall=wall).exists():
        text = "No limit is agreed: instruments read, and nothing can be found to be beyond."
        needs.append(Need(text, reverse("watch:limits", args=[wall.slug]), Action.DECIDE))
    return needs


def _notice(case: Case) -> Notice:
    missing = "; ".join(case.missing[:MOST_SAID])
    left = len(case.missing) - MOST_SAID
    more = f" and {left} more" if left > 0 else ""
    when = moment_in_words(case.started)
    if case.exceedance is None:
        text = f"Lifted on the deck, not settled: {case.said}, {when}."
    else:
        text = f"Stop: red at {_where(case)}, {peak_in_words(case)}, {when}."
    return Notice(
        survey=case.stop.survey if case.stop else "",
        tone=WARN if case.exceedance is None else ALARM,
        text=f"{text} Missing: {missing}{more}.",
        href=page_of(case),
        link="Go on with its log",
        action=Action.SEE_LIMITS,
    )


def _where(case: Case) -> str:
    return case.instrument.code if case.instrument else "an instrument taken off the record"
