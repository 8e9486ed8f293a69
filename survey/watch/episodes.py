"""Which exceedances do the readings of an instrument hold, with what was read beside each?

Reads series and searches; writes nothing. A gap is unknown and never safe.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from survey.watch.alarms import Episode, find_exceedances, find_ranges
from survey.watch.channels import interval_s_of
from survey.watch.climate_days import beside
from survey.watch.computed_series import course_of
from survey.watch.governing import SUM
from survey.watch.hours import moment_of
from survey.watch.limit_kinds import CHANGE, VELOCITY, thresholds_of
from survey.watch.limited_channels import Channel, Held
from survey.watch.models import Instrument, Limit
from survey.watch.quantities import from_canonical, to_canonical
from survey.watch.series import series
from survey.watch.spans import DAY_S, Floats
from survey.watch.vibration import QUIET_S
from survey.watch.vibration_limits import offered

TOGETHER_S = 0.5  # readings of one row of a logger


@dataclass(frozen=True)
class Met:
    """One stretch beyond a limit, in the limit's unit, with what was read beside its peak."""

    limit: Limit
    channel: str
    episode: Episode
    peak: float
    ratio: float | None  # of a table's value at the frequency read
    frequency_hz: float | None
    vector_sum: float | None


def episodes_of(instrument: Instrument, held: Held) -> list[Met]:
    """Return the exceedances of one limit, in order of time."""
    start, end = moment_of(held.start_s), moment_of(held.end_s)
    times, values = _in_limit_unit(instrument, held.channels, held.limit, start, end)
    if times.size == 0:
        return []
    frequency = _frequency(instrument, times, start, end)
    table = held.limit.content.get("table")
    searched = _over_table(values, frequency, table, held.limit.unit) if table else values
    interval_s = interval_s_of(instrument)
    direction = held.limit.content.get("direction", "above")
    thresholds = thresholds_of(direction, held.limit.amber, held.limit.red)
    if direction == CHANGE:
        found = find_ranges(times, searched[0], thresholds, window_s=DAY_S, interval_s=interval_s)
    else:
        hold_s = QUIET_S if held.limit.quantity == VELOCITY else 0.0
        strongest = np.fmax.reduce(searched) if len(searched) > 1 else searched[0]
        found = find_exceedances(times, strongest, thresholds, interval_s=interval_s, hold_s=hold_s)
    total = _vector_sum(instrument, held.limit, times, start, end)
    return [
        _met(one, held, times=times, values=values, searched=searched, frequency=frequency,
             total=total)
        for one in found.episodes
    ]  # fmt: skip


def _met(
    episode: Episode,
    held: Held,
    *,
    times: Floats,
    values: Sequence[Floats],
    searched: Sequence[Floats],
    frequency: Floats | None,
    total: Floats | None,
) -> Met:
    at = int(np.searchsorted(times, episode.peak_at_s))
    strength = [abs(one[at]) if not np.isnan(one[at]) else -np.inf for one in searched]
    governing = int(np.argmax(strength)) if len(searched) > 1 else 0
    table = held.limit.content.get("table")
    change = held.limit.content.get("direction") == CHANGE
    return Met(
        limit=held.limit,
        channel=held.channels[governing]["name"],
        episode=episode,
        peak=episode.peak if change or not table else float(values[governing][at]),
        ratio=episode.peak if table else None,
        frequency_hz=_number(frequency, at),
        vector_sum=_number(total, at),
    )


def _number(values: Floats | None, at: int) -> float | None:
    if values is None or np.isnan(values[at]):
        return None
    return float(values[at])


def _in_limit_unit(
    instrument: Instrument,
    channels: Sequence[Channel],
    limit: Limit,
    start: datetime,
    end: datetime,
) -> tuple[Floats, list[Floats]]:
    """Return times and readings of each channel in the limit's unit; velocities by their size."""
    read = [course_of(instrument, one["name"], start, end) for one in channels]
    stamps = np.unique(np.concatenate([one.times_us for one in read]))
    times = stamps / 1e6
    found = []
    for channel, one in zip(channels, read, strict=True):
        values = _converted(one.values, channel, limit.unit)
        if limit.quantity == VELOCITY:
            values = np.abs(values)
        placed = np.full(stamps.size, np.nan)
        placed[np.searchsorted(stamps, one.times_us)] = values
        found.append(placed)
    inside = times < end.timestamp() + TOGETHER_S
    return times[inside], [one[inside] for one in found]


def _converted(values: Floats, channel: Channel, unit: str) -> Floats:
    if channel["unit"] == unit:
        return values  # as read: a reading at the limit must stay at the limit
    canonical = to_canonical(values, channel["quantity"], channel["unit"])
    return from_canonical(canonical, channel["quantity"], unit)


def _over_table(
    values: Sequence[Floats], frequency: Floats | None, table: str, unit: str
) -> list[Floats]:
    """Return readings as shares of a table's value; its strictest where no frequency was read."""
    curve = offered(table)
    asked = frequency if frequency is not None else np.full(values[0].size, np.nan)
    allowed = from_canonical(curve.at(asked), VELOCITY, unit)
    return [one / allowed for one in values]


def _frequency(
    instrument: Instrument, times: Floats, start: datetime, end: datetime
) -> Floats | None:
    for channel in instrument.channels:
        if channel["quantity"] == "dominant-frequency":
            return _read_beside(instrument, channel, times, start, end)
    return None


def _vector_sum(
    instrument: Instrument, limit: Limit, times: Floats, start: datetime, end: datetime
) -> Floats | None:
    if limit.quantity != VELOCITY:
        return None
    for channel in instrument.channels:
        if channel["quantity"] == VELOCITY and channel.get("axis") == SUM:
            read = _read_beside(instrument, channel, times, start, end)
            return _converted(read, channel, limit.unit)
    return None


def _read_beside(
    instrument: Instrument, channel: dict[str, Any], times: Floats, start: datetime, end: datetime
) -> Floats:
    read = series(instrument, channel["name"], start, end)
    return beside(times, read.times_s, read.values, within_s=TOGETHER_S)
