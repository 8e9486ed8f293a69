"""How does a term look in a legend: its hatch, its line and its mark, as SVG text.

Pure text; the letters and the word that it stands for are set beside it by the page.
"""

from collections.abc import Sequence

from gridmap.marks import TERM_MARKS, svg_path
from gridmap.symbols import Symbol, hatch_segments

WIDTH_PX, HEIGHT_PX = 72, 36
MARK_HALF_PX = 8
LINE_WEIGHT_PX = 2


def svg_swatch(symbol: Symbol, geometry: Sequence[str]) -> str:
    """Return an SVG element with a box for each way in which the term is drawn.

    `geometry` holds "area", "line", "point".
    """
    boxes = {"area": _area, "line": _line, "point": _point}
    shown = [box(symbol) for name, box in boxes.items() if name in geometry]
    placed = [
        f'<g transform="translate({i * WIDTH_PX} 0)">{box}</g>' for i, box in enumerate(shown)
    ]
    width_px = WIDTH_PX * len(shown)
    return (
        f'<svg class="swatch" width="{width_px}" height="{HEIGHT_PX}" '
        f'viewBox="0 0 {width_px} {HEIGHT_PX}" aria-hidden="true">{"".join(placed)}</svg>'
    )


def _area(symbol: Symbol) -> str:
    x0, y0, x1, y1 = 1.5, 1.5, WIDTH_PX - 4.5, HEIGHT_PX - 1.5
    # The hatch's y grows upwards and the drawing's downwards, hence the signs.
    path = "".join(
        f"M{a:.2f} {-b:.2f}L{c:.2f} {-d:.2f}"
        for a, b, c, d in hatch_segments((x0, -y1, x1, -y0), symbol)
    )
    return (
        f'<path d="{path}" fill="none" stroke="{symbol.hue}" stroke-width="{symbol.weight_px:g}" '
        f'stroke-linecap="round"/><rect x="{x0}" y="{y0}" width="{x1 - x0}" height="{y1 - y0}" '
        f'fill="none" stroke="{symbol.hue}" stroke-width="1.5"/>'
    )


def _line(symbol: Symbol) -> str:
    dash = " ".join(f"{length:g}" for length in symbol.dash or ())
    broken = f' stroke-dasharray="{dash}"' if dash else ""
    y_px = HEIGHT_PX // 2
    return (
        f'<path d="M2 {y_px}H{WIDTH_PX - 4}" fill="none" stroke="{symbol.hue}" '
        f'stroke-width="{LINE_WEIGHT_PX}"{broken}/>'
    )


def _point(symbol: Symbol) -> str:
    mark = TERM_MARKS[symbol.mark]
    fill = svg_path(mark.fill, size=MARK_HALF_PX)
    stroke = svg_path(mark.stroke, size=MARK_HALF_PX)
    parts = [f'<path d="{fill}" fill="{symbol.hue}"/>'] if fill else []
    if stroke:
        weight_px = mark.stroke_width * MARK_HALF_PX
        parts.append(
            f'<path d="{stroke}" fill="none" stroke="{symbol.hue}" stroke-width="{weight_px:g}"/>'
        )
    middle = f"{(WIDTH_PX - 3) / 2:g} {HEIGHT_PX / 2:g}"
    return f'<g transform="translate({middle})">{"".join(parts)}</g>'
