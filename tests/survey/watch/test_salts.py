"""Are deliquescence and the count of cycles as published, and is a count honest about itself?"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.salts import (
    Passage,
    count_cycles,
    count_with_thinning,
    deliquescence_rh_pct,
    hours_between,
    passage_of,
)
from survey.watch.spans import Span

QUARTER, HOUR = 900.0, 3600.0
NAN = float("nan")
READ = [70, 74, 76, 78, 74, 72, 77, 80, 76, 75, 74, 76, 74, 76, 60, 80, 79, 70]
YEAR_HOURS = np.arange(8760)
YEAR = 72 + 8 * np.sin(2 * np.pi * YEAR_HOURS / 24) + 10 * np.sin(2 * np.pi * YEAR_HOURS / 8760)

humidities = st.lists(st.floats(60, 90) | st.just(NAN), min_size=2, max_size=80)


def count(values, *, threshold=75.3, hysteresis=0.0, dwell_s=0.0, interval_s=QUARTER):
    times = np.arange(len(values)) * interval_s
    passage = passage_of(threshold, hysteresis_rh_pct=hysteresis, dwell_s=dwell_s)
    return count_cycles(times, values, passage, interval_s=interval_s).cycles


def cycles_one_by_one(values, wet, dry):
    is_wet, cycles = False, 0
    for value in values:
        if value >= wet:
            is_wet = True
        elif value < dry and is_wet:
            is_wet = False
            cycles += 1
    return cycles


@pytest.mark.parametrize(
    ("salt", "values"),
    # source: Greenspan 1977, J. Res. NBS 81A, 89, tables of the six salts at 0, 10, 20, 25, 30 and
    # 40 °C; printed values run up to 0.01 lower than the polynomials
    [
        ("NaCl", [75.52, 75.68, 75.48, 75.30, 75.09, 74.69]),
        ("MgCl2", [33.67, 33.48, 33.07, 32.79, 32.45, 31.61]),
        ("Mg(NO3)2", [60.35, 57.37, 54.39, 52.90, 51.41, 48.43]),
        ("KNO3", [96.34, 95.96, 94.62, 93.59, 92.31, 89.03]),
        ("K2SO4", [98.78, 98.19, 97.60, 97.30, 97.01, 96.42]),
    ],
)
def test_deliquescence_agrees_with_the_table(salt, values):
    found = deliquescence_rh_pct(salt, [0.0, 10.0, 20.0, 25.0, 30.0, 40.0])

    assert found.tolist() == pytest.approx(values, abs=0.02)


@pytest.mark.parametrize(
    ("salt", "a", "b", "apart"),
    # source: CRC Handbook (Wexler), RH = A exp(B/T), ± 2 %; potassium nitrate differs by 1.7
    [
        ("NaCl", 69.20, 25, 0.5),
        ("MgCl2", 29.26, 34, 0.5),
        ("Mg(NO3)2", 25.28, 220, 0.5),
        ("K2SO4", 86.75, 34, 0.5),
        ("KNO3", 43.22, 225, 2.0),
    ],
)
def test_deliquescence_is_near_a_second_source(salt, a, b, apart):
    second = a * np.exp(b / 298.15)

    assert float(deliquescence_rh_pct(salt, 25.0)) == pytest.approx(second, abs=apart)


@pytest.mark.parametrize(
    ("hysteresis", "dwell_s", "cycles"), [(0.0, 0.0, 5), (2.0, 0.0, 3), (2.0, QUARTER, 0)]
)
def test_cycles_of_a_short_series_counted_by_hand(hysteresis, dwell_s, cycles):
    """Dryings at the readings 74, 75, 74, 60 and 70; with 73.3 and 77.3 at 72, 60 and 70.

    A dwell of two readings is one interval from the first of them to the second.
    """
    assert count(READ, hysteresis=hysteresis, dwell_s=dwell_s) == cycles


@pytest.mark.parametrize(("hysteresis", "cycles"), [(0.0, 239), (2.0, 171)])
def test_cycles_of_a_year_of_sines(hysteresis, cycles):
    # source: the definition of a cycle, followed reading by reading (`cycles_one_by_one`)
    assert cycles_one_by_one(YEAR, 75.3 + hysteresis, 75.3 - hysteresis) == cycles
    assert count(YEAR, hysteresis=hysteresis, interval_s=HOUR) == cycles


def test_a_year_of_daily_means_hides_nearly_all_cycles():
    means = YEAR.reshape(365, 24).mean(axis=1)

    assert cycles_one_by_one(means, 75.3, 75.3) == 1
    assert count(means, interval_s=86_400.0) == 1


def test_no_cycle_is_counted_across_a_silence():
    wet_then_dry = np.array([80.0, 80, 80, 60, 60, 60])
    joined = np.arange(6) * QUARTER
    apart = joined + np.array([0, 0, 0, 6, 6, 6]) * HOUR
    passage = passage_of(75.3, hysteresis_rh_pct=2.0, dwell_s=0.0)

    assert count_cycles(joined, wet_then_dry, passage, interval_s=QUARTER).cycles == 1
    silent = count_cycles(apart, wet_then_dry, passage, interval_s=QUARTER)
    assert silent.cycles == 0
    assert silent.unknown == (Span(1800.0, 2700.0 + 6 * HOUR),)
    assert "86.2% of the time is unknown" in silent.statement  # 6 h 15 min of 7 h 15 min


def test_a_passage_of_a_whole_zone_is_counted_apart():
    """From below 65.5 to 75.5 and back, twice; once it stops at 68 on the way down."""
    values = [60, 70, 76, 70, 60, 70, 76, 68, 76, 64]
    times = np.arange(10) * QUARTER

    zone = count_cycles(times, values, Passage(75.5, 65.5), interval_s=QUARTER)
    border = count_cycles(times, values, Passage(75.5, 75.5), interval_s=QUARTER)

    assert (zone.cycles, border.cycles) == (2, 3)


def test_a_reading_at_the_lower_border_is_not_yet_dry():
    times = np.arange(2) * QUARTER

    at, below = (
        count_cycles(times, [76.0, low], Passage(75.5, 65.5), interval_s=QUARTER).cycles
        for low in (65.5, 65.4)
    )

    assert (at, below) == (0, 1)


def test_the_threshold_may_follow_the_temperature():
    """At 20 °C Mg(NO3)2 dries below 54.4 %, at 10 °C below 57.4 %: 56 % is wet, then dry."""
    temperatures = np.array([20.0, 20.0, 10.0, 10.0])
    threshold = deliquescence_rh_pct("Mg(NO3)2", temperatures)

    found = count_cycles(
        np.arange(4) * QUARTER,
        np.full(4, 56.0),
        passage_of(threshold, hysteresis_rh_pct=1.0, dwell_s=QUARTER),
        interval_s=QUARTER,
    )

    assert found.cycles == 1


@given(values=st.lists(st.floats(60, 90), min_size=2, max_size=80), hysteresis=st.floats(0, 6))
def test_a_count_agrees_with_one_made_reading_by_reading(values, hysteresis):
    assert count(values, hysteresis=hysteresis) == cycles_one_by_one(
        values, 75.3 + hysteresis, 75.3 - hysteresis
    )


@given(values=humidities, hysteresis=st.floats(0, 6), more=st.floats(0, 6), dwell=st.integers(0, 3))
def test_a_count_does_not_rise_when_hysteresis_grows(values, hysteresis, more, dwell):
    narrow = count(values, hysteresis=hysteresis, dwell_s=dwell * QUARTER)
    wide = count(values, hysteresis=hysteresis + more, dwell_s=dwell * QUARTER)

    assert wide <= narrow


@given(values=humidities, dwell=st.integers(0, 4))
def test_a_count_does_not_rise_when_the_dwell_grows(values, dwell):
    assert count(values, dwell_s=(dwell + 1) * QUARTER) <= count(values, dwell_s=dwell * QUARTER)


@given(values=humidities)
def test_thinning_adds_no_time_to_what_is_known(values):
    times = np.arange(len(values)) * QUARTER
    passage = passage_of(75.3, hysteresis_rh_pct=2.0, dwell_s=0.0)

    found = count_with_thinning(
        times, values, passage, interval_s=QUARTER, thinned_to_s=[HOUR, 2 * HOUR]
    )

    for thinned in found.thinned:
        for span in found.full.unknown:
            assert any(
                other.start_s <= span.start_s and span.end_s <= other.end_s
                for other in thinned.unknown
            )
        assert thinned.cycles <= found.full.cycles


def test_a_count_that_hangs_on_the_interval_says_so():
    times = np.arange(96 * 7) * QUARTER
    quick = 75.3 + 5 * np.sin(2 * np.pi * times / (1.1 * HOUR))
    slow = 75.3 + 5 * np.sin(2 * np.pi * times / (24 * HOUR) + 0.3)
    passage = passage_of(75.3, hysteresis_rh_pct=2.0, dwell_s=0.0)

    hangs = count_with_thinning(times, quick, passage, interval_s=QUARTER, thinned_to_s=[HOUR])
    holds = count_with_thinning(times, slow, passage, interval_s=QUARTER, thinned_to_s=[HOUR])

    assert not hangs.holds
    assert "hangs on the logging interval" in hangs.statement
    assert holds.holds
    assert holds.full.cycles == 7
    assert "wet from 77.3, dry below 73.3 % RH, dwell 0 min, a reading every 15 min" in (
        holds.statement
    )
    assert "more than 30 min apart" in holds.thinned[0].statement


def test_hours_in_a_zone_leave_silences_out():
    times = np.array([0, 1, 2, 3, 13, 14]) * HOUR
    values = [70, 70, 60, 70, 70, 80]

    found = hours_between(times, values, low_rh_pct=65.5, high_rh_pct=75.5, interval_s=HOUR)

    assert found == 3.0  # 0-1, 1-2 and 13-14; 3 to 13 is unknown


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: deliquescence_rh_pct("Na2SO4", 20.0), "not among the salts"),
        (lambda: deliquescence_rh_pct("NaCl", 68.0), r"68 °C is outside 0 to 50 °C.*°F"),
        (lambda: Passage(65.5, 75.5), "must not be above"),
        (lambda: Passage(75.5, 65.5, -1.0), "0 s or more"),
        (lambda: count([75.0, 120.0]), "120 % RH"),
        (
            lambda: count_with_thinning(
                [0, 900], [70, 80], Passage(75, 75), interval_s=QUARTER, thinned_to_s=[QUARTER]
            ),
            "longer than the series' own 900 s",
        ),
    ],
)
def test_what_cannot_be_counted_is_refused(call, words):
    with pytest.raises(InvalidInput, match=words):
        call()
