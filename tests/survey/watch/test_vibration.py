"""Are peaks, their frequencies and their ratios to a limit what the standards' procedure gives?"""

import numpy as np
import pytest
import scipy.signal
from hypothesis import assume, given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.vibration import (
    dominant_frequency_hz,
    exposure,
    judge,
    ratio_to_limit,
    without_offset,
)
from survey.watch.vibration_limits import OFFERED, flat, offered

RATE_HZ = 1024.0
TIMES = np.arange(1024) / RATE_HZ
ENVELOPE = np.exp(-(((TIMES - 0.5) / 0.12) ** 2))
BLOW = np.array(
    [
        3.5 * ENVELOPE * np.sin(2 * np.pi * 20 * TIMES),
        2.0 * ENVELOPE * np.sin(2 * np.pi * 35 * TIMES),
        1.2 * ENVELOPE * np.cos(2 * np.pi * 12 * TIMES),
    ]
)
LINE_3 = offered("din-line-3")


def test_peaks_frequencies_and_ratios_of_a_known_blow():
    found = judge(BLOW, rate_hz=RATE_HZ, curve=LINE_3)

    # source: the wave's own formulas; its largest readings on a fine grid, and DIN 4150-3 line 3
    # at 20, 35 and 12 Hz (from memory): 3 + 5 (f - 10) / 40
    assert [one.peak_mm_s for one in found.axes] == pytest.approx([3.460, 1.989, 1.200], abs=1e-3)
    assert [one.frequency_hz for one in found.axes] == pytest.approx([20, 35, 12], abs=0.01)
    assert [one.ratio for one in found.axes] == pytest.approx([0.814, 0.325, 0.369], abs=1e-3)
    assert found.governing.axis == "x"
    assert found.ratio == found.governing.ratio


def test_the_vector_sum_is_that_of_one_moment_and_not_of_three_peaks():
    found = judge(BLOW, rate_hz=RATE_HZ, curve=LINE_3)

    # source: √(x² + y² + z²) on a fine grid; the root of the three squared peaks would be 4.168
    assert found.vector_sum_mm_s == pytest.approx(3.778, abs=1e-3)
    assert found.vector_sum_mm_s < np.sqrt((np.abs(BLOW).max(axis=1) ** 2).sum())


def test_a_limit_of_the_vector_sum_is_held_against_the_sum():
    found = judge(BLOW, rate_hz=RATE_HZ, curve=offered("sn-occasional"))

    # source: SN 640 312a, occasional, below 30 Hz: 15 mm/s, from memory
    assert found.ratio == pytest.approx(3.7776 / 15, abs=1e-4)


@given(
    factor=st.floats(0.1, 20),
    hz=st.floats(2, 80),
    phase=st.floats(0, 6.28),
)
def test_double_the_velocity_is_double_the_ratio(factor, hz, phase):
    wave = ENVELOPE * np.sin(2 * np.pi * hz * TIMES + phase)
    record = np.array([wave, 0.3 * wave, np.zeros(1024)])

    once = judge(record, rate_hz=RATE_HZ, curve=LINE_3)
    scaled = judge(factor * record, rate_hz=RATE_HZ, curve=LINE_3)

    assert scaled.ratio == pytest.approx(factor * once.ratio)
    assert scaled.governing.frequency_hz == pytest.approx(once.governing.frequency_hz)
    assert scaled.vector_sum_mm_s == pytest.approx(factor * once.vector_sum_mm_s)


@given(hz=st.floats(3, 100), phase=st.floats(0, 6.28))
def test_the_frequency_of_a_sine_is_its_own(hz, phase):
    wave = np.sin(2 * np.pi * hz * TIMES + phase)

    found = dominant_frequency_hz(wave, rate_hz=RATE_HZ)

    assume(found is not None)
    assert found == pytest.approx(hz, rel=0.02)


