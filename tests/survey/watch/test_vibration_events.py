"""Are a vibration logger's events told apart, counted by their time, and held against curves?

Rows are written by hand; expected values are counted by hand or stand in the named source.
"""

import numpy as np
import pytest

from survey.watch.units import in_s_to_mm_s
from survey.watch.vibration_events import Shaken, against, events_of, peak_of_each_axis
from survey.watch.vibration_limits import offered

AMBER, RED = 1.27, 2.03  # 0.05 and 0.08 in/s: suggestions, common practice, no source


def shaken(rows, **more):
    """Rows are (time s, x, y, z in mm/s, Hz, vector sum)."""
    table = np.array(rows, dtype=float).T
    return Shaken(
        table[0],
        dict(zip("xyz", table[1:4], strict=True)),
        interval_s=900.0,
        frequency_hz=table[4],
        sum_mm_s=table[5],
        **more,
    )


BURST = [
    (0, 0.1, 0.1, 0.1, 20, 0.2),
    (900, 0.1, 0.1, 0.1, 20, 0.2),
    (1000, 0.5, 0.4, 0.3, 18, 0.7),
    (1001, 0.6, 1.4, 0.5, 14, 1.6),
    (1002, 0.7, 2.1, 0.9, 15, 2.3),
    (1003, 0.6, 1.3, 0.5, 16, 1.5),
    (1004, 0.2, 0.2, 0.2, 20, 0.3),
    (1800, 0.1, 0.1, 0.1, 20, 0.2),
]


def test_an_event_has_the_peak_of_each_axis_and_the_frequency_of_the_strongest_moment():
    (event,) = events_of(shaken(BURST), amber_mm_s=AMBER, red_mm_s=RED).events

    assert event.peaks_mm_s == {"x": 0.7, "y": 2.1, "z": 0.9}
    assert (event.governing, event.frequency_hz, event.level) == ("y", 15, "red")
    assert event.sum_mm_s == 2.3


def test_seconds_are_counted_where_the_logger_stored_seconds():
    count = events_of(shaken(BURST), amber_mm_s=AMBER, red_mm_s=RED)

    assert count.exposure_s == 3
    assert count.events[0].start_s == 1001


def test_a_single_reading_of_a_quarter_of_an_hour_counts_for_it():
    rows = [(k * 900, 0.1, 1.5 if k == 2 else 0.1, 0.1, 20, 1.6) for k in range(5)]

    assert events_of(shaken(rows), amber_mm_s=AMBER, red_mm_s=RED).exposure_s == 900


def test_a_pause_of_less_than_a_second_joins_and_a_longer_one_parts():
    rows = [(0, 0.1, 1.4, 0.1, 20, 1.5), (1, 0.1, 0.3, 0.1, 20, 0.5), (1.5, 0.1, 1.4, 0.1, 20, 1.5)]
    parted = [*rows[:2], (2.5, 0.1, 1.4, 0.1, 20, 1.5)]

    assert len(events_of(shaken(rows), amber_mm_s=AMBER, red_mm_s=RED).events) == 1
    assert len(events_of(shaken(parted), amber_mm_s=AMBER, red_mm_s=RED).events) == 2


def test_hours_without_readings_are_said_to_be_unknown():
    rows = [(0, 0.1, 0.1, 0.1, 20, 0.2), (7200, 0.1, 0.1, 0.1, 20, 0.2)]

    assert "Unknown: 2.0 h" in events_of(shaken(rows), amber_mm_s=AMBER, red_mm_s=RED).statement


def test_doubling_the_velocity_doubles_the_ratio():
    (event,) = events_of(shaken(BURST), amber_mm_s=AMBER, red_mm_s=RED).events
    twice = [(row[0], *(2 * value for value in row[1:4]), row[4], 2 * row[5]) for row in BURST]
    (other,) = events_of(shaken(twice), amber_mm_s=2 * AMBER, red_mm_s=2 * RED).events
    curves = [offered("din-line-3"), offered("sn-frequent")]

    ratios = [[one.ratio for one in against(each, curves)] for each in (event, other)]

    assert ratios[1] == pytest.approx([2 * ratio for ratio in ratios[0]])


def test_the_red_event_of_the_story_against_the_published_curves():
    # source: values of the trade, section 5: 0.12 in/s is 3.048 mm/s; DIN line 3 is 3 + 5·(f−10)/40
    peak = float(in_s_to_mm_s(0.084))
    rows = [
        (0, 0.1, 0.1, 0.1, 20, 0.2),
        (1, 0.1, peak, 0.1, 14.2, 2.4),
        (2, 0.1, 0.1, 0.1, 20, 0.2),
    ]
    (event,) = events_of(shaken(rows), amber_mm_s=AMBER, red_mm_s=RED).events

    din, historic = against(event, [offered("din-line-3"), offered("caltrans-historic")])

    assert din.limit_mm_s == pytest.approx(3 + 5 * 4.2 / 40)
    assert historic.ratio == pytest.approx(0.084 / 0.12)


def test_a_curve_of_the_vector_sum_is_left_out_where_no_sum_was_stored():
    plain = shaken(BURST)
    bare = Shaken(plain.times_s, plain.axes, 900.0, plain.frequency_hz)
    (event,) = events_of(bare, amber_mm_s=AMBER, red_mm_s=RED).events

    assert [one.curve.key for one in against(event, [offered("sn-frequent")])] == []


def test_the_largest_peak_of_each_axis_is_found_with_its_moment():
    peaks = peak_of_each_axis(shaken(BURST))

    assert peaks["x"] == (0.7, 1002, 15)
    assert peaks["z"] == (0.9, 1002, 15)
