"""Do readings come on record whole, once, and replaceable, and does a doubtful file wait?"""

from datetime import UTC, datetime
from itertools import pairwise
from uuid import UUID

import numpy as np
import pytest

from gridmap.errors import Clash, InvalidInput
from survey.clock import moment
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.models import Entry
from survey.ledger.services import append, open_logbook, rebuild
from survey.watch.blocks import microseconds_of
from survey.watch.field_times import Unclear
from survey.watch.importing import (
    import_file,
    import_readings,
    on_readings,
    usual_how,
    withdraw_import,
)
from survey.watch.instruments import keep_instrument
from survey.watch.logger_text import How
from survey.watch.models import Exceedance, ReadingBlock, ReadingsImport
from survey.watch.series import series
from tests.support.factories import make_survey, make_wall
from tests.support.watched import make_limit

pytestmark = [pytest.mark.django_db, pytest.mark.database]

INES = Writer(name="Ines Fallow", device="desk")
BODY = {
    "code": "A1",
    "name": "Air logger, deck 1",
    "channels": [
        {"name": "air", "quantity": "air-temperature", "unit": "°C"},
        {"name": "rh", "quantity": "relative-humidity", "unit": "%"},
    ],
    "interval_s": 900,
    "silence_s": 86_400,
    "serial": "40117",
    "time": {"offset_min": 0},
    "from_on": "2026-02-23",
}
MAPPED = How({"Temp (°F)": "air", "RH (%)": "rh"})
START, END = datetime(2026, 1, 1, tzinfo=UTC), datetime(2026, 12, 31, tzinfo=UTC)


@pytest.fixture
def a1():
    return keep_instrument(wall=make_wall(), body=BODY, writer=INES)


def logger_file(rows, head="Time,Temp (°F),RH (%)", serial="40117"):
    return "\r\n".join([f"Logger {serial}", "", head, *rows, ""]).encode()


def quarter_hours(day=1, *, count=96, hour=0, at_f=59.0):
    return [
        f"2026-03-{day:02} {hour + n // 4:02}:{n % 4 * 15:02},{at_f + n / 10:.1f},{50 + n % 9}"
        for n in range(count)
    ]


def take(instrument, data, **options):
    options = {"file_name": "A1.csv", "how": MAPPED, "writer": INES, **options}
    return import_file(instrument, data, **options)


def read(instrument, channel="air"):
    found = series(instrument, channel, START, END)
    return found.times_us.tolist(), found.values


def test_a_file_is_kept_with_its_readings_in_the_channels_own_unit(a1):
    made = take(a1, logger_file(quarter_hours(count=4)))

    times, values = read(a1)
    assert made.new
    assert made.row.accepted == 8
    assert times[0] == microseconds_of(datetime(2026, 3, 1, tzinfo=UTC))
    # source: °C = (°F − 32) / 1.8, by definition; 59 °F is 15 °C
    assert values[0] == pytest.approx(15.0, abs=1e-12)


def test_the_same_file_twice_changes_nothing(a1):
    first = take(a1, logger_file(quarter_hours()))
    before = Entry.objects.count(), ReadingBlock.objects.count()

    again = take(a1, logger_file(quarter_hours()))

    assert not again.new
    assert again.row == first.row
    assert (Entry.objects.count(), ReadingBlock.objects.count()) == before


def test_a_corrected_file_replaces_the_first_and_both_stay_on_record(a1):
    first = take(a1, logger_file(quarter_hours()))

    second = take(a1, logger_file(quarter_hours(at_f=60.8)), replaces=first.row.object_id)

    first.row.refresh_from_db()
    _, values = read(a1)
    assert first.row.replaced_by == second.row.object_id
    assert values[0] == pytest.approx(16.0)  # source: 60.8 °F is 16 °C, by definition
    assert ReadingsImport.objects.count() == 2


def test_what_was_replaced_cannot_be_replaced_again(a1):
    first = take(a1, logger_file(quarter_hours()))
    take(a1, logger_file(quarter_hours(at_f=60.8)), replaces=first.row.object_id)

    with pytest.raises(InvalidInput, match="counts no more"):
        take(a1, logger_file(quarter_hours(at_f=61.0)), replaces=first.row.object_id)


def test_a_withdrawn_import_counts_no_more_and_gives_way_to_what_it_replaced(a1):
    first = take(a1, logger_file(quarter_hours()))
    second = take(a1, logger_file(quarter_hours(at_f=60.8)), replaces=first.row.object_id)

    withdraw_import(second.row, reason="The file was of another week.", writer=INES)

    _, values = read(a1)
    assert values[0] == pytest.approx(15.0)


