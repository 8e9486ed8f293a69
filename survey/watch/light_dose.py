"""How much light has each part of the painting taken, and what do the lamps do to its surface?

Dose in lux hours, from a logger by the trapezoid rule and from lamp minutes by multiplication, as a
ledger per cell against the agreed limit of a year. A silence of the logger is unknown and no dose
is put in it. Secco over fresco is not fresco: the class belongs to the area. No Django, no I/O.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.psychrometrics import surface_humidity_rh_pct
from survey.watch.spans import (
    HOUR_S,
    MOST_MISSED,
    Span,
    heard,
    positive,
    seconds_of,
    unknown_spans,
    within,
)
from survey.watch.units import MOST_LIGHT_LX, celsius_difference_to_fahrenheit

MOST_MINUTES: Final = 60.0 * 24 * 366  # a year of burning


@dataclass(frozen=True)
class Responsivity:
    """A class of material with its limits of light [lx] and yearly dose [lx·h]; None: no limit."""

    key: str
    limit_lx: float | None
    limit_lx_h: float | None
    examples: str
    source: str
    label: str


_CIE: Final = "CIE 157:2004"
_IES: Final = "IES RP-30"
# Offered, never preset.
CLASSES: Final = (
    Responsivity("none", None, None, "stone, ceramic", _CIE, "from memory"),
    Responsivity("low", 200.0, 600_000.0, "oil, tempera, true fresco", _CIE, "from memory"),
    Responsivity("medium", 50.0, 150_000.0, "distemper, watercolour", _CIE, "from memory"),
    Responsivity("high", 50.0, 15_000.0, "most sensitive dyes, lakes", _CIE, "from memory"),
    Responsivity("ies-moderate", 200.0, 480_000.0, "moderately susceptible", _IES, "from memory"),
    Responsivity("ies-high", 50.0, 50_000.0, "highly susceptible", _IES, "from memory"),
)
# source: leaflet of a state museum association: 75 µW/lm at most, 0 to 10 ideal
UV_MOST_UW_LM, UV_IDEAL_UW_LM = 75.0, 10.0


@dataclass(frozen=True)
class Dose:
    """A dose [lx·h] of the time that is known, and what is not."""

    lx_h: float
    known_s: float
    unknown: tuple[Span, ...]

    @property
    def unknown_s(self) -> float:
        """How long nothing was known [s]."""
        return seconds_of(self.unknown)

    @property
    def statement(self) -> str:
        """The dose with what is missing from it, in one sentence."""
        said = f"{self.lx_h:,.0f} lx·h in {self.known_s / HOUR_S:,.1f} h"
        if not self.unknown:
            return f"{said}, without a gap."
        return (
            f"At least {said}; for {self.unknown_s / HOUR_S:,.1f} h nothing is known, and no "
            "light is counted there."
        )


def logged_dose(
    times_s: ArrayLike,
    illuminance_lx: ArrayLike,
    *,
    interval_s: float,
    most_missed: float = MOST_MISSED,
    watched: Span | None = None,
) -> Dose:
    """Return the dose of a logger by the trapezoid rule (0 to 200,000 lx).

    Times s UTC, NaN = missing. Between two readings no further apart than `most_missed`
    intervals the light is taken to change evenly; across a longer silence nothing is counted.
    """
    times, held = heard(times_s, illuminance_lx, name="illuminance")
    within(held, name="illuminance", unit="lx", least=0.0, most=MOST_LIGHT_LX)
    unknown = unknown_spans(
        times, held, interval_s=interval_s, most_missed=most_missed, watched=watched
    )
    if watched is not None:
        inside = (times >= watched.start_s) & (times <= watched.end_s)
        times, held = times[inside], held[inside]
    step = np.diff(times)
    known = step <= most_missed * interval_s
    areas = (held[1:] + held[:-1]) / 2.0 * step
    return Dose(float(areas[known].sum()) / HOUR_S, float(step[known].sum()), unknown)


@dataclass(frozen=True)
class LampUse:
    """One lamp burning on cells for some minutes at a measured illuminance [lx]."""

    lamp: str
    cells: tuple[str, ...]
    illuminance_lx: float
    minutes: float

    def __post_init__(self) -> None:
        within(self.illuminance_lx, name="illuminance", unit="lx", least=0.0, most=MOST_LIGHT_LX)
        within(self.minutes, name="minutes", unit="min", least=0.0, most=MOST_MINUTES)
        if not self.cells:
            raise InvalidInput(f"{self.lamp}: name the cells that it lights.", field="cells")

    @property
    def lx_h(self) -> float:
        """The dose on each of its cells [lx·h]; light and time count alike (reciprocity)."""
        return self.illuminance_lx * self.minutes / 60.0


@dataclass(frozen=True)
class LedgerLine:
    """The dose of one cell with its parts by lamp, and its share of the agreed yearly limit."""

    cell: str
    lx_h: float
    by_lamp: Mapping[str, float]
    limit_lx_h: float | None

    @property
    def share(self) -> float | None:
        """Dose over limit, 1 being all of it; None where no limit is agreed."""
        return None if self.limit_lx_h is None else self.lx_h / self.limit_lx_h

    @property
    def statement(self) -> str:
        """The line in words, with the lamp that gives most."""
        if self.share is None or self.limit_lx_h is None:
            return f"{self.cell}: {self.lx_h:,.0f} lx·h; no limit is agreed."
        said = f"{self.cell} at {self.share:.0%} of the agreed {self.limit_lx_h:,.0f} lx·h"
        if not self.by_lamp:
            return f"{said}."
        lamp = max(self.by_lamp, key=lambda name: self.by_lamp[name])
        return f"{said}, most of it ({self.by_lamp[lamp]:,.0f}) by {lamp}."


def ledger(
    uses: Iterable[LampUse],
    *,
    limits_lx_h: Mapping[str, float | None],
    earlier_lx_h: Mapping[str, float] | None = None,
) -> tuple[LedgerLine, ...]:
    """Return a line for each cell that was lit or has an earlier dose, the fullest first.

    `limits_lx_h` gives the agreed limit of each cell (its class decides; None: none agreed);
    `earlier_lx_h` the dose from loggers or from before, in the same year.
    """
    parts: dict[str, dict[str, float]] = {}
    before = dict(earlier_lx_h or {})
    for cell in before:
        parts.setdefault(cell, {})
    for use in uses:
        for cell in use.cells:
            by_lamp = parts.setdefault(cell, {})
            by_lamp[use.lamp] = by_lamp.get(use.lamp, 0.0) + use.lx_h
    lines = [
        LedgerLine(
            cell, before.get(cell, 0.0) + sum(by_lamp.values()), by_lamp, _limit(limits_lx_h, cell)
        )
        for cell, by_lamp in parts.items()
    ]
    return tuple(sorted(lines, key=lambda line: (-(line.share or 0.0), -line.lx_h, line.cell)))


def hours_to_limit(illuminance_lx: float, *, limit_lx_h: float, taken_lx_h: float = 0.0) -> float:
    """Return how many hours of this light are left until the limit [h]; 0 if it is reached."""
    light = positive(illuminance_lx, name="illuminance", unit="lx")
    left = positive(limit_lx_h, name="limit", unit="lx·h") - taken_lx_h
    return max(left, 0.0) / light


@dataclass(frozen=True)
class LampRise:
    """What a lamp did to the surface's temperature, and to the humidity at it."""

    rise_c: float
    error_c: float
    dark_rh_pct: float | None
    lit_rh_pct: float | None
    statement: str


