"""Are exceedances found in readings as a person would find them by hand, and gaps left unknown?"""

from datetime import UTC, datetime

import numpy as np
import pytest

from survey.ledger.drafts import Writer
from survey.watch.finding import find, heard_of
from survey.watch.limits import keep_limit
from survey.watch.log_lines import say
from survey.watch.models import Exceedance, Limit
from survey.watch.stops import open_cases
from tests.support.factories import make_wall
from tests.support.watched import make_instrument, make_limit, make_readings
from tests.survey.watch.test_limit_kinds import body

pytestmark = [pytest.mark.django_db, pytest.mark.database]

DESK = Writer(name="Ines Fallow", device="desk")
START = datetime(2026, 10, 24, 22, 0, tzinfo=UTC)  # the night in which British clocks went back
MINUTE_S = 60.0
VELOCITY = [
    {"name": axis, "quantity": "particle-velocity", "unit": "in/s", "axis": axis} for axis in "xyz"
]


@pytest.fixture
def wall():
    return make_wall()


def minutes(*places):
    return [START.timestamp() + place * MINUTE_S for place in places]


def found():
    rows = Exceedance.objects.order_by("starts_at")
    return [
        (
            row.level,
            round((row.starts_at - START).total_seconds() / MINUTE_S),
            None
            if row.ends_at is None
            else round((row.ends_at - START).total_seconds() / MINUTE_S),
            row.peak,
            row.content["ended"],
        )
        for row in rows
    ]


def humidity(wall, values_at, **more):
    logger = make_instrument(
        wall, "A1", [{"name": "rh", "quantity": "relative-humidity", "unit": "%"}],
        interval_s=MINUTE_S, **more,
    )  # fmt: skip
    readings = make_readings(logger, "rh", minutes(*values_at), list(values_at.values()))
    readings.first_at, readings.last_at = START, START.replace(day=25)
    readings.save()
    return logger, readings


def damp(wall, **more):
    return make_limit(
        wall, "relative-humidity", unit="%", amber=65.0, red=75.0,
        content={"direction": "above"}, **more,
    )  # fmt: skip


def test_a_series_with_gaps_a_clock_change_and_a_dead_sensor_gives_the_table_written_by_hand(wall):
    # Written by hand. Minutes from 22:00 UTC; local clocks are set back at minute 180 (01:00 UTC).
    nan = float("nan")
    values_at = {
        0: 60.0, 1: 66.0, 2: 70.0, 3: 64.9,  # amber from 1, back at 3
        4: 64.0, 5: 76.0, 6: 66.0,  # red from 5, then silence until 60: its end is not known
        60: 60.0, 61: 65.0, 62: 60.0,  # at the limit counts: amber from 61, back at 62
        178: 60.0, 179: 66.0, 180: 67.0, 181: 68.0, 182: 60.0,  # one stretch over the clock change
        183: nan, 184: nan, 185: nan, 186: nan, 187: 80.0,  # dead, then red at its last word
    }  # fmt: skip
    damp(wall)
    logger, _ = humidity(wall, values_at)

    find(logger.object_id, START, START.replace(day=25))

    assert found() == [
        ("amber", 1, 3, 70.0, "back"),
        ("red", 5, 6, 76.0, "unknown"),
        ("amber", 61, 62, 65.0, "back"),
        ("amber", 179, 182, 68.0, "back"),
        ("red", 187, None, 80.0, "last reading"),
    ]


def test_finding_twice_changes_nothing(wall):
    damp(wall)
    logger, _ = humidity(wall, {0: 60.0, 1: 80.0, 2: 60.0})
    find(logger.object_id, START, START)
    before = list(Exceedance.objects.values())

    again = find(logger.object_id, START, START)

    assert again == 0
    assert list(Exceedance.objects.values()) == before


def test_later_readings_end_an_exceedance_that_lasted_and_keep_its_identity(wall):
    damp(wall)
    logger, _ = humidity(wall, {0: 60.0, 1: 70.0})
    find(logger.object_id, START, START)
    first = Exceedance.objects.get()
    make_readings(logger, "rh", minutes(2, 3), [71.0, 60.0])

    find(logger.object_id, START, START)

    row = Exceedance.objects.get()
    assert row.object_id == first.object_id
    assert found() == [("amber", 1, 3, 71.0, "back")]


