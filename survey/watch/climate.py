"""What is the air by the wall like, and how near is the wall to being wetted by it?

Chooses the instruments and pairs each air logger with the surfaces read on its deck; the numbers
come from the pure modules.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import dist

import numpy as np

from gridmap.errors import NotFound
from gridmap.lengths import IN_PER_FT
from gridmap.models import Wall
from survey.watch.channels import EARLIEST, ChannelOf, channels_of, heard_between, interval_s_of
from survey.watch.climate_days import Air, DayOfAir, air_of, days_of_air
from survey.watch.hours import midnights_s, moment_of
from survey.watch.models import Instrument
from survey.watch.periods import Period
from survey.watch.psychrometrics import (
    SensorErrors,
    absolute_humidity_g_m3,
    margin_error_c,
    margin_statement,
    mixing_ratio_g_kg,
    surface_humidity_rh_pct,
)
from survey.watch.spans import Span

# Taken where an instrument's entry states none.  # common limits for heritage loggers, from memory
USUAL_ERROR = {"air-temperature": 0.5, "relative-humidity": 3.0, "surface-temperature": 0.5}

MARGIN, DEW = "margin", "dew-point"  # computed quantities


@dataclass(frozen=True)
class Surface:
    """A surface beside an air logger, with the margin to condensation."""

    channel: ChannelOf
    air: Air
    errors: SensorErrors
    away_ft: float | None  # from the air logger, along the wall; None where a cell is not known
    own: bool  # read by the air logger itself

    @property
    def name(self) -> str:
        """Where the surface is: the instrument, its cell, how far from the air logger."""
        row = self.channel.instrument
        away = f", {self.away_ft:.0f} ft from the air logger" if self.away_ft else ""
        return f"{row.code}{f', {row.cell}' if row.cell else ''}{away}"


@dataclass(frozen=True)
class SurfaceNow:
    """A surface at the last moment at which air and surface were read together."""

    name: str
    at: datetime
    surface_c: float
    humidity_rh_pct: float
    statement: str


@dataclass(frozen=True)
class AirNow:
    """The air at the last moment at which it was read."""

    at: datetime
    air_c: float
    humidity_rh_pct: float
    dew_c: float
    absolute_g_m3: float
    mixing_g_kg: float


@dataclass(frozen=True)
class ChartRow:
    """What is drawn: a channel or a computed quantity, and whether its chart stands open."""

    title: str
    instrument: Instrument
    name: str
    open: bool = False
    computed: bool = False


@dataclass(frozen=True)
class Climate:
    """One air logger's climate over a period."""

    instrument: Instrument
    air: Air
    surfaces: Sequence[Surface]
    days: Sequence[DayOfAir]
    interval_s: float

    @property
    def followed(self) -> list[Surface]:
        """The surfaces whose margin stands in the table of days."""
        return surfaces_for_margin(self.surfaces)


def air_loggers(wall: Wall) -> list[Instrument]:
    """Return the instruments that read air temperature and humidity, those on a deck first."""
    by_id: dict[object, tuple[Instrument, set[str]]] = {}
    for channel in channels_of(wall, "air-temperature", "relative-humidity"):
        held = by_id.setdefault(channel.instrument.pk, (channel.instrument, set()))
        held[1].add(channel.quantity)
    both = [row for row, quantities in by_id.values() if len(quantities) == 2]
    return sorted(both, key=lambda row: (not row.deck, row.deck, row.code))


def chosen_logger(wall: Wall, code: str | None) -> Instrument | None:
    """Return the air logger of that code, or the first one; None where there is none."""
    loggers = air_loggers(wall)
    if not code:
        return loggers[0] if loggers else None
    for row in loggers:
        if row.code == code:
            return row
    raise NotFound(f"No air logger of this wall is called {code!r}.")


def air_logger(instrument: Instrument) -> Instrument:
    """Return the instrument if it reads both air temperature and humidity; raises NotFound."""
    read = {channel["quantity"] for channel in instrument.channels}
    if not {"air-temperature", "relative-humidity"} <= read:
        raise NotFound(f"{instrument.code} does not read air temperature and relative humidity.")
    return instrument


def climate_of(instrument: Instrument, period: Period) -> Climate:
    """Return the climate that one air logger wrote down within a period."""
    air, surfaces, interval_s = _read(instrument, period.start, period.end)
    edges = midnights_s(period.first, period.last)
    edges[-1] = min(edges[-1], period.end.timestamp())  # today ends now, not at midnight
    days = days_of_air(_coldest(air, surfaces), day_starts_s=edges, interval_s=interval_s)
    return Climate(instrument, air, surfaces, days, interval_s)


def air_between(instrument: Instrument, start: datetime, end: datetime) -> tuple[Air, float]:
    """Return the air beside the coldest surface of its deck, and the logger's interval [s]."""
    air, surfaces, interval_s = _read(instrument, start, end)
    return _coldest(air, surfaces), interval_s


