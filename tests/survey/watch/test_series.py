"""Are the silences of stored readings those that the pure rule names?"""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from survey.watch.series import Series
from survey.watch.spans import Span, unknown_spans

steps = st.lists(st.integers(1, 4000), min_size=1, max_size=80)


@given(steps, st.data(), st.sampled_from([60.0, 900.0]))
def test_silences_are_those_of_the_rule(steps_s, data, interval_s):
    times_s = np.cumsum(steps_s)
    missing = data.draw(st.lists(st.booleans(), min_size=len(steps_s), max_size=len(steps_s)))
    values = np.where(missing, np.nan, 1.0)
    watched = Span(0.0, float(times_s[-1]) + data.draw(st.integers(0, 5000)))
    held = Series(times_s.astype(np.int64) * 1_000_000, values, interval_s)

    found = held.gaps(watched)

    assert found == unknown_spans(times_s, values, interval_s=interval_s, watched=watched)


def test_an_instrument_without_an_interval_has_no_silence_that_can_be_told():
    assert Series(np.array([0, 10**12]), np.array([1.0, 2.0])).gaps() == ()