def test_what_was_found_in_a_withdrawn_import_is_found_no_more(a1):
    make_limit(
        a1.wall, "air-temperature", unit="°C", amber=20.0, red=30.0, content={"direction": "above"}
    )
    made = take(a1, logger_file(quarter_hours(count=8, at_f=77.0)))
    assert Exceedance.objects.count() == 1  # source: 77 °F is 25 °C, by definition

    withdraw_import(made.row, reason="The file was of another week.", writer=INES)

    assert Exceedance.objects.count() == 0


def test_files_that_overlap_and_agree_make_one_series(a1):
    take(a1, logger_file(quarter_hours(count=48)))

    take(a1, logger_file(quarter_hours(count=96)))

    times, _ = read(a1)
    assert len(times) == 96
    assert all(one < two for one, two in pairwise(times))


def test_a_file_that_says_otherwise_of_the_same_moments_waits_for_a_person(a1):
    take(a1, logger_file(quarter_hours()))

    with pytest.raises(InvalidInput, match="on record with another reading"):
        take(a1, logger_file(quarter_hours(at_f=61.0)))

    assert ReadingsImport.objects.count() == 1


def test_a_clock_an_hour_off_is_found_by_what_is_on_record(a1):
    take(a1, logger_file(quarter_hours(count=80)))

    with pytest.raises(InvalidInput, match="one hour earlier"):
        take(a1, logger_file(quarter_hours(count=80, hour=1)))


def test_a_file_of_another_logger_waits_for_a_person(a1):
    other = {**BODY, "code": "A2", "serial": "40118"}
    keep_instrument(wall=a1.wall, body=other, writer=INES)

    with pytest.raises(InvalidInput, match="serial number of A2"):
        take(a1, logger_file(quarter_hours(), serial="40118"))

    assert not ReadingBlock.objects.exists()


def test_fahrenheit_taken_for_celsius_waits_and_is_noted_when_a_person_is_sure(a1):
    how = How({"Temp": "air", "RH (%)": "rh"})
    data = logger_file(quarter_hours(), head="Time,Temp,RH (%)")

    with pytest.raises(InvalidInput, match="°F taken for °C"):
        take(a1, data, how=how)
    made = take(a1, data, how=how, sure=True)

    assert any(note.startswith("Taken although") for note in made.row.content["notes"])


def test_swapped_columns_are_refused_by_their_units(a1):
    with pytest.raises(InvalidInput, match="swapped"):
        take(a1, logger_file(quarter_hours()), how=How({"Temp (°F)": "rh", "RH (%)": "air"}))


def test_readings_of_a_time_to_come_wait_for_a_person(a1):
    rows = [row.replace("2026", "2126") for row in quarter_hours()]

    with pytest.raises(InvalidInput, match="yet to come"):
        take(a1, logger_file(rows))


def test_dates_that_can_be_read_in_two_ways_are_asked_and_never_guessed(a1):
    rows = [f"03/04/2026 {hour:02}:00,59.0,50" for hour in range(12)]

    with pytest.raises(Unclear, match="day first or month first") as asked:
        take(a1, logger_file(rows))

    assert asked.value.field == "day_first"
    assert not ReadingsImport.objects.exists()


def test_the_second_file_of_an_instrument_is_read_like_the_first(a1):
    take(a1, logger_file(quarter_hours(count=4)))

    assert usual_how(a1).columns == MAPPED.columns


def test_refused_lines_are_listed_with_number_and_reason(a1):
    rows = quarter_hours(count=60)
    rows[7] = "2026-03-01 01:45,Err 7,50"
    rows[9] = "2026-03-01 02:15,59.0,131"

    made = take(a1, logger_file(rows))

    listed = made.row.content["refused_lines"]
    assert [one["line"] for one in listed] == [11, 13]
    assert "131 % relative humidity is above 100 %" in listed[1]["reason"]
    assert made.row.refused == 2