def test_what_corrected_readings_do_not_bear_out_is_withdrawn(wall):
    damp(wall)
    logger, wrong = humidity(wall, {0: 60.0, 1: 80.0, 2: 60.0})
    find(logger.object_id, START, START)
    right = make_readings(logger, "rh", minutes(0, 1, 2), [60.0, 61.0, 60.0])
    wrong.replaced_by = right.object_id
    wrong.save()
    right.content = {"replaces": str(wrong.object_id)}
    right.first_at, right.last_at = START, START

    heard_of(logger, right)

    assert found() == []


def test_one_about_which_somebody_logged_something_stays_with_a_note(wall):
    damp(wall)
    logger, wrong = humidity(wall, {0: 60.0, 1: 80.0, 2: 60.0})
    find(logger.object_id, START, START)
    told = {
        "about": str(Exceedance.objects.get().object_id), "at": "2026-10-24T22:05:00Z",
        "who": "Gil Alder", "how": "by telephone", "by": "Ines Fallow",
    }  # fmt: skip
    say(wall, "told", told, writer=DESK)
    wrong.delete()

    find(logger.object_id, START, START)

    assert "no longer reach" in Exceedance.objects.get().content["note"]


def test_without_a_limit_nothing_is_found(wall):
    logger, _ = humidity(wall, {0: 60.0, 1: 99.0})

    assert find(logger.object_id, START, START) == 0


def test_the_instruments_own_limit_governs_before_the_walls(wall):
    damp(wall)
    own = damp(wall, place=("instrument", "A1"))
    Limit.objects.filter(pk=own.pk).update(amber=90.0, red=95.0)
    logger, _ = humidity(wall, {0: 60.0, 1: 80.0, 2: 60.0})

    assert find(logger.object_id, START, START) == 0


def test_a_limit_holds_only_between_its_days(wall):
    limit = damp(wall)
    Limit.objects.filter(pk=limit.pk).update(valid_to="2026-10-23")
    logger, _ = humidity(wall, {0: 60.0, 1: 80.0, 2: 60.0})

    assert find(logger.object_id, START, START) == 0


def test_a_new_limit_is_held_against_the_readings_on_record(wall):
    humidity(wall, {0: 60.0, 1: 80.0, 2: 60.0})
    said = body(quantity="relative-humidity", unit="%", amber=65.0, red=75.0)

    _, new = keep_limit(wall=wall, body=said, writer=DESK)

    assert new == 1
    assert Exceedance.objects.get().level == "red"


def corrected(wall, **levels):
    """Agree on amber 65 and red 75 %, then write the limit's next version; return the limit."""
    said = body(quantity="relative-humidity", unit="%", amber=65.0, red=75.0)
    first, _ = keep_limit(wall=wall, body=said, writer=DESK)
    limit, new = keep_limit(
        wall=wall, body={**said, **levels}, writer=DESK,
        object_id=first.object_id, seen=first.head_id,
    )  # fmt: skip
    assert new == 0
    return limit


@pytest.mark.parametrize("levels", [{"red": 90.0}, {"amber": 79.0, "red": 90.0}, {"amber": 61.0}])
def test_a_corrected_limit_closes_no_stop_that_an_earlier_version_asked_for(wall, levels):
    humidity(wall, {0: 60.0, 1: 80.0, 2: 78.0, 3: 80.0, 4: 60.0})

    limit = corrected(wall, **levels)

    assert found() == [("red", 1, 4, 80.0, "back")]
    (case,) = open_cases(wall)
    assert case.exceedance.limit_version == 1
    assert (case.limit.amber, case.limit.red) == (65.0, 75.0)
    assert limit.version == 2


def test_a_lowered_limit_makes_an_amber_exceedance_red(wall):
    humidity(wall, {0: 60.0, 1: 70.0, 2: 60.0})

    limit = corrected(wall, red=70.0)

    row = Exceedance.objects.get()
    assert (row.level, row.limit_version) == ("red", limit.version)


def test_one_that_lasted_when_its_limit_was_corrected_takes_its_end_from_later_readings(wall):
    logger, _ = humidity(wall, {0: 60.0, 1: 80.0})
    corrected(wall, red=90.0)
    make_readings(logger, "rh", minutes(2, 3), [79.0, 60.0])

    find(logger.object_id, START, START)

    assert found() == [("red", 1, 3, 80.0, "back")]


def test_a_fall_within_a_day_reaches_a_limit_on_the_change(wall):
    make_limit(
        wall, "relative-humidity", unit="%", amber=10.0, red=15.0,
        content={"direction": "change-24h"},
    )  # fmt: skip
    logger, _ = humidity(wall, {0: 60.0, 1: 55.0, 2: 49.0, 3: 49.0})

    find(logger.object_id, START, START)

    assert found() == [("amber", 2, None, 11.0, "last reading")]


