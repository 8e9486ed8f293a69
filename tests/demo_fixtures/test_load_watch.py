"""Does the invented watch come in by the importer, once, with what the story tells?"""

from datetime import UTC, date, datetime

import numpy as np
import pytest

from demo_fixtures.instruments import INSTRUMENTS, OUTAGE_S
from demo_fixtures.load import load_deck_days, load_entries, load_surveys, load_wall
from demo_fixtures.load_watch import load_measured, load_watch
from survey.ledger.drafts import Writer
from survey.ledger.models import Entry
from survey.watch.cells_due import time_for
from survey.watch.importing import import_readings
from survey.watch.instruments import instrument_by_code
from survey.watch.limits import withdraw_limit
from survey.watch.models import (
    Exceedance,
    Instrument,
    Limit,
    LogLine,
    ReadingBlock,
    ReadingsImport,
)
from survey.watch.series import series
from survey.watch.stops import cases

pytestmark = [pytest.mark.django_db, pytest.mark.database]

LEAK_FROM = datetime(2026, 9, 15, tzinfo=UTC)
WHOLE = (datetime(2026, 1, 1, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC))


def quietly(_):
    """Say nothing."""


@pytest.fixture
def wall(settings):
    settings.FIXED_CLOCK = datetime(2026, 11, 18, 9, 0, tzinfo=UTC)
    made = load_wall(say=quietly)
    load_measured(made, say=quietly)
    return made


@pytest.fixture
def watched(wall):
    """The wall with its surveys and the log of what was done."""
    surveys = load_surveys(wall)
    load_entries(surveys, say=quietly)
    load_deck_days(surveys, say=quietly)
    load_watch(wall, say=quietly)
    return wall


def counts():
    models = (Entry, Instrument, ReadingsImport, ReadingBlock, LogLine)
    return [model.objects.count() for model in models]


def test_every_file_came_in_and_only_the_two_garbled_lines_are_refused(wall):
    rows = ReadingsImport.objects.filter(wall=wall)

    assert {row.instrument_id for row in rows} == {
        row.object_id for row in Instrument.objects.filter(wall=wall)
    }
    assert sum(row.refused for row in rows) == 2
    assert Instrument.objects.filter(wall=wall).count() == len(INSTRUMENTS) + 2


def test_the_red_event_is_read_back_as_the_story_tells_it(wall):
    # source: the scenario: top sensor 0.084 in/s at 10:42 on 21 July
    start = datetime(2026, 7, 21, 10, 42, tzinfo=UTC)
    found = series(instrument_by_code(wall, "V1"), "ppv-y", start, start.replace(minute=43))

    assert found.values.max() == 0.084


def test_gaps_of_the_story_are_silences(wall):
    air = series(instrument_by_code(wall, "A2"), "air", *WHOLE).gaps()
    shaking = series(instrument_by_code(wall, "V1"), "ppv-y", *WHOLE).gaps()

    # the flat battery, and the two garbled lines in a row
    days = [datetime.fromtimestamp(span.start_s, UTC).date() for span in air]
    assert days == [date(2026, 6, 8), date(2026, 7, 27)]
    assert [round(span.duration_s / 3600) for span in shaking] == [
        round((OUTAGE_S[1] - OUTAGE_S[0]) / 3600)
    ]


def test_the_repeated_hour_of_october_is_two_hours(wall):
    around = datetime(2026, 10, 25, tzinfo=UTC), datetime(2026, 10, 25, 2, 45, tzinfo=UTC)
    found = series(instrument_by_code(wall, "A1"), "air", *around)

    assert found.times_us.size == 12
    assert set(np.diff(found.times_s)) == {900.0}


def test_the_exceedances_found_are_those_of_the_story(wall):
    # written by hand from the story: the shocks that its people tell of
    found = {
        (code_of(row), row.level, row.starts_at.strftime("%m-%d %H:%M"))
        for row in Exceedance.objects.filter(wall=wall)
        if row.content["unit"] == "in/s"
    }

    assert found == {
        ("V2", "amber", "03-25 14:20"),
        ("V1", "amber", "07-16 11:08"),
        ("V1", "amber", "07-20 15:31"),
        ("V1", "red", "07-21 10:42"),
        ("V2", "amber", "11-05 10:12"),
        ("V2", "amber", "11-17 09:15"),
    }


def code_of(row):
    return Instrument.objects.get(object_id=row.instrument_id).code


def test_the_red_event_names_its_limit_frequency_and_the_sensor_s_last_trial(wall):
    (red,) = Exceedance.objects.filter(wall=wall, level="red")

    assert (red.peak, red.content["frequency_hz"]) == (0.084, 14.2)
    assert red.limit_version == 1
    assert "last test alarm 20 Jul 2026" in red.content["sensor_health"]


def test_the_leak_is_found_as_damp_and_as_a_swing(wall):
    days = {
        row.starts_at.date()
        for row in Exceedance.objects.filter(wall=wall, starts_at__gte=LEAK_FROM)
        if code_of(row) == "A2"
    }

    assert min(days) == date(2026, 9, 15)
    assert (
        Exceedance.objects.filter(wall=wall, starts_at__lt=LEAK_FROM, content__unit="%").count()
        == 0
    )


def test_red_and_stop_have_a_whole_log_one_amber_waits_and_a_second_load_adds_nothing(watched):
    before = counts()

    load_watch(watched, say=quietly)

    found = cases(watched, amber=True)
    (red,) = [case for case in found if case.level == "red"]
    assert counts() == before
    assert [case.name for case in found if case.open] == ["Amber at V2"]
    assert {cell.state for cell in red.cells} == {"examined"}
    # source: story 8 of the trade: 37 cells × 3 min = 1 h 51 min for one person
    assert time_for(len(red.cells)) == "37 cells × 3 min = 1 h 51 min for one person"


def test_a_second_load_closes_no_stop_that_somebody_found_since(watched):
    at = datetime(2026, 11, 18, 8, 50, tzinfo=UTC)
    import_readings(
        instrument_by_code(watched, "V1"), [(at.isoformat(), "ppv-y", 0.091)],
        source="push", writer=Writer(name="V1", device="key"),
    )  # fmt: skip

    load_watch(watched, say=quietly)

    (found,) = [case for case in cases(watched) if case.started == at]
    assert found.open
    assert not found.lines


def test_a_second_load_leaves_out_what_was_taken_back(watched):
    limit = Limit.objects.filter(quantity="relative-humidity").first()
    desk = Writer(name="Ines Fallow", device="desk")
    withdraw_limit(limit, reason="Tried out.", seen=limit.head_id, writer=desk)

    load_watch(watched, say=quietly)

    assert not Limit.objects.filter(object_id=limit.object_id).exists()
