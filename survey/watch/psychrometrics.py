"""How damp is the air, and how near is a surface to being wetted by it?

Saturation over water by the Magnus form of Alduchov & Eskridge, below 0 °C too, because humidity
sensors report over water (from memory). It is within 0.25 % of the formula of Hyland and Wexler
from 0 to 50 °C. From 0 to 40 °C and 20 % RH up its dew point is within 0.03 °C of theirs: far less
than any sensor's error.
A frost point is not computed. All take numbers or arrays; missing readings (NaN) stay missing.
No Django, no I/O.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from survey.watch.spans import Floats, numbers, within
from survey.watch.units import celsius_difference_to_fahrenheit

# O. A. Alduchov & R. E. Eskridge, J. Appl. Meteor. 35 (1996) 601: 610.94 Pa, 17.625, 243.04 °C
MAGNUS_A_PA, MAGNUS_B, MAGNUS_C = 610.94, 17.625, 243.04
COLDEST_C, HOTTEST_C = -40.0, 60.0  # air and surfaces of a building, lamps included
WETTEST_RH_PCT: Final = 110.0  # sensors read a little above 100 when wet
GAS_CONSTANT_VAPOUR: Final = 461.5  # [J/(kg·K)] of water vapour
RATIO_G_KG: Final = 621.945  # [g/kg] ratio of the molar masses of water and dry air; ASHRAE
STANDARD_PRESSURE_PA: Final = 101_325.0
ZERO_C_IN_K: Final = 273.15
UNIT_ADVICE = "Is it in °F, or has the humidity been taken for it?"
HUMIDITY_ADVICE = "Has the temperature been taken for it?"


@dataclass(frozen=True)
class SensorErrors:
    """Standard uncertainties of the three sensors that a condensation margin needs.

    Common limits for heritage loggers are about 0.5 °C and 3 % RH (EN 15758 and EN 16242, from
    memory); what counts is the certificate of the instrument.
    """

    air_c: float
    humidity_rh_pct: float
    surface_c: float

    def __post_init__(self) -> None:
        for name, unit, most in (
            ("air_c", "°C", 10.0),
            ("humidity_rh_pct", "% RH", 30.0),
            ("surface_c", "°C", 10.0),
        ):
            within(getattr(self, name), name=name, unit=unit, least=0.0, most=most)


def saturation_pressure_pa(temperature_c: ArrayLike) -> Floats:
    """Return the saturation vapour pressure over water [Pa] (−40 to 60 °C; Alduchov & Eskridge).

    >>> round(float(saturation_pressure_pa(20.0)), 2)
    2333.44
    """
    held = _temperature(temperature_c)
    return MAGNUS_A_PA * np.exp(MAGNUS_B * held / (MAGNUS_C + held))


def vapour_pressure_pa(temperature_c: ArrayLike, humidity_rh_pct: ArrayLike) -> Floats:
    """Return the partial pressure of water vapour [Pa]."""
    return _humidity(humidity_rh_pct) / 100.0 * saturation_pressure_pa(temperature_c)


def dew_point_c(temperature_c: ArrayLike, humidity_rh_pct: ArrayLike) -> Floats:
    """Return the dew point [°C] of air (−40 to 60 °C; above 0 to 110 % RH).

    The exact inverse of `saturation_pressure_pa`. NaN at 0 % RH, where there is none.

    >>> round(float(dew_point_c(20.0, 50.0)), 3)
    9.261
    """
    gamma = _log_ratio(_temperature(temperature_c), _humidity(humidity_rh_pct))
    return MAGNUS_C * gamma / (MAGNUS_B - gamma)


def absolute_humidity_g_m3(temperature_c: ArrayLike, humidity_rh_pct: ArrayLike) -> Floats:
    """Return the mass of water vapour in air [g/m³] (ideal gas)."""
    kelvin = _temperature(temperature_c) + ZERO_C_IN_K
    return (
        1000.0 * vapour_pressure_pa(temperature_c, humidity_rh_pct) / GAS_CONSTANT_VAPOUR / kelvin
    )


def mixing_ratio_g_kg(
    temperature_c: ArrayLike,
    humidity_rh_pct: ArrayLike,
    *,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> Floats:
    """Return the mass of water vapour per mass of dry air [g/kg] (60,000 to 110,000 Pa)."""
    pressure = within(pressure_pa, name="pressure", unit="Pa", least=60_000.0, most=110_000.0)
    vapour = vapour_pressure_pa(temperature_c, humidity_rh_pct)
    return RATIO_G_KG * vapour / (pressure - vapour)


def surface_humidity_rh_pct(
    air_c: ArrayLike, humidity_rh_pct: ArrayLike, surface_c: ArrayLike
) -> Floats:
    """Return the relative humidity [%] of the room's air where it touches a surface.

    Above 100 the surface is below the dew point. The air beside the wall is taken to hold as much
    water as at the sensor.

    >>> round(float(surface_humidity_rh_pct(20.0, 65.0, 14.0)), 2)
    95.06
    """
    vapour = vapour_pressure_pa(air_c, humidity_rh_pct)
    return 100.0 * vapour / saturation_pressure_pa(surface_c)


def condensation_margin_c(
    air_c: ArrayLike, humidity_rh_pct: ArrayLike, surface_c: ArrayLike
) -> Floats:
    """Return how far a surface is above the air's dew point [°C]; 0 or less is condensation."""
    return _temperature(surface_c) - dew_point_c(air_c, humidity_rh_pct)