def test_readings_by_hand_and_of_the_deck_join_the_series(a1):
    at = "2026-03-02T09:00:00Z"
    import_readings(a1, [[at, "air", 14.0]], source="hand", writer=INES)
    survey = make_survey(wall=a1.wall)
    draft = Draft(
        kind="spot-reading",
        body={
            "quantity": "air-temperature",
            "value": 50.0,
            "unit": "°F",
            "instrument": "A1",
            "cell": "C05",
        },
        object_id=new_id(),
        made_at=datetime(2026, 3, 3, 9, tzinfo=UTC),
        observed_by="Tomas Sedge",
    )
    append([draft], logbook=survey.logbook, writer=INES)

    times, values = read(a1)

    assert len(times) == 2
    assert values.tolist() == pytest.approx([14.0, 10.0])  # source: 50 °F is 10 °C, by definition


def test_a_hand_reading_beyond_what_can_be_true_is_refused_whole(a1):
    good, bad = ["2026-03-02T09:00:00Z", "rh", 50.0], ["2026-03-02T09:15:00Z", "rh", -3.0]

    with pytest.raises(InvalidInput, match="below 0 %"):
        import_readings(a1, [good, bad], source="hand", writer=INES)

    assert read(a1, "rh")[0] == []


def test_an_import_sent_twice_under_one_id_is_kept_once(a1):
    object_id, reading = new_id(), ["2026-03-02T09:00:00Z", "air", 14.0]

    for _ in range(2):
        import_readings(a1, [reading], source="push", writer=INES, object_id=object_id)

    assert ReadingsImport.objects.count() == 1


@pytest.mark.parametrize("at_once", [1, 500])
def test_a_rebuild_makes_the_same_series_from_the_entries_alone(a1, monkeypatch, at_once):
    """Also where an import's turn comes before its instrument's."""
    monkeypatch.setattr("survey.ledger.selectors.OBJECTS_AT_ONCE", at_once)
    first = take(a1, logger_file(quarter_hours()))
    take(a1, logger_file(quarter_hours(at_f=60.8)), replaces=first.row.object_id)
    import_readings(a1, [["2026-03-02T09:00:00Z", "air", 14.0]], source="hand", writer=INES)
    import_readings(
        a1, [["2026-03-03T09:00:00Z", "air", 13.0]], source="hand", writer=INES,
        object_id=UUID(int=1),
    )  # fmt: skip
    before = read(a1)

    rebuild(open_logbook(a1.wall))

    after = read(a1)
    assert after[0] == before[0]
    assert np.array_equal(after[1], before[1])


def test_a_clock_put_right_later_moves_no_reading_that_is_on_record(a1):
    take(a1, logger_file(quarter_hours(count=4)))
    before = read(a1)[0]
    right = {**BODY, "time": {"offset_min": 60}}
    put_right = keep_instrument(
        wall=a1.wall, body=right, writer=INES, object_id=a1.object_id, seen=a1.head_id
    )

    rebuild(open_logbook(a1.wall))
    take(put_right, logger_file(quarter_hours(day=2, count=1)), how=usual_how(put_right))

    after = read(a1)[0]
    assert after[:4] == before
    assert after[4] == microseconds_of(datetime(2026, 3, 1, 23, tzinfo=UTC))


def test_who_listens_hears_of_an_import_and_can_undo_it_by_refusing(a1, monkeypatch):
    heard = []
    monkeypatch.setattr("survey.watch.importing._listeners", {})
    on_readings("test", lambda instrument, row: heard.append((instrument.code, row.accepted)))

    take(a1, logger_file(quarter_hours(count=4)))

    assert heard == [("A1", 8)]


def test_two_instruments_of_a_wall_never_share_a_code(a1):
    with pytest.raises(Clash, match="belongs to Air logger"):
        keep_instrument(wall=a1.wall, body=BODY, writer=INES)


def test_a_channel_with_readings_keeps_its_unit(a1):
    take(a1, logger_file(quarter_hours(count=4)))
    changed = {**BODY, "channels": [{**BODY["channels"][0], "unit": "°F"}, BODY["channels"][1]]}

    with pytest.raises(InvalidInput, match="keeps its name, quantity and unit"):
        keep_instrument(
            wall=a1.wall, body=changed, writer=INES, object_id=a1.object_id, seen=a1.head_id
        )


def test_an_import_is_made_at_the_clock_of_the_program(a1):
    made = take(a1, logger_file(quarter_hours(count=4)))

    assert abs((made.row.head.made_at - moment()).total_seconds()) < 60


def test_of_two_imports_that_speak_of_one_moment_the_later_counts(a1):
    for value in (14.0, 14.5):
        import_readings(a1, [["2026-03-02T09:00:00Z", "air", value]], source="hand", writer=INES)

    times, values = read(a1)

    assert len(times) == 1
    assert values.tolist() == [14.5]
