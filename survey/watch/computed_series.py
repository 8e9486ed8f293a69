"""What course did a quantity take, also one that no instrument reads: dew point, margin?

Computed at each moment at which the air logger read both temperature and humidity, with the coldest
surface read beside it. Nothing is filled in.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

import numpy as np

from gridmap.errors import NotFound
from survey.watch.climate import DEW, MARGIN, air_between
from survey.watch.climate_days import Air
from survey.watch.models import Instrument
from survey.watch.series import Series, series
from survey.watch.spans import Floats

# What each is, as a channel is described; in the unit of account.
COMPUTED: Final[Mapping[str, Mapping[str, Any]]] = {
    MARGIN: {"name": MARGIN, "quantity": "condensation-margin", "unit": "K"},
    DEW: {"name": DEW, "quantity": "dew-point", "unit": "°C"},
}


def computed_series(instrument: Instrument, name: str, start: datetime, end: datetime) -> Series:
    """Return a computed quantity from start to end; raises NotFound for one that is none."""
    if name not in COMPUTED:
        raise NotFound(f"{name!r} is not computed; there are: {', '.join(COMPUTED)}.")
    air, interval_s = air_between(instrument, start, end)
    values = _values(air, name)
    known = ~np.isnan(values)
    times_us = np.round(air.times_s[known] * 1e6).astype(np.int64)
    return Series(times_us, values[known], interval_s)


def channels_with_computed(instrument: Instrument) -> Sequence[Mapping[str, Any]]:
    """Return an instrument's channels, an air logger's with what is computed from it."""
    own: list[Mapping[str, Any]] = list(instrument.channels)
    if not {"air-temperature", "relative-humidity"} <= {one["quantity"] for one in own}:
        return own
    taken = {one["name"] for one in own}
    return [*own, *(one for name, one in COMPUTED.items() if name not in taken)]


def course_of(instrument: Instrument, name: str, start: datetime, end: datetime) -> Series:
    """Return what a channel read, or what is computed under that name, from start to end."""
    read = any(channel["name"] == name for channel in instrument.channels)
    if read or name not in COMPUTED:
        return series(instrument, name, start, end)
    return computed_series(instrument, name, start, end)


def _values(air: Air, name: str) -> Floats:
    if name == DEW:
        return air.dew_c
    return air.margin_c if air.margin_c is not None else np.full(air.times_s.size, np.nan)
