"""Are exceedances found as a person reads them off the file, and silences never called safe?

The tables of expected exceedances were written by hand, reading by reading.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.alarms import (
    Thresholds,
    find_exceedances,
    find_ranges,
    find_unchanging,
    judge_hearing,
)
from survey.watch.spans import Span

MINUTE = 60.0
VIBRATION = Thresholds(amber=0.05, red=0.08)  # in/s
NAN = float("nan")
# Minute 0 to 23; 9 to 11 and 17 to 20 are lost, minute 14 has no number.
MINUTES = [0, 1, 2, 3, 4, 5, 6, 7, 8, 12, 13, 14, 15, 16, 21, 22, 23]
READ = [
    0.01, 0.05, 0.06, 0.04, 0.02, 0.07, 0.084, 0.06, 0.055,  # 1-2 amber; 5-8 red, then silence
    0.06, 0.03, NAN, 0.02, 0.09,  # 12 amber out of the silence; 16 red into the next
    0.01, 0.02, 0.05,  # 23 amber at the last reading
]  # fmt: skip
# level, from, to, peak, at, red from, readings, ended, follows a silence
BY_HAND = [
    ("amber", 1, 3, 0.06, 2, None, 2, "back", False),
    ("red", 5, 8, 0.084, 6, 6, 4, "unknown", False),
    ("amber", 12, 13, 0.06, 12, None, 1, "back", True),
    ("red", 16, 16, 0.09, 16, 16, 1, "unknown", False),
    ("amber", 23, 23, 0.05, 23, None, 1, "last reading", False),
]
SILENT_BY_HAND = (Span(8 * MINUTE, 12 * MINUTE), Span(16 * MINUTE, 21 * MINUTE))

series_values = st.lists(st.floats(0, 0.2) | st.just(NAN), min_size=1, max_size=60)


def found_in_words(findings):
    return [
        (
            one.level,
            one.start_s / MINUTE,
            one.end_s / MINUTE,
            one.peak,
            one.peak_at_s / MINUTE,
            None if one.red_s is None else one.red_s / MINUTE,
            one.readings,
            one.ended,
            one.follows_unknown,
        )
        for one in findings.episodes
    ]


def in_words(seconds):
    return f"{seconds / 60:.0f} min"


def test_exceedances_of_a_file_with_silences_are_those_of_the_table_by_hand():
    times = np.array(MINUTES) * MINUTE

    findings = find_exceedances(times, READ, VIBRATION, interval_s=MINUTE)

    assert found_in_words(findings) == BY_HAND
    assert findings.unknown == SILENT_BY_HAND


def test_an_hour_set_back_changes_nothing_in_universal_time():
    """At the end of summer time the local clock shows an hour twice; seconds UTC run on."""
    change_s = 1_793_520_000.0  # a Sunday in autumn, 06:00 UTC, when New York turns 2:00 to 1:00
    times = change_s + np.array([-120, -60, 0, 60, 120, 180], float)

    findings = find_exceedances(times, [0, 0.06, 0.06, 0.06, 0, 0], VIBRATION, interval_s=60.0)

    assert findings.unknown == ()
    assert [(one.start_s - change_s, one.end_s - change_s) for one in findings.episodes] == [
        (-60.0, 120.0)
    ]


def test_a_reading_at_the_limit_counts():
    findings = find_exceedances([0.0, 60.0], [0.04, 0.08], VIBRATION, interval_s=60.0)

    assert [one.level for one in findings.episodes] == ["red"]


def test_a_margin_below_its_limit_is_found():
    margins = Thresholds(amber=5.4, red=3.6, side="below")  # °F above the dew point

    findings = find_exceedances(
        np.arange(5) * 600.0, [8.0, 5.0, 3.0, 4.0, 6.0], margins, interval_s=600.0
    )

    (one,) = findings.episodes
    assert (one.level, one.peak, one.red_s, one.end_s) == ("red", 3.0, 1200.0, 2400.0)


def test_a_pause_under_the_hold_joins_two_runs():
    times, values = np.arange(8.0) / 2, [0, 0.06, 0, 0.06, 0, 0, 0, 0.06]

    apart = find_exceedances(times, values, VIBRATION, interval_s=0.5)
    joined = find_exceedances(times, values, VIBRATION, interval_s=0.5, hold_s=1.0)

    assert [(one.start_s, one.readings) for one in apart.episodes] == [(0.5, 1), (1.5, 1), (3.5, 1)]
    assert [(one.start_s, one.end_s, one.readings) for one in joined.episodes] == [
        (0.5, 2.0, 2),
        (3.5, 3.5, 1),
    ]


def test_a_pause_as_long_as_the_hold_ends_an_exceedance():
    times, values = np.arange(4.0) / 2, [0.06, 0, 0, 0.06]

    findings = find_exceedances(times, values, VIBRATION, interval_s=0.5, hold_s=1.0)

    assert [(one.start_s, one.end_s) for one in findings.episodes] == [(0.0, 0.5), (1.5, 1.5)]


def test_a_silence_is_never_joined_over():
    times, values = [0.0, 1, 2, 60, 61], [0, 0, 0.06, 0.06, 0]

    findings = find_exceedances(times, values, VIBRATION, interval_s=1.0, hold_s=300.0)

    assert [(one.start_s, one.ended, one.follows_unknown) for one in findings.episodes] == [
        (2.0, "unknown", False),
        (60.0, "back", True),
    ]


def test_a_dead_instrument_leaves_the_whole_watch_unknown():
    findings = find_exceedances(
        [0.0, 60.0], [NAN, NAN], VIBRATION, interval_s=60.0, watched=Span(0.0, 3600.0)
    )

    assert findings.episodes == ()
    assert findings.unknown == (Span(0.0, 3600.0),)


@given(values=series_values)
def test_every_reading_beyond_is_in_one_exceedance_and_no_other_is(values):
    times = np.arange(len(values)) * MINUTE

    findings = find_exceedances(times, values, VIBRATION, interval_s=MINUTE)

    beyond = {t for t, v in zip(times, values, strict=True) if v >= 0.05}
    counted = sum(one.readings for one in findings.episodes)
    covered = {t for t in beyond if any(e.start_s <= t <= e.end_s for e in findings.episodes)}
    assert counted == len(beyond)
    assert covered == beyond
    assert all(one.peak >= 0.05 for one in findings.episodes)


@given(values=series_values, hold=st.floats(0, 300))
def test_a_longer_hold_never_gives_more_exceedances(values, hold):
    times = np.arange(len(values)) * MINUTE

    short = find_exceedances(times, values, VIBRATION, interval_s=MINUTE)
    long = find_exceedances(times, values, VIBRATION, interval_s=MINUTE, hold_s=hold)

    assert len(long.episodes) <= len(short.episodes)
    assert sum(e.readings for e in long.episodes) == sum(e.readings for e in short.episodes)


@given(values=series_values)
def test_below_is_above_of_the_negative(values):
    times = np.arange(len(values)) * MINUTE
    mirrored = Thresholds(amber=-0.05, red=-0.08, side="below")

    above = find_exceedances(times, values, VIBRATION, interval_s=MINUTE)
    below = find_exceedances(times, -np.array(values), mirrored, interval_s=MINUTE)

    assert [(e.level, e.start_s, e.end_s, -e.peak) for e in below.episodes] == [
        (e.level, e.start_s, e.end_s, e.peak) for e in above.episodes
    ]


def test_a_rise_within_the_window_is_found_and_a_slow_one_is_not():
    swing = Thresholds(amber=10.0, red=15.0)  # % RH in 24 h
    hours = np.arange(97) * 3600.0
    slow = 50 + np.arange(97) * 0.3
    jump = np.where(np.arange(97) == 60, slow + 11, slow)

    assert find_ranges(hours, slow, swing, window_s=86_400.0, interval_s=3600.0).episodes == ()
    (one,) = find_ranges(hours, jump, swing, window_s=86_400.0, interval_s=3600.0).episodes
    # 11 up on a slope of 0.3: hour 60 stands 18.2 above hour 36, and hour 84 still sees the spike
    assert (one.level, one.start_s / 3600, one.red_s / 3600) == ("red", 60.0, 60.0)
    assert one.peak == pytest.approx(18.2)
    assert one.end_s / 3600 == 85.0


def test_a_window_with_a_silence_in_it_is_unknown_unless_reached():
    swing = Thresholds(amber=10.0, red=None)
    hours = np.array([0, 1, 2, 3, 10, 11, 12, 13, 14, 15, 16, 17, 18]) * 3600.0

    findings = find_ranges(hours, np.full(13, 50.0), swing, window_s=4 * 3600.0, interval_s=3600.0)

    assert findings.episodes == ()
    assert findings.unknown == (Span(3 * 3600.0, 14 * 3600.0),)


def test_a_sensor_that_repeats_one_number_is_found():
    times = np.arange(12) * 900.0
    values = [3, 4, 0, 0, 0, 0, 0, 0, 2, 2, 5, 6]

    assert find_unchanging(times, values, longest_s=3600.0) == (Span(1800.0, 6300.0),)
    assert find_unchanging(times, values, longest_s=4500.0) == ()
    assert find_unchanging([], [], longest_s=60.0) == ()


def test_silence_longer_than_agreed_is_unknown():
    long = judge_hearing(0.0, now_s=1860.0, silence_s=1800.0, say=in_words)
    short = judge_hearing(0.0, now_s=1800.0, silence_s=1800.0, say=in_words)
    never = judge_hearing(None, now_s=0.0, silence_s=1800.0, say=in_words)

    assert (long.state, short.state, never.state) == ("unknown", "heard", "unknown")
    assert long.statement.startswith("Silent for 31 min, agreed are at most 30 min")


def test_a_reading_from_the_future_is_refused():
    with pytest.raises(InvalidInput, match=r"60 min in the future.*clock"):
        judge_hearing(3600.0, now_s=0.0, silence_s=1800.0, say=in_words)


@pytest.mark.parametrize(
    ("amber", "red", "side", "words"),
    [
        (None, None, "above", "amber or a red"),
        (0.08, 0.05, "above", "amber comes first"),
        (3.6, 5.4, "below", "amber comes first"),
        (NAN, 0.05, "above", "no limit"),
        (0.05, 0.08, "beside", "above or below"),
    ],
)
def test_a_limit_that_cannot_be_is_refused(amber, red, side, words):
    with pytest.raises(InvalidInput, match=words):
        Thresholds(amber=amber, red=red, side=side)
