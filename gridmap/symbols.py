"""Which colour, hatch, dash, mark and letters stand for a term, on canvas, in SVG and in PDF?

Hue tells the layer and pattern the kind, but no two symbols are told apart by hue: each pair
differs in hatch angle, in spacing or in kind of line, so that grey print and every kind of colour
vision lose nothing. Angles count anticlockwise with y up; hatches are anchored at the wall's
origin, so that those of neighbouring pieces line up. No drawing here, only geometry and text.
"""

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gridmap.errors import InvalidInput
from gridmap.marks import MARKS_BY_KIND, TERM_MARKS

Segments = NDArray[np.float64]  # shape (n, 4): x0, y0, x1, y1
Strokes = tuple[tuple[float, float, float, float], ...]
Choice = tuple[str, float, float]  # pattern, angle [°], spacing [px]

# Contrast at least 3 on white, on the paper ground, and on the lamp theme's grounds.
LAYER_HUES = {
    "support": "#4C719B",  # slate blue
    "plaster": "#A3701C",  # ochre
    "paint": "#B3502F",  # red earth
    "surface": "#4B8060",  # green earth
    "any": "#77706A",  # stone grey
}
TREATMENT_HUE = "#83699B"  # violet-grey

LEAST_ANGLE_DEG = 22.5
LEAST_SPACING_RATIO = 1.5

ANGLES_DEG = (45.0, 135.0, 0.0, 90.0, 22.5, 112.5, 67.5, 157.5)
CROSSED_ANGLES_DEG = (45.0, 0.0, 22.5, 67.5)  # crossed lines look the same after a quarter turn
FINE_PX, MEDIUM_PX, WIDE_PX = 5.0, 8.0, 13.0
PAIRS_PX, WIDE_PAIRS_PX = 9.0, 14.0  # a pair of lines needs a little more room

# Kinds: D deterioration, A artist's making, I earlier intervention, T present treatment.
# Each kind owns its kinds of line, used up in this order.
PATTERNS_BY_KIND: dict[str, tuple[tuple[str, tuple[float, ...]], ...]] = {
    "D": (
        ("lines", (MEDIUM_PX, FINE_PX)),
        ("pairs", (PAIRS_PX, WIDE_PAIRS_PX)),
        ("waves", (MEDIUM_PX,)),
        ("lines", (WIDE_PX,)),
        ("waves", (WIDE_PX,)),
    ),
    "A": (("dots", (MEDIUM_PX, FINE_PX, WIDE_PX)), ("dots and line", (MEDIUM_PX, WIDE_PX))),
    "I": (("dashes", (MEDIUM_PX, WIDE_PX, FINE_PX)), ("dash and dot", (MEDIUM_PX, WIDE_PX))),
    "T": (("crossed", (MEDIUM_PX, WIDE_PX, FINE_PX)), ("crossed dashes", (MEDIUM_PX, WIDE_PX))),
}
CROSSED_PATTERNS = ("crossed", "crossed dashes")
WEIGHTS_PX = {FINE_PX: 0.9, MEDIUM_PX: 1.2, PAIRS_PX: 0.9, WIDE_PX: 1.7, WIDE_PAIRS_PX: 1.3}
DOT_WEIGHTS_PX = {FINE_PX: 1.7, MEDIUM_PX: 2.4, WIDE_PX: 3.2}

# A line's rhythm, spelled in strokes: long, short, dot; "" is an unbroken line.
RHYTHMS_BY_KIND = {
    "D": ("", "L", "LS", "LSS", "LLS", "LSSS", "LLSS", "LLLS"),
    "A": ("d", "Ld", "Sd", "Ldd", "Sdd", "Lddd", "Sddd", "LLd", "SSd", "LLdd", "SSdd"),
    "I": ("S", "LdS", "LddS", "LdSS", "LLdS"),
    "T": ("LdSd", "LdLS", "LSdS", "LddSd"),
}
STROKE_LENGTHS_PX = {"L": 14.0, "S": 5.0, "d": 1.0}
STROKE_GAP_PX = 4.0

SEGMENTS_AT_MOST = 2_000_000