def test_a_blow_the_other_way_round_is_as_strong():
    one = judge(BLOW, rate_hz=RATE_HZ, curve=LINE_3)
    other = judge(-BLOW, rate_hz=RATE_HZ, curve=LINE_3)

    assert [a.peak_mm_s for a in one.axes] == [a.peak_mm_s for a in other.axes]
    assert [a.at_s for a in one.axes] == [a.at_s for a in other.axes]


def test_the_frequency_agrees_with_a_spectrum():
    rng = np.random.default_rng(1936)
    for hz in rng.uniform(8, 60, 20):
        wave = ENVELOPE * np.sin(2 * np.pi * hz * TIMES + rng.uniform(0, 6))
        # source: the highest bin of scipy.signal.periodogram, padded to 1/16 Hz
        bins, power = scipy.signal.periodogram(wave, RATE_HZ, nfft=16_384)

        found = dominant_frequency_hz(wave, rate_hz=RATE_HZ)

        assert found == pytest.approx(bins[np.argmax(power)], rel=0.03)


def test_a_peak_at_the_edge_of_its_record_has_no_frequency_and_the_strictest_limit():
    cut = BLOW[:, int(0.5127 * 1024) :]

    found = judge(cut, rate_hz=RATE_HZ, curve=LINE_3)

    assert found.axes[0].frequency_hz is None
    assert found.axes[0].limit_mm_s == 3.0


def test_an_offset_is_taken_off():
    assert without_offset([2.0, 4.0]).tolist() == [-1.0, 1.0]
    shifted = without_offset(BLOW[0] + 5.0)
    assert dominant_frequency_hz(shifted, rate_hz=RATE_HZ) == pytest.approx(20, abs=0.1)


@pytest.mark.parametrize(("hz", "limit"), [(5, 3), (20, 4.25), (30, 5.5), (75, 9), (100, 10)])
def test_din_line_3(hz, limit):
    # source: DIN 4150-3:2016, line 3: 3 to 10 Hz, 3 to 8 to 50 Hz, 8 to 10 to 100 Hz, from memory
    assert float(LINE_3.at(hz)) == pytest.approx(limit)


@pytest.mark.parametrize(
    ("key", "hz", "limit"),
    [
        # source: BS 7385-2:1993, table 1: 15 at 4 Hz, 20 at 15 Hz, 50 at 40 Hz and above
        ("bs-linear", 4, 15),
        ("bs-linear", 8, 16.82),
        ("bs-log", 8, 17.44),
        ("bs-log", 15, 20),
        ("bs-linear", 40, 50),
        ("bs-linear", 90, 50),
        # source: the same, 0.6 mm below 4 Hz, from memory: 2π · 2 Hz · 0.6 mm
        ("bs-linear", 2, 7.54),
    ],
)
def test_bs_7385(key, hz, limit):
    assert float(offered(key).at(hz)) == pytest.approx(limit, abs=0.005)


@pytest.mark.parametrize(
    ("key", "hz", "limit_in_s"),
    [
        # source: Rhode Island General Laws 23-28.28-9: 0.5 in/s to 10 Hz, 0.05 f to 40 Hz, 2.0
        ("usbm-plaster", 5, 0.5),
        ("usbm-plaster", 10, 0.5),
        ("usbm-plaster", 20, 1.0),
        ("usbm-plaster", 60, 2.0),
        # source: USBM RI 8507, figure B-1, from memory: 0.75 in/s, then 0.008 in displacement
        ("usbm-drywall", 10, 0.75),
        ("usbm-drywall", 20, 1.005),
        ("usbm-drywall", 3, 0.565),
    ],
)
def test_usbm(key, hz, limit_in_s):
    assert float(offered(key).at(hz)) / 25.4 == pytest.approx(limit_in_s, abs=0.002)


