"""Which type of climate control would a record have met?

The types of the ASHRAE chapter on museums (HVAC Applications, chapter 24 of 2019). All numbers are
from memory: check the edition before use. They were made for collections in general, not for a
wall painting, and are hidden until someone asks for them. No Django, no I/O.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.spans import Floats, numbers, within

SOURCE: Final = "ASHRAE Handbook, HVAC Applications (2019), chapter 24; numbers from memory"
LABEL: Final = "from memory"


@dataclass(frozen=True)
class ControlType:
    """One type of control; None means that the type sets no limit there.

    Seasonal numbers say how far the centre may move with the season from the annual average, short
    ones how far a reading may lie from that centre (space gradient included).
    """

    key: str
    outer_rh_pct: tuple[float | None, float | None]
    outer_c: tuple[float | None, float | None]
    seasonal_rh_pct: float
    seasonal_c: tuple[float, float] | None  # below, above the annual average
    short_rh_pct: float | None
    short_c: float | None


TYPES: Final = (
    ControlType("AA", (35, 65), (10, 25), 0, (5, 5), 5, 2),
    ControlType("A1", (35, 65), (10, 25), 10, (10, 5), 5, 2),
    ControlType("A2", (35, 65), (10, 25), 0, (10, 5), 10, 2),
    ControlType("B", (30, 70), (None, 30), 10, (20, 10), 10, 5),
    ControlType("C", (25, 75), (None, 40), 0, None, None, None),
    ControlType("D", (None, 75), (None, None), 0, None, None, None),
)


def control_type(key: str) -> ControlType:
    """Return a type by its letter."""
    for one in TYPES:
        if one.key == key:
            return one
    raise InvalidInput(f"{key!r} is no type of control (AA, A1, A2, B, C, D).", field="type")


def humidity_limits(
    one: ControlType, *, annual_rh_pct: float, seasonal_rh_pct: ArrayLike
) -> tuple[Floats, Floats]:
    """Return lower and upper limit [% RH] where the season's mean stands at seasonal_rh_pct.

    The centre follows the season no further from the annual average than the type allows, and no
    limit goes beyond the outer ones. NaN where the seasonal value is missing and matters.
    """
    within(annual_rh_pct, name="annual average", unit="% RH", least=0.0, most=100.0)
    season = numbers(seasonal_rh_pct, name="seasonal")
    moved = np.clip(season - annual_rh_pct, -one.seasonal_rh_pct, one.seasonal_rh_pct)
    return _limits(annual_rh_pct + moved, one.short_rh_pct, one.outer_rh_pct)


def temperature_limits(
    one: ControlType, *, annual_c: float, seasonal_c: ArrayLike
) -> tuple[Floats, Floats]:
    """Return lower and upper limit [°C] where the season's mean stands at seasonal_c."""
    season = numbers(seasonal_c, name="seasonal")
    below, above = one.seasonal_c or (0.0, 0.0)
    moved = np.clip(season - annual_c, -below, above)
    return _limits(annual_c + moved, one.short_c, one.outer_c)


def share_inside(values: ArrayLike, limits: tuple[Floats, Floats]) -> float:
    """Return the share of readings that lie within limits, 0 to 1; missing ones are left out."""
    held, (low, high) = numbers(values, name="values"), limits
    known = ~(np.isnan(held) | np.isnan(low) | np.isnan(high))
    if not known.any():
        raise InvalidInput("No reading has both a value and limits.", field="values")
    return float(((held >= low) & (held <= high))[known].mean())


def _limits(
    centre: Floats, short: float | None, outer: tuple[float | None, float | None]
) -> tuple[Floats, Floats]:
    least = -np.inf if outer[0] is None else outer[0]
    most = np.inf if outer[1] is None else outer[1]
    if short is None:
        return np.full(centre.shape, least), np.full(centre.shape, most)
    return np.maximum(centre - short, least), np.minimum(centre + short, most)