@dataclass(frozen=True)
class Symbol:
    """How a term looks: hue, hatch for areas, dash for lines, mark for points, two letters."""

    letters: str
    hue: str
    pattern: str
    angle_deg: float
    spacing_px: float
    weight_px: float
    dash: tuple[float, ...] | None  # none: never a line; empty: an unbroken line
    mark: str  # empty: never a point

    def __post_init__(self) -> None:
        if not re.fullmatch(r"#[0-9A-Fa-f]{6}", self.hue):
            raise InvalidInput(f"Hue {self.hue!r} is not of the form #rrggbb.", field="hue")
        if not re.fullmatch(r"[A-Z][a-z]", self.letters):
            raise InvalidInput(
                f"Letters {self.letters!r} are not one capital and one small letter.",
                field="letters",
            )

    @property
    def choice(self) -> Choice:
        """What tells this symbol's hatch from others without letters or hue."""
        return self.pattern, self.angle_deg, self.spacing_px

    def to_json(self) -> dict[str, Any]:
        """Return the symbol as stored vocabularies and other programs read it."""
        return {
            "hue": self.hue,
            "pattern": self.pattern,
            "angle_deg": self.angle_deg,
            "spacing_px": self.spacing_px,
            "weight_px": self.weight_px,
            "letters": self.letters,
            "dash": None if self.dash is None else list(self.dash),
            "mark": self.mark,
        }

    def for_browser(self) -> dict[str, Any]:
        """Return the symbol with tile and mark drawn out, so that a page decides nothing."""
        mark = TERM_MARKS[self.mark].to_json() if self.mark else None
        return {**self.to_json(), "mark": mark, "tile": asdict(tile_of(self))}

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> "Symbol":
        """Return the symbol that `to_json` wrote."""
        dash = data.get("dash")
        return cls(
            letters=data["letters"],
            hue=data["hue"],
            pattern=data["pattern"],
            angle_deg=float(data["angle_deg"]),
            spacing_px=float(data["spacing_px"]),
            weight_px=float(data["weight_px"]),
            dash=None if dash is None else tuple(float(length) for length in dash),
            mark=data.get("mark", ""),
        )


@dataclass(frozen=True)
class Tile:
    """The piece of a hatch that repeats, before it is turned by the symbol's angle; y up, pixels.

    `rows` are heights of unbroken lines along x, `columns` places of unbroken lines along y;
    `strokes` are (x0, y0, x1, y1), a dot being a stroke of no length with a round end.
    """

    width_px: float
    height_px: float
    rows: tuple[float, ...] = ()
    columns: tuple[float, ...] = ()
    strokes: Strokes = ()


def stand_apart(one: Choice, other: Choice) -> bool:
    """Say whether two hatches are told apart by kind of line, spacing or angle alone."""
    pattern, angle_deg, spacing_px = one
    other_pattern, other_angle_deg, other_spacing_px = other
    if pattern != other_pattern:
        return True
    if max(spacing_px, other_spacing_px) >= LEAST_SPACING_RATIO * min(spacing_px, other_spacing_px):
        return True
    turn_deg = 90.0 if pattern in CROSSED_PATTERNS else 180.0
    apart_deg = abs(angle_deg - other_angle_deg) % turn_deg
    return min(apart_deg, turn_deg - apart_deg) >= LEAST_ANGLE_DEG


def hue_for(layer: str, kind: str) -> str:
    """Return the hue of a layer, or of treatments; raises InvalidInput for an unknown layer."""
    if kind == "T":
        return TREATMENT_HUE
    if layer not in LAYER_HUES:
        known = ", ".join(LAYER_HUES)
        raise InvalidInput(f"Layer {layer!r} is not known. Layers are: {known}.", field="layer")
    return LAYER_HUES[layer]


def symbol_for(
    term_code: str,
    *,
    layer: str,
    kind: str,
    geometry: Sequence[str],
    letters: str = "",
    taken: Iterable[Symbol] = (),
) -> Symbol:
    """Return a term's symbol: the first combination of its kind that none of `taken` uses.

    `geometry` holds "area", "line", "point". Raises InvalidInput where no combination, dash, mark
    or pair of letters is left, or where the letters asked for are taken.
    """
    if kind not in PATTERNS_BY_KIND:
        known = ", ".join(PATTERNS_BY_KIND)
        raise InvalidInput(
            f"Kind {kind!r} of {term_code} has no symbol. Kinds are: {known}.", field="kind"
        )
    used = list(taken)
    pattern, angle_deg, spacing_px = _free_choice(term_code, kind, used)
    weights_px = DOT_WEIGHTS_PX if pattern in ("dots", "dots and line") else WEIGHTS_PX
    used_dashes = {symbol.dash for symbol in used}
    return Symbol(
        letters=_free_letters(term_code, letters, {symbol.letters for symbol in used}),
        hue=hue_for(layer, kind),
        pattern=pattern,
        angle_deg=angle_deg,
        spacing_px=spacing_px,
        weight_px=weights_px[spacing_px],
        dash=_free_dash(term_code, kind, used_dashes) if "line" in geometry else None,
        mark=_free_mark(term_code, kind, {s.mark for s in used}) if "point" in geometry else "",
    )


