"""Which published limits of vibration may be offered, and what is each at a given frequency?

Offered, never preset: an agreed limit is a row of its own with edition, verified by and on. A
label says how far each was checked here: "confirmed" was read in a public text that gives it,
"from memory" must be checked against the document before anyone relies on it. None of them was
made for wall paintings. Peak velocities in mm/s, frequencies in Hz. No Django, no I/O.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import pi
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.spans import Floats, numbers, within
from survey.watch.units import MM_PER_IN

Label = Literal["confirmed", "from memory"]
Compared = Literal["component", "vector sum"]
HIGHEST_HZ: Final = 1000.0


@dataclass(frozen=True)
class Band:
    """A stretch of frequencies with the limit at its ends and the law between them."""

    low_hz: float
    high_hz: float
    low_mm_s: float
    high_mm_s: float
    law: Literal["linear", "log-log"] = "linear"

    def at(self, frequency_hz: Floats) -> Floats:
        """Return the limit inside the band [mm/s]."""
        if self.law == "linear":
            share = (frequency_hz - self.low_hz) / (self.high_hz - self.low_hz)
            return self.low_mm_s + share * (self.high_mm_s - self.low_mm_s)
        share = np.log(frequency_hz / self.low_hz) / np.log(self.high_hz / self.low_hz)
        return np.asarray(self.low_mm_s * (self.high_mm_s / self.low_mm_s) ** share)


@dataclass(frozen=True)
class LimitCurve:
    """One offered limit: bands without gaps between them, and where the numbers come from.

    Above its highest frequency the last value holds, below its lowest the first one;
    `compared` says whether each component or the vector sum is held against it.
    """

    key: str
    name: str
    bands: tuple[Band, ...]
    source: str
    label: Label
    compared: Compared = "component"
    note: str = ""

    def __post_init__(self) -> None:
        for one, other in pairwise(self.bands):
            if one.high_hz != other.low_hz:
                raise InvalidInput(
                    f"{self.name}: between {one.high_hz:g} and {other.low_hz:g} Hz there is no "
                    "limit, or two.",
                    field="bands",
                )

    def at(self, frequency_hz: ArrayLike) -> Floats:
        """Return the limit at a frequency [mm/s]; the strictest of all where it is unknown (NaN).

        At the border of two bands the stricter holds. 0 to 1000 Hz.
        """
        asked = within(frequency_hz, name="frequency", unit="Hz", least=0.0, most=HIGHEST_HZ)
        held = np.clip(asked, self.bands[0].low_hz, self.bands[-1].high_hz)
        found = np.full(held.shape, np.inf)
        for band in self.bands:
            inside = (held >= band.low_hz) & (held <= band.high_hz)
            there = np.where(inside, held, band.low_hz)
            found = np.where(inside, np.minimum(found, band.at(there)), found)
        return np.where(np.isnan(asked), self.strictest_mm_s, found)

    @property
    def strictest_mm_s(self) -> float:
        """The smallest limit at any frequency [mm/s]."""
        return min(min(band.low_mm_s, band.high_mm_s) for band in self.bands)


def flat(
    limit_mm_s: float,
    *,
    key: str,
    name: str,
    source: str,
    label: Label,
    compared: Compared = "component",
    note: str = "",
) -> LimitCurve:
    """Return a limit that is the same at every frequency."""
    held = float(numbers(limit_mm_s, name="limit"))
    if not held > 0:
        raise InvalidInput(f"limit: {limit_mm_s} mm/s must be above 0 mm/s.", field="limit")
    band = Band(1.0, 100.0, held, held)
    return LimitCurve(key, name, (band,), source, label, compared, note)


def _linear(*corners: tuple[float, float]) -> tuple[Band, ...]:
    return tuple(Band(f, g, v, w) for (f, v), (g, w) in _pairs(corners))


def _log(*corners: tuple[float, float]) -> tuple[Band, ...]:
    return tuple(Band(f, g, v, w, "log-log") for (f, v), (g, w) in _pairs(corners))


def _steps(below_30: float, to_60: float, above_60: float) -> tuple[Band, ...]:
    return (
        Band(1.0, 30.0, below_30, below_30),
        Band(30.0, 60.0, to_60, to_60),
        Band(60.0, 150.0, above_60, above_60),
    )


def _pairs(
    corners: Sequence[tuple[float, float]],
) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    return list(pairwise(corners))


def _displacement(low_hz: float, high_hz: float, peak_mm: float) -> Band:
    """A constant displacement: the velocity 2πf·d rises in proportion to the frequency."""
    return Band(low_hz, high_hz, 2 * pi * low_hz * peak_mm, 2 * pi * high_hz * peak_mm)


_DIN = "DIN 4150-3:2016, short-term vibration, at the foundation"
_DIN_NOTE = (
    "Largest of the three components at the foundation. 50 to 100 Hz; 100 Hz and above alike."
)
_BS = "BS 7385-2:1993, table 1, unreinforced or light framed structures"
_SN = "SN 640 312a, normal sensitivity"
_RI = "USBM RI 8507 in the form of Rhode Island General Laws 23-28.28-9"
_B1 = "USBM RI 8507, figure B-1"
_BS_LOW = _displacement(1.0, 4.0, 0.6)
_IN = MM_PER_IN

OFFERED: Final[tuple[LimitCurve, ...]] = (
    LimitCurve(
        "din-line-1", "DIN 4150-3, line 1 (commercial and industrial buildings)",
        _linear((1, 20), (10, 20), (50, 40), (100, 50)), _DIN, "from memory", note=_DIN_NOTE,
    ),
    LimitCurve(
        "din-line-2", "DIN 4150-3, line 2 (dwellings)",
        _linear((1, 5), (10, 5), (50, 15), (100, 20)), _DIN, "from memory", note=_DIN_NOTE,
    ),
    LimitCurve(
        "din-line-3", "DIN 4150-3, line 3 (particularly sensitive, listed buildings)",
        _linear((1, 3), (10, 3), (50, 8), (100, 10)), _DIN, "from memory", note=_DIN_NOTE,
    ),
    flat(
        8.0, key="din-top-floor-line-3", name="DIN 4150-3, line 3, topmost floor, horizontal",
        source="DIN 4150-3:2016, short-term vibration, topmost floor", label="from memory",
        note="The larger horizontal component.",
    ),
    flat(
        2.5, key="din-long-term-line-3", name="DIN 4150-3, line 3, long-term, topmost floor",
        source="DIN 4150-3:2016, long-term vibration, topmost floor", label="from memory",
        note="The larger horizontal component.",
    ),
    LimitCurve(
        "bs-linear", "BS 7385-2, unreinforced or light, straight between the corners",
        (_BS_LOW, *_linear((4, 15), (15, 20), (40, 50), (100, 50))), _BS, "confirmed",
        note="Onset of cosmetic damage. Below 4 Hz 0.6 mm displacement, from memory. The text is "
        "silent on how to go between the corners: this choice gives the smaller limit.",
    ),
    LimitCurve(
        "bs-log", "BS 7385-2, unreinforced or light, straight on logarithmic paper",
        (_BS_LOW, *_log((4, 15), (15, 20), (40, 50), (100, 50))), _BS, "confirmed",
        note="Onset of cosmetic damage. Below 4 Hz 0.6 mm displacement, from memory. The text is "
        "silent on how to go between the corners.",
    ),
    LimitCurve(
        "usbm-plaster", "USBM, plaster on lath",
        (
            _displacement(1.0, 2.5, 0.5 / (2 * pi * 2.5) * _IN),
            *_linear((2.5, 0.5 * _IN), (10, 0.5 * _IN), (40, 2.0 * _IN), (100, 2.0 * _IN)),
        ),
        _RI, "confirmed", note="Made for blasting near houses. Below 2.5 Hz held to the "
        "displacement at 2.5 Hz, a choice of this program.",
    ),
    LimitCurve(
        "usbm-drywall", "USBM, plasterboard",
        (
            _displacement(1.0, 4.0, 0.030 * _IN),
            *_linear((4, 0.030 * 2 * pi * 4 * _IN), (14.92, 0.75 * _IN)),
            *_linear((14.92, 0.75 * _IN), (39.79, 2.0 * _IN), (100, 2.0 * _IN)),
        ),
        _B1, "from memory", note="Made for blasting near houses.",
    ),
    LimitCurve(
        "sn-occasional", "SN 640 312a, occasional", _steps(15, 20, 30), _SN, "from memory",
        "vector sum", "Sensitive buildings down to half of it.",
    ),
    LimitCurve(
        "sn-frequent", "SN 640 312a, frequent", _steps(6, 8, 12), _SN, "from memory",
        "vector sum", "Sensitive buildings down to half of it.",
    ),
    LimitCurve(
        "sn-permanent", "SN 640 312a, permanent", _steps(3, 4, 6), _SN, "from memory",
        "vector sum", "Sensitive buildings down to half of it.",
    ),
    flat(
        3.0, key="hk-historic", name="Hong Kong, historic buildings",
        source="Hong Kong Buildings Department PNAP APP-137, as cited by a monitoring report",
        label="confirmed",
    ),
    flat(
        7.5, key="hk-sensitive", name="Hong Kong, sensitive or dilapidated, transient",
        source="Hong Kong Buildings Department PNAP APP-137, as cited by a monitoring report",
        label="confirmed",
    ),
    flat(
        0.12 * _IN, key="caltrans-historic", name="Caltrans, extremely fragile historic, transient",
        source="Caltrans Transportation and Construction Vibration Guidance Manual (2013, 2020)",
        label="confirmed", note="As cited by a city's policy.",
    ),
    flat(
        0.08 * _IN, key="caltrans-historic-continuous",
        name="Caltrans, extremely fragile historic, ruins, continuous",
        source="Caltrans Transportation and Construction Vibration Guidance Manual (2013, 2020)",
        label="from memory",
    ),
    flat(
        0.12 * _IN, key="fta-iv", name="FTA, category IV, extremely susceptible",
        source="FTA Report 0123 (2018), table 7-5", label="from memory",
    ),
    flat(
        0.2 * _IN, key="fta-iii", name="FTA, category III, non-engineered timber and masonry",
        source="FTA Report 0123 (2018), table 7-5", label="from memory",
    ),
)  # fmt: skip


def offered(key: str) -> LimitCurve:
    """Return an offered limit by its key."""
    for curve in OFFERED:
        if curve.key == key:
            return curve
    raise InvalidInput(f"{key!r} is no offered limit of vibration.", field="limit")