def _read(
    instrument: Instrument, start: datetime, end: datetime
) -> tuple[Air, list[Surface], float]:
    """Return what a logger read from start to end, with every surface read on its deck."""
    wall = instrument.wall
    own = {one.quantity: one for one in _of_instrument(wall, instrument)}
    interval_s = interval_s_of(instrument)
    watched = Span(start.timestamp(), end.timestamp())
    temperature, humidity = own["air-temperature"], own["relative-humidity"]
    pair = [heard_between(one, start, end) for one in (temperature, humidity)]
    air = air_of(pair[0], pair[1], interval_s=interval_s, watched=watched)
    surfaces = []
    for channel in _surfaces_beside(wall, instrument):
        read = heard_between(channel, start, end)
        if read[0].size:
            with_surface = air_of(
                pair[0], pair[1], interval_s=interval_s, surface=read, watched=watched
            )
            errors = _errors(temperature, humidity, channel)
            away_ft = _away_ft(instrument, channel.instrument)
            own_probe = channel.instrument.pk == instrument.pk
            surfaces.append(Surface(channel, with_surface, errors, away_ft, own_probe))
    return air, surfaces, interval_s


def surfaces_for_margin(surfaces: Sequence[Surface]) -> list[Surface]:
    """Return the surfaces whose margin is followed: the logger's own probe where it has one.

    Elsewhere on the deck the air may hold more or less water than at the logger.
    """
    return [one for one in surfaces if one.own] or list(surfaces)


def _coldest(air: Air, surfaces: Sequence[Surface]) -> Air:
    """Return the air beside the coldest of the surfaces followed, at each moment."""
    followed = surfaces_for_margin(surfaces)
    read = [one.air.surface_c for one in followed if one.air.surface_c is not None]
    return replace(air, surface_c=np.fmin.reduce(read)) if read else air


def _away_ft(one: Instrument, other: Instrument) -> float | None:
    """Return how far two instruments' cells are apart [ft]; 0 in one cell."""
    if not one.cell or not other.cell:
        return None
    grid = one.wall.layout.grid
    middles = []
    for row in (one, other):
        x0, y0, x1, y1 = grid.bounds(row.cell)
        middles.append(((x0 + x1) / 2, (y0 + y1) / 2))
    return dist(*middles) / IN_PER_FT


def air_now(climate: Climate) -> AirNow | None:
    """Return the last known state of the air in the period."""
    air = climate.air
    if air.times_s.size == 0:
        return None
    warm, damp = float(air.air_c[-1]), float(air.humidity_rh_pct[-1])
    return AirNow(
        at=moment_of(float(air.times_s[-1])),
        air_c=warm,
        humidity_rh_pct=damp,
        dew_c=float(air.dew_c[-1]),
        absolute_g_m3=float(absolute_humidity_g_m3(warm, damp)),
        mixing_g_kg=float(mixing_ratio_g_kg(warm, damp)),
    )


def surfaces_now(climate: Climate) -> list[SurfaceNow]:
    """Return each surface at the last moment at which it and the air were read together."""
    found = []
    for surface in climate.surfaces:
        margin = surface.air.margin_c
        if margin is None or np.isnan(margin).all():
            continue
        at = int(np.flatnonzero(~np.isnan(margin))[-1])
        held = surface.air
        assert held.surface_c is not None
        warm, damp, wall_c = (
            float(values[at]) for values in (held.air_c, held.humidity_rh_pct, held.surface_c)
        )
        error = float(margin_error_c(warm, damp, errors=surface.errors))
        found.append(
            SurfaceNow(
                name=surface.name,
                at=moment_of(float(held.times_s[at])),
                surface_c=wall_c,
                humidity_rh_pct=float(surface_humidity_rh_pct(warm, damp, wall_c)),
                statement=margin_statement(float(margin[at]), error),
            )
        )
    return found


def charts_of(climate: Climate) -> list[ChartRow]:
    """Return what is drawn: humidity, margin and dew point, air temperature, each surface."""
    row = climate.instrument
    own = {one.quantity: one.name for one in _of_instrument(row.wall, row)}
    charts = [ChartRow("Relative humidity", row, own["relative-humidity"], open=True)]
    if climate.surfaces:
        places = "; ".join(one.name for one in climate.followed)
        title = f"Margin to condensation at {places}, computed"
        charts.append(ChartRow(title, row, MARGIN, open=True, computed=True))
    charts += [
        ChartRow("Dew point, computed", row, DEW, computed=True),
        ChartRow("Air temperature", row, own["air-temperature"]),
    ]
    return charts + [
        ChartRow(f"Surface at {one.name}", one.channel.instrument, one.channel.name)
        for one in climate.surfaces
    ]


def whole_air(instrument: Instrument, until: datetime) -> Air:
    """Return all that an air logger ever wrote down."""
    own = {one.quantity: one for one in _of_instrument(instrument.wall, instrument)}
    pair = [
        heard_between(own[name], EARLIEST, until)
        for name in ("air-temperature", "relative-humidity")
    ]
    return air_of(pair[0], pair[1], interval_s=interval_s_of(instrument))


def _of_instrument(wall: Wall, instrument: Instrument) -> list[ChannelOf]:
    found = channels_of(wall, "air-temperature", "relative-humidity")
    return [one for one in found if one.instrument.pk == instrument.pk]


def _surfaces_beside(wall: Wall, instrument: Instrument) -> list[ChannelOf]:
    """Return the surfaces read by the instrument itself or by another on its deck."""
    return [
        one
        for one in channels_of(wall, "surface-temperature")
        if one.instrument.pk == instrument.pk
        or (instrument.deck and one.instrument.deck == instrument.deck)
    ]


def _errors(temperature: ChannelOf, humidity: ChannelOf, surface: ChannelOf) -> SensorErrors:
    air_c, rh_pct, surface_c = (
        one.error if one.error is not None else USUAL_ERROR[one.quantity]
        for one in (temperature, humidity, surface)
    )
    return SensorErrors(air_c=air_c, humidity_rh_pct=rh_pct, surface_c=surface_c)