def tile_of(symbol: Symbol) -> Tile:
    """Return the repeating piece of a symbol's hatch [px]."""
    s = symbol.spacing_px
    middle = 0.5 * s  # away from the tile's edges, where renderers blur
    dot = (0.3 * s, middle, 0.3 * s, middle)
    match symbol.pattern:
        case "lines":
            return Tile(s, s, rows=(middle,))
        case "pairs":
            return Tile(s, s, rows=(middle - 0.13 * s, middle + 0.13 * s))
        case "waves":
            return Tile(1.6 * s, s, strokes=_wave(1.6 * s, 0.2 * s, middle))
        case "dots":
            return Tile(0.6 * s, s, strokes=(dot,))
        case "dots and line":
            return Tile(0.6 * s, 2 * s, rows=(middle + s,), strokes=(dot,))
        case "dashes":
            return Tile(1.5 * s, 2 * s, strokes=_staggered(0.8 * s, s))
        case "dash and dot":
            dots = _staggered(0.0, s, right=1.15 * s)
            return Tile(1.5 * s, 2 * s, strokes=(*_staggered(0.8 * s, s), *dots))
        case "crossed":
            return Tile(s, s, rows=(middle,), columns=(middle,))
        case "crossed dashes":
            low, high = middle - 0.3 * s, middle + 0.3 * s
            return Tile(s, s, strokes=((low, middle, high, middle), (middle, low, middle, high)))
    raise InvalidInput(f"Pattern {symbol.pattern!r} is not known.", field="pattern")


def hatch_segments(
    bounds: tuple[float, float, float, float], symbol: Symbol, *, unit_per_px: float = 1.0
) -> Segments:
    """Return the hatch within a rectangle as segments (n, 4), in the rectangle's units, y up.

    The hatch hangs on the origin of the rectangle's frame, so pieces of one wall line up. A dot is
    a segment of no length, to be stroked with a round end. Raises InvalidInput for a rectangle
    without extent or so large that it would hold more than two million strokes.
    """
    x0, y0, x1, y1 = bounds
    if not all(map(math.isfinite, bounds)) or x1 <= x0 or y1 <= y0 or not unit_per_px > 0:
        raise InvalidInput(f"A hatch needs a rectangle with extent; got {bounds}.", field="bounds")
    angle = math.radians(symbol.angle_deg)
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    corners_px = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]) / unit_per_px @ turn.T
    low_px, high_px = corners_px.min(axis=0), corners_px.max(axis=0)
    untilted_px = _repeated(tile_of(symbol), low_px, high_px)
    tilted = untilted_px.reshape(-1, 2) @ turn * unit_per_px
    return _clipped(tilted.reshape(-1, 4), bounds)


def svg_pattern(symbol: Symbol, pattern_id: str) -> str:
    """Return an SVG `pattern` element of the hatch, y down, to be filled with `url(#id)`.

    Hatches of neighbouring pieces line up where the drawing's origin is the wall's. Raises
    InvalidInput for an id that is not plain.
    """
    if not re.fullmatch(r"[A-Za-z][\w-]*", pattern_id):
        raise InvalidInput(f"{pattern_id!r} cannot name a pattern.", field="pattern_id")
    tile = tile_of(symbol)
    path = "".join(f"M{a:g} {-b:g}L{c:g} {-d:g}" for a, b, c, d in _tile_strokes(tile))
    return (
        f'<pattern id="{pattern_id}" patternUnits="userSpaceOnUse" width="{tile.width_px:g}" '
        f'height="{tile.height_px:g}" patternTransform="rotate({-symbol.angle_deg:g})">'
        f'<path d="{path}" fill="none" stroke="{symbol.hue}" '
        f'stroke-width="{symbol.weight_px:g}" stroke-linecap="round"/></pattern>'
    )


def _choices(kind: str) -> Iterator[Choice]:
    for pattern, spacings_px in PATTERNS_BY_KIND[kind]:
        angles_deg = CROSSED_ANGLES_DEG if pattern in CROSSED_PATTERNS else ANGLES_DEG
        for spacing_px in spacings_px:
            for angle_deg in angles_deg:
                yield pattern, angle_deg, spacing_px


def _free_choice(term_code: str, kind: str, used: Sequence[Symbol]) -> Choice:
    for choice in _choices(kind):
        if all(stand_apart(choice, symbol.choice) for symbol in used):
            return choice
    raise InvalidInput(
        f"No hatch is left for {term_code}: kind {kind} has used all its lines, angles and "
        "spacings. Leave a term of that kind out of the new vocabulary.",
        field="symbol",
    )


def _free_dash(term_code: str, kind: str, used: set[tuple[float, ...] | None]) -> tuple[float, ...]:
    for rhythm in RHYTHMS_BY_KIND[kind]:
        dash = tuple(px for stroke in rhythm for px in (STROKE_LENGTHS_PX[stroke], STROKE_GAP_PX))
        if dash not in used:
            return dash
    raise InvalidInput(f"No dash is left for line term {term_code} of kind {kind}.", field="symbol")