def test_one_blow_on_three_axes_is_one_exceedance_by_the_strongest_axis(wall):
    make_limit(wall, content={"direction": "above"})
    logger = make_instrument(wall, "V1", VELOCITY, interval_s=MINUTE_S)
    for axis, peak in zip("xyz", (0.06, -0.084, 0.055), strict=True):
        make_readings(logger, axis, minutes(0, 1, 2), [0.0, peak, 0.0])

    find(logger.object_id, START, START)

    row = Exceedance.objects.get()
    assert (row.channel, row.level, row.peak) == ("y", "red", 0.084)


def test_with_a_table_the_ratio_at_the_frequency_read_decides(wall):
    # source: DIN 4150-3 line 3, from memory: 3 mm/s at 5 Hz and 5.5 mm/s at 30 Hz
    make_limit(
        wall, unit="mm/s", amber=0.8, red=1.0,
        content={"direction": "above", "table": "din-line-3"},
    )  # fmt: skip
    channels = [
        {"name": "y", "quantity": "particle-velocity", "unit": "mm/s", "axis": "y"},
        {"name": "f", "quantity": "dominant-frequency", "unit": "Hz"},
    ]
    logger = make_instrument(wall, "V1", channels, interval_s=MINUTE_S)
    make_readings(logger, "y", minutes(0, 1, 2, 3), [0.0, 3.3, 0.0, 3.3])
    make_readings(logger, "f", minutes(0, 1, 2, 3), [5.0, 30.0, 5.0, 5.0])

    find(logger.object_id, START, START)

    row = Exceedance.objects.get()
    assert (row.level, row.peak, row.content["frequency_hz"]) == ("red", 3.3, 5.0)
    np.testing.assert_allclose(row.content["ratio"], 1.1)


def test_an_exceedance_says_how_the_sensor_stood(wall):
    damp(wall)
    logger, _ = humidity(wall, {0: 60.0, 1: 80.0, 2: 60.0}, calibrated_until="2026-09-30")

    find(logger.object_id, START, START)

    row = Exceedance.objects.get()
    assert row.content["calibrated"] is False
    assert row.content["sensor_health"] == (
        "Calibration ran out on 30 Sep 2026; no test alarm on record before."
    )


AIR = [
    {"name": "air", "quantity": "air-temperature", "unit": "°C"},
    {"name": "rh", "quantity": "relative-humidity", "unit": "%"},
]
SURFACE = {"name": "wall", "quantity": "surface-temperature", "unit": "°C"}
AT = (0, 1, 2, 3)


def read(instrument, channel, values):
    readings = make_readings(instrument, channel, minutes(*AT), values)
    readings.first_at, readings.last_at = START, START.replace(day=25)
    readings.save()
    return readings


def margin(wall):
    return make_limit(
        wall, "condensation-margin", unit="K", amber=3.0, red=2.0, content={"direction": "below"}
    )


def near_condensation(logger, probe):
    """Margins by hand from the published dew points: 10.7, 2.74 (amber), 0.78 (red), 10.7 K."""
    # source: Alduchov and Eskridge 1996, J. Appl. Meteor. 35:601: dew point 9.26 °C at 20 °C and
    # 50 % RH, 13.22 °C at 20 °C and 65 % RH.
    read(logger, "air", [20.0] * 4)
    read(logger, "rh", [50.0, 50.0, 65.0, 50.0])
    return read(probe, "wall", [20.0, 12.0, 14.0, 20.0])


def test_a_margin_to_condensation_that_is_too_small_is_found_though_no_instrument_reads_it(wall):
    margin(wall)
    logger = make_instrument(wall, "A1", [*AIR, SURFACE], interval_s=MINUTE_S)

    heard_of(logger, near_condensation(logger, logger))

    [(level, began, ended, peak, _)] = found()
    assert (level, began, ended) == ("red", 1, 3)
    assert peak == pytest.approx(0.78, abs=0.01)


def test_a_surface_that_comes_later_is_held_beside_the_air_of_its_deck(wall):
    margin(wall)
    logger = make_instrument(wall, "A1", AIR, interval_s=MINUTE_S, deck="1")
    probe = make_instrument(wall, "T1", [SURFACE], interval_s=MINUTE_S, deck="1")
    readings = near_condensation(logger, probe)

    heard_of(probe, readings)

    row = Exceedance.objects.get()
    assert (row.instrument_id, row.channel, row.level) == (logger.object_id, "margin", "red")
