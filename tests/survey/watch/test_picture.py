"""Does a chart's picture keep every peak, whatever its width?"""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.picture import picture_of

readings = st.lists(
    st.one_of(st.floats(-1e6, 1e6), st.just(float("nan"))), min_size=1, max_size=300
)


@example([0.0, *[float("nan")] * 5, 0.0], 231, 649)  # a reading on an edge that floats round up
@given(readings, st.integers(1, 400), st.integers(1, 10_000))
def test_every_column_holds_the_least_and_the_most_of_its_readings(values, columns, step):
    times = np.arange(len(values), dtype=np.int64) * step
    end = int(times[-1]) + step

    found = picture_of(times, np.array(values), start_us=0, end_us=end, columns=columns)

    expected = {}
    for at, value in zip(times.tolist(), values, strict=True):
        if not np.isnan(value):
            expected.setdefault(min(at * columns // end, columns - 1), []).append(value)
    drawn = dict(
        zip(found.columns.tolist(), zip(found.least, found.most, strict=True), strict=True)
    )
    assert drawn == {n: (min(held), max(held)) for n, held in expected.items()}


def test_a_single_peak_of_a_year_is_in_the_picture():
    values = np.zeros(525_600)
    values[312_345] = 0.084
    times = np.arange(values.size, dtype=np.int64) * 60_000_000

    found = picture_of(times, values, start_us=0, end_us=int(times[-1]), columns=800)

    assert found.most.max() == 0.084


def test_a_picture_of_no_readings_is_empty():
    none = np.zeros(0, np.int64)

    assert picture_of(none, np.zeros(0), start_us=0, end_us=10, columns=5).columns.size == 0


@pytest.mark.parametrize("columns", [0, 4001])
def test_too_few_or_too_many_columns_are_refused(columns):
    with pytest.raises(InvalidInput, match="must be 1 to 4000"):
        picture_of(np.zeros(0, np.int64), np.zeros(0), start_us=0, end_us=1, columns=columns)
