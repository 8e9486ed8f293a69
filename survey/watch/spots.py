"""How have colour spots and dust slides changed, beyond what reading them twice would show?

Readings of one day of a colour spot are one set: the instrument lifted and laid again for each.
A dust slide that shows less than before was changed or wiped; no rate is taken across that.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from django.db.models import Min

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.watch.channels import EARLIEST, ChannelOf, channels_of, heard_between
from survey.watch.climate_days import beside
from survey.watch.colour_change import ColourChange, SpotSet, colour_change, spot_set
from survey.watch.dust import (
    OFFERED,
    DustThreshold,
    DustWeek,
    against_before,
    coverage_rate_pct_per_day,
    days_to,
)
from survey.watch.hours import moment_of
from survey.watch.models import Instrument
from survey.watch.spans import DAY_S, Floats

LAB = ("colour-l", "colour-a", "colour-b")
SHORTEST_EXPOSURE_S = DAY_S / 2  # a shorter one says more of the reading than of the dust


@dataclass(frozen=True)
class SpotDay:
    """One day's set of readings of a spot, and its difference to the first day's."""

    day: date
    readings: int
    found: SpotSet | None
    change: ColourChange | None
    refused_because: str


@dataclass(frozen=True)
class ColourSpot:
    """A spot at which colour is read again and again."""

    instrument: Instrument
    days: Sequence[SpotDay]


@dataclass(frozen=True)
class Exposure:
    """What settled on a slide between two readings."""

    laid_at: datetime
    read_at: datetime
    before_pct: float
    after_pct: float
    rate_pct_per_day: float
    before_works: bool
    compared: DustWeek | None


@dataclass(frozen=True)
class DustSlide:
    """A slide with its exposures, and how long until each published threshold at the last rate."""

    channel: ChannelOf
    exposures: Sequence[Exposure]
    not_compared_because: str
    until: Sequence[tuple[DustThreshold, float | None]]


def colour_spots(wall: Wall, until: datetime) -> list[ColourSpot]:
    """Return each spot with its days of readings."""
    by_instrument: dict[object, dict[str, ChannelOf]] = {}
    for channel in channels_of(wall, *LAB):
        by_instrument.setdefault(channel.instrument.pk, {})[channel.quantity] = channel
    return [
        ColourSpot(held["colour-l"].instrument, _days(held, until))
        for held in by_instrument.values()
        if set(held) == set(LAB)
    ]


def _days(channels: dict[str, ChannelOf], until: datetime) -> list[SpotDay]:
    times, lightness = heard_between(channels["colour-l"], EARLIEST, until)
    others = [
        beside(times, *heard_between(channels[name], EARLIEST, until), within_s=1.0)
        for name in LAB[1:]
    ]
    table = np.column_stack([lightness, *others])
    numbers = np.floor(times / DAY_S)
    first: SpotSet | None = None
    found = []
    for number in np.unique(numbers):
        rows = table[numbers == number]
        day = _spot_day(moment_of(float(number) * DAY_S).date(), rows, first)
        first = first or day.found
        found.append(day)
    return found


def _spot_day(day: date, rows: Floats, first: SpotSet | None) -> SpotDay:
    try:
        own = spot_set(rows)
    except InvalidInput as error:
        return SpotDay(day, rows.shape[0], None, None, error.message)
    change = colour_change(first, own) if first else None
    return SpotDay(day, own.readings, own, change, "")


def dust_slides(wall: Wall, until: datetime) -> list[DustSlide]:
    """Return each dust slide with what settled on it."""
    works = wall.phases.aggregate(first=Min("starts_on"))["first"]
    return [_slide(channel, until, works) for channel in channels_of(wall, "dust-coverage")]


def _slide(channel: ChannelOf, until: datetime, works: date | None) -> DustSlide:
    times, coverage = heard_between(channel, EARLIEST, until)
    there = ~np.isnan(coverage)
    pairs = _exposed(times[there], coverage[there])
    rates = [
        coverage_rate_pct_per_day(before, after, start_s=start, end_s=end)
        for start, end, before, after in pairs
    ]
    # A slide read on the morning on which the works begin lay before them.
    early = [works is not None and moment_of(end).date() <= works for _, end, _, _ in pairs]
    usual = [rate for rate, before in zip(rates, early, strict=True) if before]
    exposures, reason = [], ""
    for (start, end, before, after), rate, is_early in zip(pairs, rates, early, strict=True):
        compared = None
        try:
            compared = None if is_early else against_before(rate, usual)
        except InvalidInput as error:
            reason = error.message
        exposures.append(
            Exposure(moment_of(start), moment_of(end), before, after, rate, is_early, compared)
        )
    until_each = [
        (one, days_to(one.coverage_pct, rate_pct_per_day=rate))
        for rate in rates[-1:]
        for one in OFFERED
    ]
    return DustSlide(channel, exposures, reason, until_each)


def _exposed(times: Floats, coverage: Floats) -> list[tuple[float, float, float, float]]:
    """Return start, end, coverage before and after of each stretch in which dust could settle."""
    return [
        (start, end, before, after)
        for start, end, before, after in zip(
            times.tolist(), times.tolist()[1:], coverage.tolist(), coverage.tolist()[1:],
            strict=False,
        )
        if end - start >= SHORTEST_EXPOSURE_S and after >= before
    ]  # fmt: skip