def lamp_rise(
    *, before_c: float, after_c: float, sensor_error_c: float, surface_rh_pct: float | None = None
) -> LampRise:
    """Return the rise of surface temperature by a lamp from readings before and after.

    `sensor_error_c` is one standard error of a reading; `surface_rh_pct` the humidity at the
    surface before, from which that of the warmed surface follows with the water in the air
    unchanged. A rise under 1.96·√2 of the error is said not to be shown.
    """
    temperatures = within(
        [before_c, after_c], name="surface temperature", unit="°C", least=-40.0, most=60.0,
        advice="Is it in °F?",
    )  # fmt: skip
    rise = float(temperatures[1] - temperatures[0])
    error = 1.96 * np.sqrt(2.0) * positive(sensor_error_c, name="sensor error", unit="°C")
    rise_f, error_f = (float(celsius_difference_to_fahrenheit(c)) for c in (rise, error))
    lit = None
    said = f"The surface changed by {rise_f:+.1f} °F ({rise:+.1f} °C) with the lamp on"
    said += "" if abs(rise) > error else f"; under {error_f:.1f} °F no rise is shown"
    if surface_rh_pct is not None:
        lit = float(surface_humidity_rh_pct(before_c, surface_rh_pct, after_c))
        said += f"; humidity at the surface {surface_rh_pct:.0f} % to {lit:.0f} %"
    return LampRise(rise, float(error), surface_rh_pct, lit, f"{said}.")


def _limit(limits: Mapping[str, float | None], cell: str) -> float | None:
    limit = limits.get(cell)
    return None if limit is None else positive(limit, name=f"limit of {cell}", unit="lx·h")
