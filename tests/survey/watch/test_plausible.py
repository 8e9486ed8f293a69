"""What about readings looks wrong, although each could be true?"""

import numpy as np

from survey.watch.plausible import against_record, doubts_of, other_logger

AIR = {"name": "air", "quantity": "air-temperature", "unit": "°C"}
LIGHT = {"name": "light", "quantity": "illuminance", "unit": "lx"}
HOUR_US = 3_600_000_000
NOW_S = 1_790_000_000.0
LATELY_US = 1_790_000_000_000_000 - 200 * HOUR_US


def series(values, *, start_us=LATELY_US, step_us=HOUR_US):
    return start_us + np.arange(len(values)) * step_us, np.array(values, dtype=float)


def swing(count=96):
    return 15 + 3 * np.sin(np.arange(count) / 4)


def test_an_ordinary_week_raises_no_doubt():
    assert doubts_of({"air": series(swing())}, [AIR], now_s=NOW_S) == []


def test_a_sensor_that_repeats_nought_through_days_is_named_and_does_not_stop_the_file():
    values = [*([0.0] * 60), 40.0, 0.0, 80.0]

    found = doubts_of({"light": series(values)}, [LIGHT], now_s=NOW_S)

    assert len(found) == 1
    assert "stood at 0\u00a0lx (0.0\u00a0fc) for 2 d 11 h" in found[0].text
    assert not found[0].stops


def test_nought_through_one_night_is_sound():
    values = [*([120.0, 80.0] * 6), *([0.0] * 14), *([90.0, 130.0] * 6)]

    assert doubts_of({"light": series(values)}, [LIGHT], now_s=NOW_S) == []


def test_fahrenheit_taken_for_celsius_stops_the_file():
    found = doubts_of({"air": series(swing() * 1.8 + 32)}, [AIR], now_s=NOW_S)

    assert [doubt.stops for doubt in found] == [True]


def test_readings_yet_to_come_stop_the_file():
    late = series(swing(), start_us=round(NOW_S * 1e6))

    found = doubts_of({"air": late}, [AIR], now_s=NOW_S)

    assert any("yet to come" in doubt.text and doubt.stops for doubt in found)


def test_a_serial_of_another_instrument_stops_the_file_and_its_own_does_not():
    others = {"40118": "A2"}

    assert other_logger(["Logger 40118"], serial="40117", others=others)[0].stops
    assert other_logger(["Logger 40117", "next: 40118"], serial="40117", others=others) == []


def test_the_same_readings_an_hour_off_are_recognised_on_either_side():
    known = series(swing())
    for shift, side in ((HOUR_US, "earlier"), (-HOUR_US, "later")):
        moved = {"air": (known[0] + shift, known[1])}

        found = against_record(moved, lambda *asked: known)

        assert f"one hour {side}" in found[0].text


def test_the_same_readings_again_raise_no_doubt():
    known = series(swing())

    assert against_record({"air": known}, lambda *asked: known) == []
