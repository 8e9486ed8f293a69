"""Which instrument needs a person: silent, due a test alarm, or out of calibration?

What a silent instrument watches is unknown, not safe. An instrument that is to raise an alarm is
tried each week, and the trial is written down.
"""

from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Max
from django.urls import reverse

from gridmap.models import Wall
from survey.clock import moment
from survey.people.permissions import Action
from survey.walls.needs import Need
from survey.watch.instruments import EVENT
from survey.watch.models import Instrument, LogLine
from survey.watch.overview import InstrumentNow, decks_now

ALARMING = frozenset({"particle-velocity", "water", "door"})
TEST_EVERY = timedelta(days=7)


def needs_of_instruments(wall: Wall) -> list[Need]:
    """Return what the wall's instruments need: silences first."""
    if not Instrument.objects.filter(wall=wall).exists():
        return []
    now = moment()
    rows = [row for deck in decks_now(wall, now) for row in deck.instruments]
    return [*_silent(wall, rows), *_tests_due(wall, rows, now), *_run_out(wall, rows)]


def raises_alarm(instrument: Instrument) -> bool:
    """Whether an instrument is one of those with a siren of its own."""
    return any(channel["quantity"] in ALARMING for channel in instrument.channels)


def tests_due(wall: Wall, instruments: list[Instrument], now: datetime) -> list[Instrument]:
    """Return the instruments with an alarm that nobody tried in the last week."""
    tried = dict(
        LogLine.objects.filter(
            wall=wall, kind=EVENT, withdrawn_because="", content__what="test-alarm", at__lte=now
        )
        .order_by()
        .values_list("about")
        .annotate(last=Max("at"))
    )
    return [
        row
        for row in instruments
        if raises_alarm(row)
        and (row.object_id not in tried or now - tried[row.object_id] > TEST_EVERY)
    ]


def _silent(wall: Wall, rows: list[InstrumentNow]) -> list[Need]:
    return [
        Need(
            f"{row.instrument.code} ({row.instrument.name}): {row.hearing.statement}",
            _page(wall, row.instrument.object_id),
            Action.RECORD,
        )
        for row in rows
        if row.unknown
    ]


def _tests_due(wall: Wall, rows: list[InstrumentNow], now: datetime) -> list[Need]:
    return [
        Need(
            f"{row.code}: the weekly test alarm is due. Set off its siren, then write it down.",
            reverse("watch:instrument_event", args=[wall.slug, row.object_id]) + "?what=test-alarm",
            Action.RECORD,
        )
        for row in tests_due(wall, [one.instrument for one in rows], now)
    ]


def _run_out(wall: Wall, rows: list[InstrumentNow]) -> list[Need]:
    return [
        Need(
            f"{row.instrument.code}: the calibration ran out on "
            f"{row.instrument.calibrated_until.day} "
            f"{row.instrument.calibrated_until:%b %Y}. Its readings since are not assured.",
            _page(wall, row.instrument.object_id),
            Action.RECORD,
        )
        for row in rows
        if row.calibration_run_out and row.instrument.calibrated_until
    ]


def _page(wall: Wall, instrument: UUID) -> str:
    return reverse("watch:instrument", args=[wall.slug, instrument])
