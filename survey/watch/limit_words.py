"""How is a limit, or a peak held against it, said in every unit that people use?

No Django, no I/O.
"""

import numpy as np

from survey.watch.quantities import NO_BREAK, from_canonical, quantity_of, to_canonical

CHANGE = "change-24h"
TEMPERATURES = ("air-temperature", "surface-temperature", "dew-point")
RISE = "temperature-rise"  # a change of temperature converts without the 32


def value_in_words(value: float, quantity: str, unit: str, *, direction: str = "above") -> str:
    """Return a value as agreed, then in the other units that people use.

    >>> value_in_words(0.084, "particle-velocity", "in/s")
    '0.084\\xa0in/s (2.13\\xa0mm/s)'
    """
    if direction == CHANGE and quantity in TEMPERATURES:
        quantity = RISE
    found = quantity_of(quantity)
    canonical = to_canonical(value, quantity, unit)
    same = {unit, "°C" if unit == "K" else "K" if unit == "°C" else unit}
    others = [
        _said(float(from_canonical(canonical, quantity, other)), other, digits)
        for other, digits in found.shown_in.items()
        if other not in same
    ]
    digits = found.shown_in.get(unit, 2)
    own = _said(value, unit, max(digits, _digits_of(value)))
    return own + "".join(f" ({one})" for one in others)


def _digits_of(value: float) -> int:
    """How many digits after the point a value was agreed with, at most 4."""
    text = np.format_float_positional(round(value, 4), trim="-")
    return len(text.partition(".")[2])


def _said(value: float, unit: str, digits: int) -> str:
    number = f"{value:,.{digits}f}".replace("-", "−")
    return number if unit in ("–", "0/1") else f"{number}{NO_BREAK}{unit}"