def test_sn_at_a_border_takes_the_stricter():
    # source: SN 640 312a, frequent: 6 below 30, 8 to 60, 12 mm/s above, from memory
    assert offered("sn-frequent").at([10, 30, 45, 60, 61, 200]).tolist() == [6, 6, 8, 8, 12, 12]


def test_an_eighth_of_an_inch_per_second_is_said_exactly():
    # source: Caltrans, 0.12 in/s; 1 in = 25.4 mm
    assert offered("caltrans-historic").strictest_mm_s == pytest.approx(3.048, abs=1e-12)


def test_a_logger_with_its_own_frequencies_is_judged_too():
    found = ratio_to_limit([3.0, 3.0, 3.0], [5.0, 30.0, np.nan], curve=LINE_3)

    assert found.tolist() == pytest.approx([1.0, 3.0 / 5.5, 1.0])


def test_events_and_exposure_of_two_blows_and_a_silence():
    """By hand: blows at 10-11 s and 12.5 s are one event, that at 30 s another, 40 to 50 unknown."""
    times = np.concatenate((np.arange(0, 40.1, 0.5), np.arange(50, 60, 0.5)))
    velocity = np.zeros(times.size)
    for at, value in ((10.0, -1.4), (10.5, 1.3), (11.0, 0.2), (11.5, 1.5), (30.0, 2.5)):
        velocity[times == at] = value

    found = exposure(times, velocity, amber_mm_s=1.27, red_mm_s=2.0, interval_s=0.5)

    assert [(one.level, one.start_s, one.end_s) for one in found.events] == [
        ("amber", 10.0, 12.0),
        ("red", 30.0, 30.5),
    ]
    assert (found.exposure_s, found.longest_s) == (2.5, 2.0)
    assert [(span.start_s, span.end_s) for span in found.unknown] == [(40.0, 50.0)]
    assert found.statement.startswith("2 events, 2.5 s in all, at or above 1.27 mm/s")
    assert "No cumulative dose" in found.statement


def test_one_reading_stands_for_its_interval():
    found = exposure([0.0, 10.0, 20.0], [0.0, 0.0, 2.0], amber_mm_s=1.0, interval_s=10.0)

    assert (found.exposure_s, found.longest_s) == (10.0, 10.0)


@given(st.lists(st.floats(-3, 3), min_size=2, max_size=80))
def test_exposure_does_not_depend_on_the_sign(values):
    times = np.arange(len(values)) * 0.25

    one = exposure(times, values, amber_mm_s=1.0, interval_s=0.25)
    other = exposure(times, -np.array(values), amber_mm_s=1.0, interval_s=0.25)

    assert one.exposure_s == other.exposure_s
    assert one.exposure_s <= len(values) * 0.25 + 1e-9


def test_what_cannot_be_judged_is_refused():
    with pytest.raises(InvalidInput, match="three rows"):
        judge(BLOW[:2], rate_hz=RATE_HZ, curve=LINE_3)
    with pytest.raises(InvalidInput, match="rate"):
        judge(BLOW, rate_hz=0.0, curve=LINE_3)
    with pytest.raises(InvalidInput, match="outside -1000 to 1000 mm/s"):
        judge(BLOW * 1e4, rate_hz=RATE_HZ, curve=LINE_3)
    with pytest.raises(InvalidInput, match="none missing"):
        dominant_frequency_hz([1.0, np.nan, 2.0], rate_hz=RATE_HZ)
    with pytest.raises(InvalidInput, match="no offered limit"):
        offered("nobody's")
    with pytest.raises(InvalidInput, match="above 0"):
        flat(0.0, key="own", name="own", source="a protocol", label="from memory")


def test_every_offered_limit_has_a_source_and_says_how_far_it_was_checked():
    assert len({curve.key for curve in OFFERED}) == len(OFFERED)
    assert all(curve.source and curve.label in ("confirmed", "from memory") for curve in OFFERED)
    assert {c.label for c in OFFERED if c.key.startswith("din")} == {"from memory"}
