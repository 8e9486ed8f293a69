"""What stands behind everything: the sky with the clock as its sun, the clouds and the smoke."""

import numpy as np

from demo_fixtures.canvas import Canvas, Colour, Point, ellipse, mix
from demo_fixtures.mural.palette import (
    BLUE_PALE,
    CREAM,
    LIME,
    MIST,
    OCHRE,
    RED_EARTH,
    ROSE,
    SIENNA,
    SLATE,
    SLATE_DEEP,
    STRAW,
    UMBER,
)
from demo_fixtures.wall import CLOCK_CENTRE_IN, CLOCK_RADIUS_IN

RAYS = 56
STRETCH = 2.6  # the glow is this many times wider than high
RINGS: tuple[tuple[float, Colour], ...] = (
    (270, SLATE),
    (205, mix(SLATE, BLUE_PALE, 0.5)),
    (160, BLUE_PALE),
    (122, mix(BLUE_PALE, MIST, 0.6)),
    (92, MIST),
    (70, mix(MIST, CREAM, 0.6)),
    (53, CREAM),
    (40, mix(CREAM, STRAW, 0.55)),
    (30, STRAW),
)


def paint_sky(canvas: Canvas) -> None:
    """Fill the wall with rings of colour, cut by rays from the clock."""
    canvas.area([(0, 0), (1008, 0), (1008, 168), (0, 168)], SLATE, stroke_deg=0)
    for radius_in, colour in RINGS:
        canvas.area(_glow(radius_in), colour, stroke_deg=15)
        light = mix(colour, LIME, 0.22)
        for ray in range(0, RAYS, 2):
            canvas.area(_wedge(ray, radius_in), light, stroke_deg=np.degrees(_angle(ray)))


def _angle(ray: float) -> float:
    return 2 * np.pi * ray / RAYS


def _glow(radius_in: float) -> list[Point]:
    return ellipse(CLOCK_CENTRE_IN, radius_in * STRETCH, radius_in)


def _wedge(ray: int, radius_in: float) -> list[Point]:
    """Return one ray; rays open in equal steps of the stretched angle, so none is a sliver."""
    cx, cy = CLOCK_CENTRE_IN
    ring = [CLOCK_CENTRE_IN]
    for angle in np.linspace(_angle(ray), _angle(ray + 1), 5):
        ring.append((cx + radius_in * STRETCH * np.cos(angle), cy + radius_in * np.sin(angle)))
    return ring


def paint_sun(canvas: Canvas) -> None:
    """Paint the corona round the clock opening and mark the opening itself."""
    cx, cy = CLOCK_CENTRE_IN
    for ray in range(RAYS // 2):
        middle = 2 * np.pi * ray / (RAYS // 2)
        near, far = CLOCK_RADIUS_IN + 2.5, CLOCK_RADIUS_IN + (9.0 if ray % 2 else 7.0)
        tongue = [
            (cx + near * np.cos(middle - 0.09), cy + near * np.sin(middle - 0.09)),
            (cx + far * np.cos(middle), cy + far * np.sin(middle)),
            (cx + near * np.cos(middle + 0.09), cy + near * np.sin(middle + 0.09)),
        ]
        canvas.area(tongue, OCHRE if ray % 2 else RED_EARTH)
    for radius_in, colour in ((3.6, SIENNA), (2.6, STRAW), (1.6, RED_EARTH)):
        canvas.area(
            ellipse(CLOCK_CENTRE_IN, CLOCK_RADIUS_IN + radius_in, CLOCK_RADIUS_IN + radius_in),
            colour,
        )


def paint_clouds(canvas: Canvas) -> None:
    """Lay a few long flat clouds over the town and the western hills."""
    for x, y, width in (
        (596, 156, 66),
        (690, 148, 92),
        (798, 160, 84),
        (930, 151, 78),
        (955, 128, 50),
    ):
        _cloud(canvas, (x, y), width)


def _cloud(canvas: Canvas, at: Point, width_in: float) -> None:
    x, y = at
    tiers = ((0.0, 1.0, SLATE), (2.0, 0.86, MIST), (4.2, 0.62, CREAM), (6.2, 0.36, LIME))
    for rise, share, colour in tiers:
        half = width_in * share / 2
        left = x - half + rise * 0.8
        ring = [(left, y + rise), (left + 2 * half, y + rise)]
        for k in range(7):
            u = 1 - k / 6
            ring.append((left + 2 * half * u, y + rise + 3.4 * np.sin(np.pi * u) ** 0.5))
        canvas.area(ring, colour, stroke_deg=0)


def smoke_puffs() -> list[tuple[float, float, float]]:
    """Return the puffs of the plume, oldest first: x, y, radius in inches."""
    rng = np.random.default_rng([1936, 11])
    puffs: list[tuple[float, float, float]] = []
    x = 436.0
    while x > 52:
        middle = np.interp(
            x, [52, 120, 200, 290, 360, 410, 436], [145, 144, 140, 137, 132, 122, 111]
        )
        reach = np.interp(x, [52, 90, 200, 330, 400, 436], [4.5, 8.5, 11.5, 10.5, 6.4, 3.4])
        radius = reach * rng.uniform(0.55, 0.95)
        puffs.append((x, float(middle + rng.uniform(-0.6, 0.6) * reach), float(radius)))
        x -= float(radius) * 0.85
    puffs.reverse()
    return puffs


def paint_smoke(canvas: Canvas) -> None:
    """Roll the plume back over the wagons, dark below and light above."""
    dark, body = mix(UMBER, SLATE_DEEP, 0.45), mix(SLATE, ROSE, 0.25)
    puffs = smoke_puffs()
    # Layer by layer over all puffs, so that they melt into one rolling mass.
    layers = (
        (1.08, -0.16, dark),
        (1.0, 0.0, mix(dark, body, 0.7)),
        (0.90, 0.10, body),
        (0.76, 0.24, mix(body, MIST, 0.55)),
        (0.58, 0.40, mix(MIST, CREAM, 0.5)),
        (0.34, 0.58, LIME),
    )
    for first in range(0, len(puffs), 6):
        for share, lift, colour in layers:
            for x, y, r in puffs[first : first + 7]:
                centre = (x + 0.12 * r * lift, y + 0.66 * r * lift)
                canvas.area(ellipse(centre, r * share, r * share * 0.94), colour, stroke_deg=150)
