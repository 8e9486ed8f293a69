"""Which quantities may an instrument read, in which units, and how is a reading of one shown?

Readings are kept in the unit in which the instrument gave them; `to_canonical` says them in the
one unit of account, `shown` in both units that people use. No Django, no I/O.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch import units
from survey.watch.spans import Floats, numbers

PA_PER_IN_WATER: Final = 249.089  # [Pa/inH2O] conventional inch of water at 4 °C; from memory
NO_BREAK: Final = "\u00a0"

Convert = Callable[[ArrayLike], Floats]


@dataclass(frozen=True)
class OtherUnit:
    """A unit in which a quantity is also given, with the way there and back."""

    to_canonical: Convert
    from_canonical: Convert


@dataclass(frozen=True)
class Quantity:
    """What can be read: its unit of account, its other units and the range that can be true.

    `shown_in` are the units in which a reading is said, the first one first, each with how many
    digits after the point.
    """

    name: str
    unit: str
    least: float
    most: float
    words: str
    others: Mapping[str, OtherUnit] = field(default_factory=dict)
    shown_in: Mapping[str, int] = field(default_factory=dict)

    @property
    def units(self) -> tuple[str, ...]:
        """Every unit in which it may be given, the unit of account first."""
        return (self.unit, *self.others)

    def range_in(self, unit: str) -> tuple[float, float]:
        """Return the range that can be true, in one of its units."""
        ends = from_canonical([self.least, self.most], self.name, unit)
        return float(ends[0]), float(ends[1])


def _times(factor: float) -> OtherUnit:
    """Return a unit of which one is so many of the unit of account."""
    return OtherUnit(
        lambda value: numbers(value, name="value") * factor,
        lambda value: numbers(value, name="value") / factor,
    )


_FAHRENHEIT = OtherUnit(units.fahrenheit_to_celsius, units.celsius_to_fahrenheit)
_DIFFERENCE_F = OtherUnit(
    units.fahrenheit_difference_to_celsius, units.celsius_difference_to_fahrenheit
)
_LENGTH = {"in": OtherUnit(units.in_to_mm, units.mm_to_in)}
_VELOCITY = {"in/s": OtherUnit(units.in_s_to_mm_s, units.mm_s_to_in_s)}
_FOOT_CANDLE = {"fc": OtherUnit(units.fc_to_lx, units.lx_to_fc)}
_TEMPERATURE_DIGITS = {"°F": 1, "°C": 1}
_RISE = {"°C": _times(1.0), "°F": _DIFFERENCE_F}
_RISE_DIGITS = {"°F": 1, "K": 1}
_PERCENT = {"%": 1}

_ALL = (
    Quantity(
        "air-temperature", "°C", -50.0, 95.0, "air temperature",
        {"°F": _FAHRENHEIT}, _TEMPERATURE_DIGITS,
    ),
    Quantity(
        "surface-temperature", "°C", -50.0, 95.0, "surface temperature",
        {"°F": _FAHRENHEIT}, _TEMPERATURE_DIGITS,
    ),
    Quantity("dew-point", "°C", -70.0, 95.0, "dew point", {"°F": _FAHRENHEIT}, _TEMPERATURE_DIGITS),
    Quantity("relative-humidity", "%", 0.0, 100.0, "relative humidity", {}, _PERCENT),
    Quantity(
        "particle-velocity", "mm/s", -1000.0, 1000.0, "particle velocity",
        _VELOCITY, {"in/s": 3, "mm/s": 2},
    ),
    Quantity("dominant-frequency", "Hz", 0.0, 10_000.0, "dominant frequency", {}, {"Hz": 1}),
    Quantity("displacement", "mm", -300.0, 300.0, "displacement", _LENGTH, {"in": 4, "mm": 3}),
    Quantity(
        "illuminance", "lx", 0.0, units.MOST_LIGHT_LX, "illuminance",
        _FOOT_CANDLE, {"lx": 0, "fc": 1},
    ),
    Quantity("uv", "µW/lm", 0.0, 10_000.0, "ultraviolet", {}, {"µW/lm": 0}),
    Quantity("crack-width", "mm", 0.0, 300.0, "crack width", _LENGTH, {"in": 4, "mm": 2}),
    Quantity("moisture", "%", 0.0, 100.0, "moisture", {}, _PERCENT),
    Quantity("moisture-digits", "digits", 0.0, 999.0, "moisture meter", {}, {"digits": 0}),
    Quantity("gloss", "GU", 0.0, 2_000.0, "gloss", {}, {"GU": 1}),
    Quantity("colour-l", "–", 0.0, 100.0, "lightness L*", {}, {"–": 2}),
    Quantity("colour-a", "–", -128.0, 128.0, "colour a*", {}, {"–": 2}),
    Quantity("colour-b", "–", -128.0, 128.0, "colour b*", {}, {"–": 2}),
    Quantity("dust-coverage", "%", 0.0, 100.0, "dust coverage", {}, {"%": 2}),
    Quantity(
        "filter-pressure", "Pa", -5_000.0, 5_000.0, "pressure across the filter",
        {"inH2O": _times(PA_PER_IN_WATER)}, {"inH2O": 3, "Pa": 0},
    ),
    Quantity(
        "particle-concentration", "µg/m³", 0.0, 1_000_000.0, "dust in the air",
        {"mg/m³": _times(1000.0)}, {"µg/m³": 0},
    ),
    Quantity("door", "0/1", 0.0, 1.0, "door open", {}, {"0/1": 0}),
    Quantity("water", "0/1", 0.0, 1.0, "water found", {}, {"0/1": 0}),
    Quantity("battery", "%", 0.0, 100.0, "battery", {}, {"%": 0}),
    Quantity("temperature-rise", "K", -150.0, 150.0, "rise of temperature", _RISE, _RISE_DIGITS),
    Quantity(
        "condensation-margin", "K", -150.0, 150.0, "condensation margin", _RISE, _RISE_DIGITS
    ),
)  # fmt: skip
QUANTITIES: Final[Mapping[str, Quantity]] = {one.name: one for one in _ALL}
YES_OR_NO: Final = {"door": ("closed", "open"), "water": ("dry", "water")}


def quantity_of(name: str) -> Quantity:
    """Return the quantity of that name; raises InvalidInput naming those that there are."""
    if name not in QUANTITIES:
        raise InvalidInput(
            f"quantity is {name!r}; it must be one of: {', '.join(QUANTITIES)}.", field="quantity"
        )
    return QUANTITIES[name]


def to_canonical(value: ArrayLike, quantity: str, unit: str) -> Floats:
    """Return readings in the quantity's unit of account; NaN stays NaN.

    >>> float(to_canonical(0.5, "particle-velocity", "in/s"))
    12.7
    """
    found = quantity_of(quantity)
    if unit == found.unit:
        return numbers(value, name=found.words)
    return _other(found, unit).to_canonical(value)


def from_canonical(value: ArrayLike, quantity: str, unit: str) -> Floats:
    """Return readings of the unit of account in another of the quantity's units."""
    found = quantity_of(quantity)
    if unit == found.unit:
        return numbers(value, name=found.words)
    return _other(found, unit).from_canonical(value)


def shown(value: float, quantity: str) -> str:
    """Return one reading of the unit of account in every unit that people use.

    >>> shown(20.0, "air-temperature")
    '68.0\\xa0°F (20.0\\xa0°C)'
    """
    found = quantity_of(quantity)
    if np.isnan(value):
        return "no reading"
    if quantity in YES_OR_NO:
        return YES_OR_NO[quantity][int(value >= 0.5)]
    said = [
        _said(float(from_canonical(value, quantity, unit)), unit, digits)
        for unit, digits in found.shown_in.items()
    ]
    return said[0] + "".join(f" ({one})" for one in said[1:])


def _other(quantity: Quantity, unit: str) -> OtherUnit:
    if unit not in quantity.others:
        raise InvalidInput(
            f"unit is {unit!r}; {quantity.words} is given in {' or '.join(quantity.units)}.",
            field="unit",
        )
    return quantity.others[unit]


def _said(value: float, unit: str, digits: int) -> str:
    number = f"{value:,.{digits}f}".replace("-", "−")
    return number if unit == "–" else f"{number}{NO_BREAK}{unit}"
