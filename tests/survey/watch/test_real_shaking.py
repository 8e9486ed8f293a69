"""Are peaks, frequency and events of a real seismogram those that other programs find in it?

A 30 s record of three axes: shaking that was measured, with noise, offset and several phases.
"""

import importlib.metadata
import socket
from pathlib import Path

import numpy as np
import obspy
import pytest
import scipy.optimize

from survey.watch.vibration import dominant_frequency_hz, exposure, judge
from survey.watch.vibration_limits import offered

RATE_HZ = 100.0
MM_S_PER_UNIT = 1 / 400.0  # scale chosen so that the strongest blow is some 5 mm/s
AMBER_MM_S = 0.5
QUIET_S = 1.0


@pytest.fixture(scope="module")
def raw():
    """The axes east, north and up, as the package's archive holds them."""
    # source: ObsPy 1.5, obspy/core/data/example.npz: station RJOB, 2009-08-24
    path = Path(
        str(importlib.metadata.distribution("obspy").locate_file("obspy/core/data/example.npz"))
    )
    archive = np.load(path)
    return [archive[name] for name in ("EHE", "EHN", "EHZ")]


@pytest.fixture
def shaking(monkeypatch):
    """The same record as ObsPy reads it, without its mean, as mm/s in rows x, y, z."""

    def refuse(*_args, **_kwargs):
        raise AssertionError("The example must come from the package, not from a network.")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    stream = obspy.read().detrend("demean")
    assert {trace.stats.sampling_rate for trace in stream} == {RATE_HZ}
    return np.array([stream.select(channel=f"EH{axis}")[0].data for axis in "ENZ"]) * MM_S_PER_UNIT


def half_cycle_s(record):
    """Return the length of the half cycle of the largest reading, by root finding on a line."""
    seconds = np.arange(record.size) / RATE_HZ
    at = max(range(record.size), key=lambda i: abs(record[i]))
    left = next(i for i in range(at, -1, -1) if record[i] * record[at] <= 0)
    right = next(i for i in range(at, record.size) if record[i] * record[at] <= 0)

    def line(moment):
        return np.interp(moment, seconds, record)

    began = scipy.optimize.brentq(line, seconds[left], seconds[left + 1])
    ended = scipy.optimize.brentq(line, seconds[right - 1], seconds[right])
    return ended - began


def events_one_by_one(values, amber, quiet):
    """Return the events [first, last reading], ended by `quiet` readings below, by a plain loop."""
    found: list[list[int]] = []
    below = quiet
    for index, value in enumerate(values):
        if abs(value) < amber:
            below += 1
            continue
        if below >= quiet + 1 or not found:
            found.append([index, index])
        found[-1][1] = index
        below = 0
    return found


def test_peaks_and_vector_sum_are_those_of_the_raw_arrays(raw, shaking):
    found = judge(shaking, rate_hz=RATE_HZ, curve=offered("din-line-3"))

    # source: numpy on the archive's own arrays
    axes = [(one - np.mean(one)) * MM_S_PER_UNIT for one in raw]
    assert [one.peak_mm_s for one in found.axes] == pytest.approx(
        [max(one.max(), -one.min()) for one in axes], rel=1e-9
    )
    assert [one.at_s for one in found.axes] == pytest.approx(
        [np.abs(one).argmax() / RATE_HZ for one in axes]
    )
    lengths = np.linalg.norm(np.column_stack(axes), axis=1)
    assert found.vector_sum_mm_s == pytest.approx(lengths.max(), rel=1e-9)
    assert found.vector_sum_at_s == pytest.approx(lengths.argmax() / RATE_HZ)
    assert found.vector_sum_mm_s < np.linalg.norm([one.peak_mm_s for one in found.axes])


def test_the_frequency_is_that_of_the_peaks_half_cycle(shaking):
    for record in shaking:
        # source: roots by scipy.optimize.brentq on the line through the readings
        expected = 1 / (2 * half_cycle_s(record))

        assert dominant_frequency_hz(record, rate_hz=RATE_HZ) == pytest.approx(expected, rel=1e-9)


def test_events_and_exposure_are_those_of_a_plain_loop(shaking):
    times = np.arange(shaking.shape[1]) / RATE_HZ
    for record in shaking:
        expected = events_one_by_one(record, AMBER_MM_S, round(QUIET_S * RATE_HZ))

        found = exposure(times, record, amber_mm_s=AMBER_MM_S, interval_s=1 / RATE_HZ)

        assert [one.start_s for one in found.events] == pytest.approx(
            [first / RATE_HZ for first, _ in expected]
        )
        assert [one.end_s for one in found.events] == pytest.approx(
            [(last + 1) / RATE_HZ for _, last in expected]
        )
        assert found.exposure_s == pytest.approx(
            sum(last + 1 - first for first, last in expected) / RATE_HZ
        )
        assert found.unknown == ()


def test_the_record_holds_more_than_one_event(shaking):
    """Else the plain loop above would say little of where one event ends and another begins."""
    counts = [
        len(events_one_by_one(record, AMBER_MM_S, round(QUIET_S * RATE_HZ))) for record in shaking
    ]

    assert max(counts) > 1
