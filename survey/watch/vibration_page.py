"""How hard did the wall shake in these days, by each logger, axis and event, against which limits?

Events are counted against the limit agreed for the logger; without one nothing is counted, because
no limit is preset. Published curves stand beside each event as an aid to reading, not as limits.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from gridmap.models import Wall
from survey.watch.channels import ChannelOf, channels_of, heard_between, interval_s_of
from survey.watch.climate_days import beside
from survey.watch.governing import SUM, AgreedLimit, governing, limits_on
from survey.watch.hours import moment_of
from survey.watch.models import Instrument, Limit
from survey.watch.periods import Period
from survey.watch.spans import Floats, Span
from survey.watch.vibration_events import (
    CurveRatio,
    ShakeCount,
    ShakeEvent,
    Shaken,
    against,
    events_of,
    peak_of_each_axis,
)
from survey.watch.vibration_limits import OFFERED

TOGETHER_S = 0.5  # readings of one row
NO_PEAK = (0.0, 0.0, None)


@dataclass(frozen=True)
class AxisPeak:
    """The largest peak of one axis in the days shown."""

    axis: str
    peak_mm_s: float
    at: datetime
    frequency_hz: float | None


@dataclass(frozen=True)
class EventRow:
    """One event, with the published curves at its own frequency."""

    event: ShakeEvent
    curves: Sequence[CurveRatio]

    @property
    def at(self) -> datetime:
        """When it began."""
        return moment_of(self.event.start_s)

    @property
    def peaks(self) -> list[tuple[str, float]]:
        """Each axis with its peak [mm/s]."""
        return sorted(self.event.peaks_mm_s.items())


@dataclass(frozen=True)
class VibrationLogger:
    """One logger: the peaks of its axes, the agreed limit, and the events counted by it."""

    instrument: Instrument
    channels: Sequence[ChannelOf]  # of its axes, that with the largest peak first
    peaks: Sequence[AxisPeak]
    limit: Limit | None
    count: ShakeCount | None
    events: Sequence[EventRow]
    readings: int


def vibration_loggers(wall: Wall, period: Period) -> list[VibrationLogger]:
    """Return each vibration logger with what it wrote down in a period."""
    by_instrument: dict[object, list[ChannelOf]] = {}
    for channel in channels_of(wall, "particle-velocity", "dominant-frequency"):
        by_instrument.setdefault(channel.instrument.pk, []).append(channel)
    return [
        _logger(channels, period)
        for channels in by_instrument.values()
        if any(one.quantity == "particle-velocity" for one in channels)
    ]


def _logger(channels: Sequence[ChannelOf], period: Period) -> VibrationLogger:
    instrument = channels[0].instrument
    shaken = _shaken(channels, period)
    rows = limits_on(instrument.wall, period.last)
    limit = governing(rows, instrument, "particle-velocity")
    count = _count(shaken, limit, period) if limit else None
    peaks = peak_of_each_axis(shaken)
    return VibrationLogger(
        instrument=instrument,
        channels=sorted(
            _axes(channels), key=lambda one: -peaks.get(one.axis or one.name, NO_PEAK)[0]
        ),
        peaks=[
            AxisPeak(axis, peak, moment_of(at), frequency)
            for axis, (peak, at, frequency) in sorted(peaks.items())
        ],
        limit=limit.row if limit else None,
        count=count,
        events=[EventRow(one, against(one, OFFERED)) for one in reversed(count.events)]
        if count
        else (),
        readings=int(shaken.times_s.size),
    )


def _count(shaken: Shaken, limit: AgreedLimit, period: Period) -> ShakeCount:
    return events_of(
        shaken,
        amber_mm_s=limit.first,
        red_mm_s=limit.red,
        watched=Span(period.start.timestamp(), period.end.timestamp()),
    )


def _shaken(channels: Sequence[ChannelOf], period: Period) -> Shaken:
    axes = _axes(channels)
    times, first = heard_between(axes[0], period.start, period.end)
    held = {axes[0].axis or axes[0].name: first}
    for one in axes[1:]:
        held[one.axis or one.name] = _beside(one, times, period)
    frequency = [one for one in channels if one.quantity == "dominant-frequency"]
    total = [one for one in channels if one not in axes and one.axis == SUM]
    return Shaken(
        times_s=times,
        axes=held,
        interval_s=interval_s_of(channels[0].instrument),
        frequency_hz=_beside(frequency[0], times, period) if frequency else None,
        sum_mm_s=_beside(total[0], times, period) if total else None,
    )


def _axes(channels: Sequence[ChannelOf]) -> list[ChannelOf]:
    """Return the channels of single axes; where there is none, the sum alone."""
    velocities = [one for one in channels if one.quantity == "particle-velocity"]
    return [one for one in velocities if one.axis != SUM] or velocities


def _beside(channel: ChannelOf, times: Floats, period: Period) -> Floats:
    read = heard_between(channel, period.start, period.end)
    return beside(times, *read, within_s=TOGETHER_S) if times.size else np.zeros(0)