def margin_error_c(air_c: ArrayLike, humidity_rh_pct: ArrayLike, *, errors: SensorErrors) -> Floats:
    """Return one standard deviation of the condensation margin [°C].

    First-order propagation of independent sensor errors (GUM, JCGM 100:2008, clause 5.1.2). It
    knows nothing of a sensor in the wrong place, which is the commoner error.
    """
    air, humidity = _temperature(air_c), _humidity(humidity_rh_pct)
    gamma = _log_ratio(air, humidity)
    per_gamma = MAGNUS_B * MAGNUS_C / (MAGNUS_B - gamma) ** 2
    by_air = per_gamma * MAGNUS_B * MAGNUS_C / (MAGNUS_C + air) ** 2 * errors.air_c
    by_humidity = per_gamma / humidity * errors.humidity_rh_pct
    return np.sqrt(by_air**2 + by_humidity**2 + errors.surface_c**2)


def inside_sensor_error(margin_c: ArrayLike, error_c: ArrayLike) -> np.typing.NDArray[np.bool_]:
    """Return where a margin is within one standard deviation of 0; a missing one is not."""
    return np.abs(numbers(margin_c, name="margin")) <= numbers(error_c, name="error")


def margin_statement(margin_c: float, error_c: float) -> str:
    """Return what one margin and its error allow to be said, in one sentence."""
    if np.isnan(margin_c) or np.isnan(error_c):
        return "The margin to condensation is unknown: a reading is missing."
    margin_f = float(celsius_difference_to_fahrenheit(margin_c))
    error_f = float(celsius_difference_to_fahrenheit(error_c))
    numbers_said = (
        f"{margin_f:+.1f} °F ({margin_c:+.1f} °C) to the dew point, sensor error "
        f"{error_f:.1f} °F ({error_c:.1f} °C, one standard deviation)"
    )
    if inside_sensor_error(margin_c, error_c):
        return f"{numbers_said}: inside sensor error; condensation is neither shown nor excluded."
    if margin_c <= 0:
        return (
            f"{numbers_said}: the surface is below the dew point, condensation is to be expected."
        )
    return f"{numbers_said}: the surface is above the dew point."


def _log_ratio(temperature_c: Floats, humidity_rh_pct: Floats) -> Floats:
    """Return the logarithm of the vapour pressure over that of 0 °C."""
    damp = np.where(humidity_rh_pct > 0, humidity_rh_pct, np.nan)
    return np.log(damp / 100.0) + MAGNUS_B * temperature_c / (MAGNUS_C + temperature_c)


def _temperature(temperature_c: ArrayLike) -> Floats:
    return within(
        temperature_c,
        name="temperature",
        unit="°C",
        least=COLDEST_C,
        most=HOTTEST_C,
        advice=UNIT_ADVICE,
    )


def _humidity(humidity_rh_pct: ArrayLike) -> Floats:
    return within(
        humidity_rh_pct,
        name="humidity",
        unit="% RH",
        least=0.0,
        most=WETTEST_RH_PCT,
        advice=HUMIDITY_ADVICE,
    )
