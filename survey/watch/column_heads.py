"""Which unit does a column's head name, and which channel may the column belong to?

A suggestion only: columns are matched to channels by a person, once per instrument. No Django.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Any, Final

from survey.watch.quantities import QUANTITIES, quantity_of

# How loggers write units, apart from the signs that this program uses itself.
_WRITTEN: Final = {
    "degc": "°C", "deg c": "°C", "celsius": "°C", "c": "°C", "º c": "°C", "ºc": "°C", "° c": "°C",
    "℃": "°C",
    "degf": "°F", "deg f": "°F", "fahrenheit": "°F", "f": "°F", "ºf": "°F", "° f": "°F", "℉": "°F",
    "%rh": "%", "% rh": "%", "rh%": "%", "%r.h.": "%", "%rf": "%", "percent": "%",
    "in/sec": "in/s", "ips": "in/s", "inch/s": "in/s", "mm/sec": "mm/s",
    "lux": "lx", "footcandle": "fc", "footcandles": "fc", "foot-candles": "fc", "ft-c": "fc",
    "uw/lm": "µW/lm", "μw/lm": "µW/lm", "ug/m3": "µg/m³", "µg/m3": "µg/m³", "μg/m³": "µg/m³",
    "μg/m3": "µg/m³", "mg/m3": "mg/m³",
    "inch": "in", "inches": "in", "hertz": "Hz", "pascal": "Pa", "kelvin": "K",
}  # fmt: skip
_KNOWN: Final = {
    **{unit.lower(): unit for one in QUANTITIES.values() for unit in one.units if unit != "–"},
    **_WRITTEN,
}
_BRACKETED = re.compile(r"[\[(]([^\])]{1,12})[\])]\s*$")
_WORDS: Final = {
    "air-temperature": ("temp", "air", "t °", "°c", "°f"),
    "surface-temperature": ("surface", "probe", "wall", "temp"),
    "relative-humidity": ("humid", "rh", "r.h."),
    "illuminance": ("lux", "illumin", "light"),
    "uv": ("uv", "ultra"),
    "particle-velocity": ("ppv", "velocity", "peak", "sum"),
    "dominant-frequency": ("freq", "hz"),
    "crack-width": ("crack", "width", "gauge"),
    "dew-point": ("dew",),
    "battery": ("batt",),
}  # fmt: skip


def unit_of(head: str) -> str:
    """Return the unit that a head names, '' where it names none that is known.

    >>> unit_of("Temp (°F)"), unit_of("Surface [C]"), unit_of("UV µW/lm"), unit_of("Width mm")
    ('°F', '°C', 'µW/lm', 'mm')
    """
    bracketed = _BRACKETED.search(head)
    if bracketed:
        return _KNOWN.get(bracketed[1].strip().lower(), "")
    words = head.strip().lower().split()
    for count in (2, 1):
        ending = " ".join(words[-count:])
        if len(words) > count and (ending in _KNOWN) and len(ending) > 0:
            bare_letter = len(ending) == 1 and ending.isalpha()
            return "" if bare_letter else _KNOWN[ending]
    return ""


def unit_fits(head: str, channel: Mapping[str, Any]) -> bool:
    """Whether the unit that a head names, if any, is one of the channel's quantity."""
    unit = unit_of(head)
    return not unit or unit in quantity_of(channel["quantity"]).units


def suggested(heads: Sequence[str], channels: Sequence[Mapping[str, Any]]) -> dict[str, str]:
    """Return for each channel the one column that fits it best, as head by channel's column."""
    found: dict[str, str] = {}
    for channel in channels:
        ranked = sorted(
            ((_likeness(head, channel), -place) for place, head in enumerate(heads)), reverse=True
        )
        best = [one for one in ranked if one[0] == ranked[0][0]] if ranked else []
        if best and best[0][0] > 0 and len(best) == 1:
            head = heads[-best[0][1]]
            found.setdefault(head, channel["name"])
    return found


def _likeness(head: str, channel: Mapping[str, Any]) -> int:
    if not unit_fits(head, channel):
        return 0
    lower = head.lower()
    words = re.split(r"[^\w]+", lower)
    if lower == channel["name"].lower():
        return 100
    score = 20 * (channel["name"].lower() in words)
    score += 3 * any(word in lower for word in _WORDS.get(channel["quantity"], ()))
    axis = channel.get("axis") or ""
    if axis:
        score = score + 5 if axis in words else 0
    return score
