"""How is a reading of one unit said in another?

Temperatures and differences of temperature convert differently and have functions of their own:
a rise of 9 °F is 5 °C, whereas 9 °F is −12.8 °C. Missing readings (NaN) stay missing. No Django,
no I/O.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from survey.watch.spans import Floats, numbers, within

MM_PER_IN: Final = 25.4  # [mm/in] exact: 24 FR 5348 (1959)
SQ_M_PER_SQ_FT: Final = 0.3048**2  # [m²/ft²] exact
LX_PER_FC: Final = 1.0 / SQ_M_PER_SQ_FT  # a foot-candle is one lumen per square foot
COLDEST_C: Final = -273.15  # [°C] absolute zero
COLDEST_F: Final = -459.67  # [°F]
HOTTEST_C, HOTTEST_F = 1000.0, 1832.0  # nothing that stands by a painting is hotter
MOST_LIGHT_LX: Final = 200_000.0  # above full sun


def fahrenheit_to_celsius(temperature_f: ArrayLike) -> Floats:
    """Return a temperature in °C of one in °F (−459.67 to 1832 °F).

    >>> float(fahrenheit_to_celsius(68.0))
    20.0
    """
    held = within(temperature_f, name="temperature", unit="°F", least=COLDEST_F, most=HOTTEST_F)
    return (held - 32.0) / 1.8


def celsius_to_fahrenheit(temperature_c: ArrayLike) -> Floats:
    """Return a temperature in °F of one in °C (−273.15 to 1000 °C)."""
    held = within(temperature_c, name="temperature", unit="°C", least=COLDEST_C, most=HOTTEST_C)
    return held * 1.8 + 32.0


def fahrenheit_difference_to_celsius(difference_f: ArrayLike) -> Floats:
    """Return a difference of temperatures in °C (= K) of one in °F; no 32 is taken off."""
    return numbers(difference_f, name="difference") / 1.8


def celsius_difference_to_fahrenheit(difference_c: ArrayLike) -> Floats:
    """Return a difference of temperatures in °F of one in °C (= K); no 32 is added."""
    return numbers(difference_c, name="difference") * 1.8


def in_to_mm(length_in: ArrayLike) -> Floats:
    """Return millimetres of inches; exact but for the last bit."""
    return numbers(length_in, name="length") * MM_PER_IN


def mm_to_in(length_mm: ArrayLike) -> Floats:
    """Return inches of millimetres."""
    return numbers(length_mm, name="length") / MM_PER_IN


def in_s_to_mm_s(velocity_in_s: ArrayLike) -> Floats:
    """Return a velocity in mm/s of one in in/s.

    >>> round(float(in_s_to_mm_s(0.12)), 3)
    3.048
    """
    return numbers(velocity_in_s, name="velocity") * MM_PER_IN


def mm_s_to_in_s(velocity_mm_s: ArrayLike) -> Floats:
    """Return a velocity in in/s of one in mm/s."""
    return numbers(velocity_mm_s, name="velocity") / MM_PER_IN


def fc_to_lx(illuminance_fc: ArrayLike) -> Floats:
    """Return lux of foot-candles (0 to 18,580 fc)."""
    most = MOST_LIGHT_LX / LX_PER_FC
    return within(illuminance_fc, name="illuminance", unit="fc", least=0.0, most=most) * LX_PER_FC


def lx_to_fc(illuminance_lx: ArrayLike) -> Floats:
    """Return foot-candles of lux (0 to 200,000 lx)."""
    held = within(illuminance_lx, name="illuminance", unit="lx", least=0.0, most=MOST_LIGHT_LX)
    return held / LX_PER_FC


def uv_irradiance_mw_m2(uv_uw_lm: ArrayLike, illuminance_lx: ArrayLike) -> Floats:
    """Return the ultraviolet that falls on a surface [mW/m²] (0 to 10,000 µW/lm).

    µW/lm × lm/m² = µW/m². The share of ultraviolet in the light and the light must belong to the
    same moment and place.
    """
    share = within(uv_uw_lm, name="uv", unit="µW/lm", least=0.0, most=10_000.0)
    light = within(illuminance_lx, name="illuminance", unit="lx", least=0.0, most=MOST_LIGHT_LX)
    return share * light / 1000.0


def uv_share_uw_lm(uv_mw_m2: ArrayLike, illuminance_lx: ArrayLike) -> Floats:
    """Return the share of ultraviolet in the light [µW/lm]; NaN where there is no light."""
    uv = within(uv_mw_m2, name="uv", unit="mW/m²", least=0.0, most=100_000.0)
    light = within(illuminance_lx, name="illuminance", unit="lx", least=0.0, most=MOST_LIGHT_LX)
    return uv * 1000.0 / np.where(light > 0, light, np.nan)