def _free_mark(term_code: str, kind: str, used: set[str]) -> str:
    for name in MARKS_BY_KIND[kind]:
        if name not in used:
            return name
    raise InvalidInput(
        f"No mark is left for point term {term_code} of kind {kind}.", field="symbol"
    )


def _free_letters(term_code: str, asked: str, used: set[str]) -> str:
    if asked:
        if asked in used:
            raise InvalidInput(f"Letters {asked!r} of {term_code} are taken.", field="letters")
        return asked
    first, *others = list(re.sub(r"[^a-z]", "", term_code.lower()) or "x")
    for other in (*others, *"abcdefghijklmnopqrstuvwxyz"):
        if first.upper() + other not in used:
            return first.upper() + other
    raise InvalidInput(f"No pair of letters is left for {term_code}.", field="letters")


def _wave(length: float, height: float, middle: float) -> Strokes:
    steps = 8
    points = [
        (length * i / steps, middle + round(height * math.sin(2 * math.pi * i / steps), 6))
        for i in range(steps + 1)
    ]
    return tuple((*a, *b) for a, b in pairwise(points))


def _staggered(length: float, spacing: float, *, right: float = 0.0) -> Strokes:
    """Return a stroke in each of two rows, the upper one shifted by half their pitch."""
    low, high, shift = 0.5 * spacing, 1.5 * spacing, 0.75 * spacing
    return (
        (right, low, right + length, low),
        (right + shift, high, right + shift + length, high),
    )


def _tile_strokes(tile: Tile) -> Iterator[tuple[float, float, float, float]]:
    """Yield a tile's strokes with copies over each edge, so that repeats join without gaps."""
    w, h = tile.width_px, tile.height_px
    strokes = [
        *((-w, y, 2 * w, y) for y in tile.rows),
        *((x, -h, x, 2 * h) for x in tile.columns),
        *tile.strokes,
    ]
    for right in (-w, 0.0, w):
        for up in (-h, 0.0, h):
            for a, b, c, d in strokes:
                yield a + right, b + up, c + right, d + up


def _repeated(tile: Tile, low_px: NDArray[np.float64], high_px: NDArray[np.float64]) -> Segments:
    margin_px = max(tile.width_px, tile.height_px)  # strokes may reach over a tile's edge
    (u0, v0), (u1, v1) = low_px - margin_px, high_px + margin_px
    i = np.arange(math.floor(u0 / tile.width_px), math.ceil(u1 / tile.width_px) + 1)
    j = np.arange(math.floor(v0 / tile.height_px), math.ceil(v1 / tile.height_px) + 1)
    count = len(i) * len(tile.columns) + len(j) * len(tile.rows)
    if count + len(i) * len(j) * len(tile.strokes) > SEGMENTS_AT_MOST:
        raise InvalidInput("The rectangle is too large for this hatch.", field="bounds")
    parts = []
    for y in tile.rows:
        v = j * tile.height_px + y
        parts.append(np.column_stack([np.full_like(v, u0), v, np.full_like(v, u1), v]))
    for x in tile.columns:
        u = i * tile.width_px + x
        parts.append(np.column_stack([u, np.full_like(u, v0), u, np.full_like(u, v1)]))
    if tile.strokes:
        right, up = np.meshgrid(i * tile.width_px, j * tile.height_px)
        shifts = np.stack([right, up, right, up], axis=-1).reshape(-1, 1, 4)
        parts.append((shifts + np.array(tile.strokes)).reshape(-1, 4))
    return np.concatenate(parts)


def _clipped(segments: Segments, bounds: tuple[float, float, float, float]) -> Segments:
    """Return the parts of segments within a rectangle (Liang and Barsky's parametric clip)."""
    x0, y0, x1, y1 = bounds
    a, b = segments[:, :2], segments[:, 2:]
    step = b - a
    enter, leave = np.zeros(len(segments)), np.ones(len(segments))
    inside = np.ones(len(segments), dtype=bool)
    for axis, low, high in ((0, x0, x1), (1, y0, y1)):
        d, start = step[:, axis], a[:, axis]
        still = d == 0
        inside &= ~still | ((start >= low) & (start <= high))
        safe = np.where(still, 1.0, d)
        t_low, t_high = (low - start) / safe, (high - start) / safe
        enter = np.where(still, enter, np.maximum(enter, np.minimum(t_low, t_high)))
        leave = np.where(still, leave, np.minimum(leave, np.maximum(t_low, t_high)))
    kept = inside & (enter <= leave) & ((enter < leave) | (step == 0).all(axis=1))
    a, step, enter, leave = a[kept], step[kept], enter[kept, None], leave[kept, None]
    return np.concatenate([a + step * enter, a + step * leave], axis=1)
