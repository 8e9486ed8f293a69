"""What does a painting look like that no figure of the program was chosen on?

Another wall with another hand: leaves, discs and bands of flat colour on a coarser plaster, laid
with a broader brush, all from a seed of its own. Give `other_painting(seed)` to `cell_frame` where
it asks for a painting. Invented, like the wall of the demo.
"""

import math
from functools import lru_cache

import numpy as np

from demo_fixtures.canvas import Canvas, Colour, Point, Window, curve, ellipse, rgb
from demo_fixtures.cell_frames import Painting
from demo_fixtures.plaster import grid_in, sample, tile
from demo_fixtures.weathering import Surface

SEED = 2718
SIDE_IN = 240.0  # the painted field is 20 ft square; beyond it lies bare ground
SALT = 300  # of the noise tiles; those of the demo's wall lie below 100
PALETTE = tuple(
    rgb(text)
    for text in (
        "#3E5C58", "#7A9A78", "#B9B48A", "#C98A4B", "#8C3F2E", "#2F3E5A", "#6F7FA3", "#D7C3A0",
        "#5B4636", "#A65E4E",
    )
)  # fmt: skip
GROUND: Colour = (214, 202, 182)


def other_painting(seed: int = 0) -> Painting:
    """Return a painting of its own for each seed, as `cell_frame` takes it."""

    def painted(window: Window, px_per_in: float) -> Surface:
        colour, heights = _painted(seed, window, px_per_in)
        return Surface(colour.copy(), heights.copy(), window, px_per_in)

    return painted


@lru_cache(maxsize=4)
def _painted(seed: int, window: Window, px_per_in: float) -> tuple[np.ndarray, np.ndarray]:
    canvas = Canvas(window, px_per_in, ground=GROUND)
    rng = np.random.default_rng([SEED, seed])
    _paint_bands(canvas, rng)
    _paint_leaves(canvas, rng)
    _paint_discs(canvas, rng)
    colour, stroke_rad = canvas.finished()
    shift = 37.0 * seed
    return (
        _brushed(colour, stroke_rad, window=window, px_per_in=px_per_in, shift=shift),
        _relief_mil(window, px_per_in, shift=shift),
    )


def _tone(rng: np.random.Generator) -> Colour:
    base = PALETTE[int(rng.integers(len(PALETTE)))]
    red, green, blue = (int(np.clip(value + rng.integers(-14, 15), 0, 255)) for value in base)
    return red, green, blue


def _paint_bands(canvas: Canvas, rng: np.random.Generator) -> None:
    """Broad wavering bands from side to side, the ground of the picture."""
    y = 0.0
    while y < SIDE_IN:
        depth = float(rng.uniform(7, 22))
        xs = np.linspace(-10, SIDE_IN + 10, 24)
        low = y + 2.5 * np.sin(xs * rng.uniform(0.02, 0.07) + rng.uniform(0, 6))
        high = y + depth + 3.0 * np.sin(xs * rng.uniform(0.02, 0.07) + rng.uniform(0, 6))
        ring = [*_pairs(xs, low), *_pairs(xs[::-1], high[::-1])]
        canvas.area(ring, _tone(rng), stroke_deg=float(rng.uniform(-15, 15)))
        y += depth


def _paint_leaves(canvas: Canvas, rng: np.random.Generator) -> None:
    """Pointed leaves with a midrib, strewn over everything."""
    for _ in range(420):
        x, y = rng.uniform(0, SIDE_IN, 2)
        length, turn = float(rng.uniform(4, 15)), float(rng.uniform(0, 2 * math.pi))
        along = np.linspace(-0.5, 0.5, 9) * length
        half = (0.25 - (along / length) ** 2) * length * rng.uniform(0.5, 1.0)
        upper, lower = _turned(along, half, (x, y), turn), _turned(along, -half, (x, y), turn)
        tone = _tone(rng)
        canvas.area(curve([*upper, *lower[::-1]]), tone, stroke_deg=math.degrees(turn))
        rib = _turned(along, 0 * along, (x, y), turn)
        red, green, blue = (round(value * 0.72) for value in tone)
        canvas.line(rib, (red, green, blue), width_in=float(rng.uniform(0.12, 0.3)))


def _paint_discs(canvas: Canvas, rng: np.random.Generator) -> None:
    """Fruit: discs with a lighter cap."""
    for _ in range(160):
        x, y = rng.uniform(0, SIDE_IN, 2)
        radius, tone = float(rng.uniform(0.8, 4.2)), _tone(rng)
        canvas.area(ellipse((x, y), radius, radius * 0.9), tone, stroke_deg=60)
        red, green, blue = (round(value + (255 - value) * 0.3) for value in tone)
        cap = ellipse((x - radius * 0.3, y + radius * 0.3), radius * 0.4, radius * 0.3)
        canvas.area(cap, (red, green, blue), stroke_deg=20)


def _relief_mil(window: Window, px_per_in: float, *, shift: float) -> np.ndarray:
    """A floated coat with coarse sand in it: swell, the float's arcs, grains."""
    x, y = grid_in(window, px_per_in)
    x, y = x + shift, y + 0.7 * shift
    swell = sample(tile(SALT, 80, 380), x * 3.1, y * 3.1)
    arc = 9.0 * np.sin(x * 0.07) + 5.0 * np.cos(y * 0.05)
    floated = sample(tile(SALT + 1, 20, 110), x * 8.0, (y + arc) * 3.2)
    sand = sample(tile(SALT + 2, 2, 9), x * 9.0, y * 9.0)
    return np.asarray(22.0 * swell + 7.5 * floated + 2.1 * sand, np.float32)


def _brushed(
    colour: np.ndarray, stroke_rad: np.ndarray, *, window: Window, px_per_in: float, shift: float
) -> np.ndarray:
    """A broad dry brush: streaks along the stroke, and clouds where the paint lies thin."""
    x, y = grid_in(window, px_per_in)
    x, y = x + shift, y - 0.4 * shift
    cos, sin = np.cos(stroke_rad), np.sin(stroke_rad)
    along, across = x * cos + y * sin, y * cos - x * sin
    streak = sample(tile(SALT + 3, 2, 16), along * 1.7, across * 17.0)
    cloud = sample(tile(SALT + 4, 40, 260), x * 6.0, y * 6.0)
    thin = np.clip(0.05 + 0.04 * cloud + 0.02 * streak, 0, 0.3)[..., None]
    out = colour * (1 + 0.032 * streak + 0.028 * cloud)[..., None]
    ground = np.asarray(GROUND, np.float32)
    return np.clip(out * (1 - thin) + ground * thin, 0, 255).astype(np.float32)


def _turned(along: np.ndarray, across: np.ndarray, at: Point, turn: float) -> list[Point]:
    cos, sin = math.cos(turn), math.sin(turn)
    return _pairs(at[0] + along * cos - across * sin, at[1] + along * sin + across * cos)


def _pairs(x: np.ndarray, y: np.ndarray) -> list[Point]:
    return [(float(a), float(b)) for a, b in zip(x, y, strict=True)]
