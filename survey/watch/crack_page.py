"""What do the wall's crack gauges say, once temperature's part is taken away?

A gauge's width goes with the surface temperature read by the same instrument at the same time.
The coefficient comes from readings before the works alone. Crack limits are an engineer's.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time

import numpy as np
from django.db.models import Min

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.watch.channels import EARLIEST, ChannelOf, channels_of, heard_between
from survey.watch.climate_days import beside
from survey.watch.cracks import (
    CrackChange,
    CrackTrend,
    Thermal,
    crack_change,
    crack_trend,
    thermal_coefficient,
)
from survey.watch.hours import moment_of
from survey.watch.periods import Period
from survey.watch.spans import Floats
from survey.watch.trend import NoTrend

USUAL_ERROR_MM = 0.05  # of a gauge read by eye (common practice, no source)
LAST_DAY = "9999-12-31"
TOGETHER_S = 900.0  # width and temperature of one reading


@dataclass(frozen=True)
class CrackReading:
    """One reading; `adjusted_mm` is the width as it would be at the first reading's temperature."""

    at: datetime
    width_mm: float
    surface_c: float | None
    adjusted_mm: float | None


@dataclass(frozen=True)
class CrackGauge:
    """One gauge: its readings, how it breathes, and what is left of the change."""

    channel: ChannelOf
    error_mm: float
    error_stated: bool
    readings: Sequence[CrackReading]
    thermal: Thermal | None
    no_thermal_because: str
    compared: tuple[CrackReading, CrackReading] | None
    change: CrackChange | None
    trend: CrackTrend | None
    no_trend_because: str
    period: Period  # from the first reading to now


def crack_gauges(
    wall: Wall, until: datetime, *, asked: Mapping[str, str] | None = None
) -> list[CrackGauge]:
    """Return every crack gauge of the wall with its readings up to a moment.

    `asked` names by `from` and `to` the days whose readings are compared: the first reading on or
    after the one, the last on or before the other.
    """
    works = wall.phases.aggregate(first=Min("starts_on"))["first"]
    works_at = datetime.combine(works, time(), UTC) if works else until
    return [
        _gauge(channel, until=until, works_at=works_at, asked=asked or {})
        for channel in channels_of(wall, "crack-width")
    ]


def _gauge(
    channel: ChannelOf, *, until: datetime, works_at: datetime, asked: Mapping[str, str]
) -> CrackGauge:
    times, width = heard_between(channel, EARLIEST, until)
    there = ~np.isnan(width)
    times, width = times[there], width[there]
    surface = _surface_at(channel, times, until=until)
    thermal, reason = _thermal(times, width, surface, works_s=works_at.timestamp())
    found = _trend(times, width, surface)
    error = channel.error if channel.error is not None else USUAL_ERROR_MM
    readings = _readings(times, width, surface, thermal)
    pair = _compared(readings, asked)
    return CrackGauge(
        channel=channel,
        error_mm=error,
        error_stated=channel.error is not None,
        readings=readings,
        thermal=thermal,
        no_thermal_because=reason,
        compared=pair,
        change=_change(pair, error, thermal) if pair else None,
        trend=found if isinstance(found, CrackTrend) else None,
        no_trend_because=found.reason if isinstance(found, NoTrend) else "",
        period=Period((readings[0].at if readings else until).date(), until.date(), until),
    )


def _surface_at(channel: ChannelOf, times: Floats, *, until: datetime) -> Floats:
    """Return the surface temperature that the same instrument read with each width."""
    surfaces = [
        one
        for one in channels_of(channel.instrument.wall, "surface-temperature")
        if one.instrument.pk == channel.instrument.pk
    ]
    if not surfaces:
        return np.full(times.size, np.nan)
    read = heard_between(surfaces[0], EARLIEST, until)
    return beside(times, *read, within_s=TOGETHER_S)


def _thermal(
    times: Floats, width: Floats, surface: Floats, *, works_s: float
) -> tuple[Thermal | None, str]:
    before = times < works_s
    try:
        return thermal_coefficient(times[before], width[before], surface[before]), ""
    except InvalidInput as error:
        return None, error.message


def _trend(times: Floats, width: Floats, surface: Floats) -> CrackTrend | NoTrend:
    with_surface = None if np.isnan(surface).all() else surface
    try:
        return crack_trend(times, width, with_surface)
    except InvalidInput as error:
        return NoTrend(error.message)


def _compared(
    readings: Sequence[CrackReading], asked: Mapping[str, str]
) -> tuple[CrackReading, CrackReading] | None:
    """Return the two readings to be compared; the first and last where no days are asked for."""
    first, last = asked.get("from", ""), asked.get("to", "") or LAST_DAY
    inside = [one for one in readings if first <= one.at.date().isoformat() <= last]
    return (inside[0], inside[-1]) if len(inside) > 1 else None


def _change(
    pair: tuple[CrackReading, CrackReading], error_mm: float, thermal: Thermal | None
) -> CrackChange:
    before, after = pair
    return crack_change(
        before_mm=before.width_mm,
        after_mm=after.width_mm,
        reading_error_mm=error_mm,
        before_c=before.surface_c,
        after_c=after.surface_c,
        thermal=thermal,
    )


def _readings(
    times: Floats, width: Floats, surface: Floats, thermal: Thermal | None
) -> list[CrackReading]:
    adjusted = np.full(width.size, np.nan)
    if thermal is not None and width.size:
        adjusted = width - thermal.mm_per_c * (surface - surface[0])
    return [
        CrackReading(moment_of(at), float(mm), _or_none(surface_c), _or_none(without))
        for at, mm, surface_c, without in zip(times.tolist(), width, surface, adjusted, strict=True)
    ]


def _or_none(value: float) -> float | None:
    return None if np.isnan(value) else float(value)
