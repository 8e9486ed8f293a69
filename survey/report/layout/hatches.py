"""How does a term's symbol look in print: its hatch, its line, its outline?

Every stroke lies on a wider white one, so that it is seen on light and dark pictures alike.
"""

from typing import Any

import numpy as np

from gridmap.symbols import hatch_segments
from survey.report.layout.ink import HATCH_SIZES_PT, Press, rgb, stroke
from survey.report.layout.style import INK, RULE

PT_PER_PX = 0.62  # a symbol's pixel on paper
RIM_PT = 0.9  # white on each stroke, both sides together
OUTLINE_PT, OUTLINE_RIM_PT = 0.75, 2.1


def hatch_on(
    press: Press,
    symbol: Any,
    bounds_pt: tuple[float, float, float, float],
    *,
    rim_pt: float = RIM_PT,
    weight_share: float = 1.0,
) -> str:
    """Return operators that lay a symbol's hatch over a rectangle [pt], to be clipped outside."""
    x0, y0, x1, y1 = bounds_pt
    most = max(x1 - x0, y1 - y0)
    size = next((s for s in HATCH_SIZES_PT if s >= most), HATCH_SIZES_PT[-1])
    look = f"{symbol.pattern} {symbol.angle_deg:g} {symbol.spacing_px:g} {symbol.hue}"
    name = f"hatch {look} {size} {rim_pt:g}"
    if name not in press.forms:
        half = size / 2
        press.forms[name] = (
            _hatch_operators(symbol, half, rim_pt, weight_share),
            (-half, -half, half, half),
        )
    centre = f"1 0 0 1 {(x0 + x1) / 2:.2f} {(y0 + y1) / 2:.2f} cm "
    return f"q {centre}{press.use(name)}Q "


def area_operators(
    press: Press,
    symbol: Any,
    path: str,
    bounds_pt: tuple[float, float, float, float],
    *,
    quiet: bool = False,
) -> str:
    """Return one hatched outline: white rim, hatch inside, ink line on top.

    Quiet, the hatch has thin lines without a rim.
    """
    thin = {"rim_pt": 0.0, "weight_share": 0.55} if quiet else {}
    hatch = hatch_on(press, symbol, bounds_pt, **thin)
    return (
        f"q 1 G {OUTLINE_RIM_PT} w 1 j {path}W* S {hatch}Q "
        f"q {rgb(symbol.hue)} RG {OUTLINE_PT} w 1 j {path}S Q "
    )


def line_operators(symbol: Any, path: str) -> str:
    """Return one line item: a white band under the term's own rhythm of strokes."""
    return f"q 1 j 1 J 1 G 3 w {path}S {rgb(symbol.hue)} RG 1.35 w {_dash(symbol)} d {path}S Q "


def earlier_operators(path: str) -> str:
    """Return the outline of the survey before: dashed, without hatch."""
    return f"q 1 j 1 G 1.9 w {path}S {rgb(INK)} RG 0.7 w [2.2 1.8] 0 d {path}S Q "


def plain_hatch(
    press: Press, name: str, bounds_pt: tuple[float, float, float, float], *, angle: float
) -> str:
    """Return grey lines at 45° or 135° over a rectangle [pt]: what was not seen."""
    x0, y0, x1, y1 = bounds_pt
    height, step = y1 - y0, 2.6
    starts = np.arange(x0 - height, x1 + height, step)
    rise = height if angle == 45 else -height
    lines = "".join(f"{x:.1f} {y0:.1f} m {x + rise:.1f} {y1:.1f} l " for x in starts)
    return press.use_once_drawn(
        f"{name} {angle} {x0:.0f} {y0:.0f} {x1:.0f} {y1:.0f}",
        stroke(RULE, 0.55) + lines + "S ",
        bounds_pt,
    )


def dotted(press: Press, name: str, bounds_pt: tuple[float, float, float, float]) -> str:
    """Return a sparse field of dots over a rectangle [pt]: seen, but out of reach."""
    x0, y0, x1, y1 = bounds_pt
    rows = []
    for number, y in enumerate(np.arange(y0 + 1.2, y1, 2.6)):
        shift = 1.9 if number % 2 else 0.0
        rows += [
            f"{x:.1f} {y:.1f} m {x:.1f} {y:.1f} l " for x in np.arange(x0 + 1 + shift, x1, 3.8)
        ]
    dots = f"{rgb(INK)} RG 0.8 w 1 J [] 0 d {''.join(rows)}S "
    return press.use_once_drawn(f"{name} {x0:.0f} {y0:.0f} {x1:.0f} {y1:.0f}", dots, bounds_pt)


def swatch_operators(press: Press, term: Any, place: tuple[float, float, float, float]) -> str:
    """Return a small hatched box with the code letters in it: a legend's key."""
    x, y, width, height = place
    path = f"{x:.2f} {y:.2f} {width:.2f} {height:.2f} re "
    return area_operators(press, term.symbol, path, (x, y, x + width, y + height))


def _hatch_operators(symbol: Any, half_pt: float, rim_pt: float, weight_share: float) -> str:
    square = (-half_pt, -half_pt, half_pt, half_pt)
    segments = hatch_segments(square, symbol, unit_per_px=PT_PER_PX)
    path = ("%.1f %.1f m %.1f %.1f l " * len(segments)) % tuple(segments.ravel().tolist())
    weight = symbol.weight_px * PT_PER_PX * weight_share
    rim = f"1 G {weight + rim_pt:.2f} w {path}S " if rim_pt else ""
    return f"1 J 1 j [] 0 d {rim}{rgb(symbol.hue)} RG {weight:.2f} w {path}S "


def _dash(symbol: Any) -> str:
    if not symbol.dash:
        return "[] 0"
    return "[" + " ".join(f"{length * PT_PER_PX:.2f}" for length in symbol.dash) + "] 0"
