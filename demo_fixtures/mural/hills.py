"""What lies under the sky: ridges, field patterns on the near hills, the upper river and trees."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from demo_fixtures.canvas import Canvas, Colour, Point, curve, ellipse, mix
from demo_fixtures.mural.palette import (
    BLUE_PALE,
    BURNT,
    CREAM,
    GREEN_DARK,
    GREEN_DEEP,
    GREEN_EARTH,
    GREEN_PALE,
    MIST,
    OCHRE,
    SIENNA,
    SLATE,
    SLATE_DEEP,
    STRAW,
    UMBER,
)

FAR = [
    (-20, 118),
    (60, 128),
    (120, 121),
    (190, 131),
    (270, 118),
    (340, 126),
    (420, 113),
    (500, 104),
    (570, 112),
    (640, 126),
    (700, 133),
    (760, 122),
    (830, 130),
    (900, 124),
    (960, 132),
    (1030, 122),
]
MIDDLE = [
    (-20, 104),
    (50, 112),
    (130, 106),
    (210, 113),
    (300, 103),
    (380, 108),
    (450, 99),
    (520, 96),
    (600, 104),
    (670, 116),
    (730, 112),
    (800, 119),
    (880, 113),
    (960, 118),
    (1030, 110),
]
NEAR = [(-20, 92), (40, 97), (120, 90), (220, 95), (330, 87), (430, 91), (520, 86), (590, 92), (650, 101),
        (690, 98), (730, 90), (800, 96), (1030, 96)]  # fmt: skip


def paint_hills(canvas: Canvas) -> None:
    """Paint three ridges, far to near."""
    _ridge(canvas, FAR, (SLATE, mix(SLATE, BLUE_PALE, 0.5), BLUE_PALE, MIST), step_in=4.0)
    _ridge(
        canvas,
        MIDDLE,
        (SLATE_DEEP, mix(SLATE_DEEP, GREEN_EARTH, 0.5), GREEN_EARTH, GREEN_PALE),
        step_in=4.5,
    )
    _fields(canvas, MIDDLE, depths=(0, 5, 11, 18, 27), spacing_in=31, salt=21)
    _ridge(canvas, NEAR, (GREEN_DARK, GREEN_DEEP, GREEN_EARTH), step_in=3.0)
    _fields(canvas, NEAR, depths=(0, 6, 13, 22), spacing_in=44, salt=22)
    _upper_river(canvas)
    _trees(canvas)


def _ridge(
    canvas: Canvas, crest: Sequence[Point], colours: Sequence[Colour], *, step_in: float
) -> None:
    """Fill below a crest in steps, the first colour at the top like a brush loaded once."""
    for k, colour in enumerate(colours):
        line = [(x + 3.0 * k, y - step_in * k * (1 + 0.25 * k)) for x, y in curve(crest)]
        canvas.area([*line, (line[-1][0], 0), (line[0][0], 0)], colour, stroke_deg=12)


def _fields(
    canvas: Canvas, crest: Sequence[Point], *, depths: Sequence[float], spacing_in: float, salt: int
) -> None:
    """Lay strips of field over a hill; each strip leans with the slope and carries its furrows."""
    rng = np.random.default_rng([1936, salt])
    tones = (
        OCHRE,
        STRAW,
        GREEN_EARTH,
        GREEN_PALE,
        SIENNA,
        CREAM,
        GREEN_DEEP,
        mix(OCHRE, GREEN_EARTH, 0.5),
    )
    xs, ys = np.asarray(curve(crest, steps=12)).T
    for depth, deeper in pairwise(depths):
        x = -10.0 + rng.uniform(0, spacing_in)
        while x < 1010:
            width = spacing_in * rng.uniform(0.6, 1.5)
            colour, lean, skip = (
                tones[rng.integers(len(tones))],
                rng.uniform(3, 9),
                rng.random() < 0.16,
            )
            if not skip:
                top = [
                    (u, float(np.interp(u, xs, ys)) - depth - 1.0)
                    for u in np.linspace(x, x + width, 8)
                ]
                low = [
                    (u + lean, float(np.interp(u, xs, ys)) - deeper - 1.0)
                    for u in np.linspace(x, x + width, 8)
                ]
                canvas.area([*top, *low[::-1]], colour, stroke_deg=12)
                shade = mix(colour, UMBER, 0.28)
                _furrows(canvas, (top, low), colour=shade, count=int(rng.integers(2, 6)))
            x += width + 0.6


def _furrows(
    canvas: Canvas, edges: tuple[list[Point], list[Point]], *, colour: Colour, count: int
) -> None:
    for k in range(1, count + 1):
        share = k / (count + 1)
        run = [
            (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
            for a, b in zip(*edges, strict=True)
        ]
        canvas.line(run, colour, width_in=0.22)


def _upper_river(canvas: Canvas) -> None:
    middle = [
        (724, 111),
        (716, 106),
        (728, 101),
        (722, 95),
        (702, 90),
        (706, 84),
        (722, 76),
        (716, 60),
    ]
    widths = np.linspace(0.8, 13, 57)
    line = np.asarray(curve(middle))
    for share, colour in ((1.5, GREEN_DEEP), (1.0, SLATE_DEEP), (0.72, SLATE), (0.34, MIST)):
        across = np.c_[widths[: len(line)] * share, np.zeros(len(line))]
        ring = np.vstack([line - across, (line + across)[::-1]])
        canvas.area([(float(x), float(y)) for x, y in ring], colour, stroke_deg=0)


def _trees(canvas: Canvas) -> None:
    """Set hedgerow trees in short rows, each row on its own contour."""
    rng = np.random.default_rng([1936, 23])
    for crest, depth, count, size in (
        (MIDDLE, 5, 13, 1.9),
        (MIDDLE, 18, 11, 2.3),
        (NEAR, 6, 13, 2.9),
    ):
        xs, ys = np.asarray(curve(crest, steps=12)).T
        for _ in range(count):
            x = rng.uniform(10, 990)
            number = int(rng.integers(3, 7))
            for k in range(number):
                at = x + k * size * 1.75
                tree(
                    canvas,
                    (at, float(np.interp(at, xs, ys)) - depth),
                    size * rng.uniform(0.8, 1.15),
                )


def tree(canvas: Canvas, foot: Point, radius_in: float) -> None:
    """Paint one round tree: a trunk, a dark crown and two lighter moons on it."""
    x, y = foot
    centre = (x, y + radius_in * 1.55)
    canvas.line([(x, y), centre], BURNT, width_in=radius_in * 0.22)
    canvas.area(ellipse(centre, radius_in, radius_in * 1.08), GREEN_DARK, stroke_deg=60)
    canvas.area(
        ellipse(
            (x - 0.16 * radius_in, centre[1] + 0.2 * radius_in), radius_in * 0.76, radius_in * 0.8
        ),
        GREEN_DEEP,
    )
    canvas.area(
        ellipse(
            (x - 0.3 * radius_in, centre[1] + 0.42 * radius_in), radius_in * 0.42, radius_in * 0.42
        ),
        GREEN_EARTH,
    )
