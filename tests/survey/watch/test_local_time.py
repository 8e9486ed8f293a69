"""Is a zone's clock turned into UTC as the standard library turns it, moment by moment?"""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from survey.watch.local_time import changes, from_zone

ZONES = ["Europe/London", "America/New_York", "Australia/Lord_Howe", "Asia/Tehran", "UTC"]


@pytest.mark.parametrize("name", ZONES)
@given(hours=st.integers(0, 24 * 365), minutes=st.integers(0, 59))
def test_an_unbroken_series_comes_back_from_every_zone(name, hours, minutes):
    """A logger that writes local time without a gap loses nothing at any change of the clock."""
    zone = ZoneInfo(name)
    start = datetime(2021, 1, 1, tzinfo=UTC) + timedelta(hours=hours, minutes=minutes)
    moments = [start + timedelta(minutes=15 * n) for n in range(400)]
    local = [at.astimezone(zone).replace(tzinfo=UTC).timestamp() for at in moments]

    found = from_zone(np.array(local), zone)

    wrong = [n for n, at in enumerate(moments) if found.seconds[n] != at.timestamp()]
    begins_in_the_hour_that_runs_twice = set(wrong) <= set(range(4))
    assert begins_in_the_hour_that_runs_twice
    assert not found.never.any()


def test_the_changes_of_a_year_are_found_to_the_second():
    start, end = datetime(2026, 1, 1, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC)

    found = list(changes(ZoneInfo("Europe/London"), start.timestamp(), end.timestamp()))

    # source: Summer Time Order 2002 (SI 2002/262): last Sundays of March and October, 01:00 GMT
    assert [datetime.fromtimestamp(one.at_s, UTC) for one in found] == [
        datetime(2026, 3, 29, 1, tzinfo=UTC),
        datetime(2026, 10, 25, 1, tzinfo=UTC),
    ]
    assert [(one.before_s, one.after_s) for one in found] == [(0, 3600), (3600, 0)]
