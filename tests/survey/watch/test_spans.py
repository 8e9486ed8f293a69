"""Is silence in a series found, and never bridged?"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.spans import (
    Span,
    first_of_each,
    piece_numbers,
    range_within,
    seconds_of,
    series,
    unknown_spans,
    usual_interval_s,
)

HOUR = 3600.0
# Stamps in quarter hours, some of them lost.
quarter_hours = st.sets(st.integers(0, 200), min_size=4, max_size=150).map(
    lambda stamps: np.array(sorted(stamps), float) * 900
)


def test_two_lost_readings_are_a_silence_and_one_is_not():
    times = np.array([0, 1, 2, 4, 5, 8, 9]) * 60.0

    found = unknown_spans(times, np.ones(7), interval_s=60.0)

    assert found == (Span(300.0, 480.0),)
    assert seconds_of(found) == 180.0


def test_a_missing_value_is_a_silence_like_a_missing_line():
    times = np.arange(6) * 60.0

    found = unknown_spans(times, [1, np.nan, np.nan, np.nan, 1, 1], interval_s=60.0)

    assert found == (Span(0.0, 240.0),)


def test_silence_before_the_first_and_after_the_last_reading_counts():
    found = unknown_spans([600.0, 660.0], [1.0, 1.0], interval_s=60.0, watched=Span(0.0, 3600.0))

    assert found == (Span(0.0, 600.0), Span(660.0, 3600.0))


def test_a_watch_without_any_reading_is_unknown_from_end_to_end():
    assert unknown_spans([], [], interval_s=60.0, watched=Span(0.0, 600.0)) == (Span(0.0, 600.0),)


def test_pieces_are_cut_at_silences():
    times = np.array([0.0, 60, 300, 360, 900])
    unknown = (Span(60, 300), Span(360, 900))

    assert piece_numbers(times, unknown).tolist() == [0, 0, 1, 1, 2]


@given(times=quarter_hours)
def test_thinning_never_makes_a_silence_disappear(times):
    """The full series' silences cut the thinned one too, so no gap-free hour is invented."""
    values = np.ones(times.size)
    unknown = unknown_spans(times, values, interval_s=900.0)

    thinned, _ = first_of_each(times, values, every_s=HOUR)
    pieces = piece_numbers(thinned, unknown)

    assert set(thinned) <= set(times)
    for span in unknown:
        inside = (thinned > span.start_s) & (thinned < span.end_s)
        assert not inside.any()
        before, after = pieces[thinned <= span.start_s], pieces[thinned >= span.end_s]
        assert not set(before) & set(after)


@given(values=st.lists(st.floats(-50, 50), min_size=1, max_size=60), window=st.integers(1, 70))
def test_the_range_of_a_window_is_that_of_its_readings(values, window):
    times = np.cumsum(np.arange(len(values)) % 3 + 1.0)
    held = np.array(values)

    found = range_within(times, held, window_s=float(window))

    for index, at in enumerate(times):
        inside = held[(times >= at - window) & (times <= at)]
        assert found[index] == pytest.approx(np.ptp(inside))


def test_the_usual_interval_is_not_moved_by_a_silence():
    assert usual_interval_s([0, 600, 1200, 1800, 90_000]) == 600.0


@pytest.mark.parametrize(
    ("times", "values", "words"),
    [
        ([0, 60, 60], [1, 2, 3], "reading 3 is not later"),
        ([0, 60], [1, 2, 3], "3 readings for 2 times"),
        ([0, np.nan], [1, 2], "without a time"),
        ([0, 60], [1, np.inf], "infinite"),
    ],
)
def test_a_series_that_cannot_be_is_refused(times, values, words):
    with pytest.raises(InvalidInput, match=words):
        series(times, values)


def test_one_reading_has_no_interval():
    with pytest.raises(InvalidInput, match="two or more"):
        usual_interval_s([0.0])
