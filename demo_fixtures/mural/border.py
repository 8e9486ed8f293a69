"""What frames the picture? A frieze of ears and wheels below, two upright bands, the arch band."""

from itertools import pairwise

import numpy as np

from demo_fixtures.canvas import Canvas, Point, ellipse, mix
from demo_fixtures.mural.palette import BURNT, CREAM, LIME, NIGHT, OCHRE, RED_EARTH, STRAW, UMBER
from demo_fixtures.wall import (
    CLOCK_CENTRE_IN,
    CLOCK_RADIUS_IN,
    DOOR_ARC_Y_IN,
    DOOR_CENTRE_X_IN,
    DOOR_RADIUS_IN,
    FRIEZE_IN,
    HEIGHT_IN,
    WIDTH_IN,
    clock_opening,
    doorway_opening,
)

MOTIF_IN = 24.0
GROUND = mix(RED_EARTH, BURNT, 0.55)


def paint_border(canvas: Canvas) -> None:
    """Paint the frieze, the two upright bands and the band round the doorway head."""
    canvas.area(
        [(0, 0), (WIDTH_IN, 0), (WIDTH_IN, FRIEZE_IN), (0, FRIEZE_IN)], GROUND, stroke_deg=0
    )
    for k in range(int(WIDTH_IN // MOTIF_IN)):
        _motif(canvas, (12.0 + MOTIF_IN * k, 6.8), wheel=bool(k % 2))
    for y, width, colour in (
        (13.2, 1.6, OCHRE),
        (11.9, 0.5, NIGHT),
        (1.2, 1.4, OCHRE),
        (2.3, 0.4, NIGHT),
    ):
        canvas.line([(0, y), (WIDTH_IN, y)], colour, width_in=width)
    for left in (0.0, WIDTH_IN - 10.0):
        _upright(canvas, left)
    _arch_band(canvas)


def _motif(canvas: Canvas, centre: Point, *, wheel: bool) -> None:
    x, y = centre
    if wheel:
        canvas.area(ellipse(centre, 3.7, 3.7), OCHRE)
        canvas.area(ellipse(centre, 2.9, 2.9), NIGHT)
        for angle in np.linspace(0, 2 * np.pi, 8, endpoint=False):
            canvas.line(
                [centre, (x + 3.1 * np.cos(angle), y + 3.1 * np.sin(angle))], STRAW, width_in=0.4
            )
        canvas.area(ellipse(centre, 0.9, 0.9), RED_EARTH)
    else:
        canvas.area([(x - 7, y), (x, y + 4.4), (x + 7, y), (x, y - 4.4)], mix(NIGHT, BURNT, 0.3))
        for side in (-1, 1):
            ear(canvas, (x, y), heading=(side * 1.0, 0.0), length_in=6.2)
    for side in (-1, 1):
        canvas.area(ellipse((x + side * 12, y), 0.8, 2.6), CREAM)


def ear(canvas: Canvas, root: Point, *, heading: Point, length_in: float) -> None:
    """Paint an ear of wheat from its root along a heading of unit length."""
    x, y = root
    ux, uy = heading
    canvas.line([root, (x + ux * length_in, y + uy * length_in)], OCHRE, width_in=0.35)
    for k in range(5):
        at = (x + ux * length_in * (0.25 + 0.17 * k), y + uy * length_in * (0.25 + 0.17 * k))
        tilt = np.degrees(np.arctan2(uy, ux))
        for side in (-1, 1):
            grain = (at[0] - uy * side * 0.8, at[1] + ux * side * 0.8)
            canvas.area(ellipse(grain, 0.95, 0.42, tilt_deg=tilt + side * 28), STRAW)


def _upright(canvas: Canvas, left: float) -> None:
    canvas.area(
        [(left, 0), (left + 10, 0), (left + 10, HEIGHT_IN), (left, HEIGHT_IN)],
        GROUND,
        stroke_deg=88,
    )
    for y in np.arange(20.0, 160.0, 13.0):
        ear(canvas, (left + 5, float(y)), heading=(0.0, 1.0), length_in=9.0)
        canvas.area(ellipse((left + 5, float(y) - 1.6), 1.4, 0.9), CREAM)
    for x in (left + 0.9, left + 9.1):
        canvas.line([(x, 0), (x, HEIGHT_IN)], OCHRE, width_in=1.1)
    canvas.area([(left, 0), (left + 10, 0), (left + 10, 14), (left, 14)], NIGHT)
    canvas.area(ellipse((left + 5, 7), 3.6, 3.6), OCHRE)
    canvas.area(ellipse((left + 5, 7), 2.2, 2.2), RED_EARTH)


def _arch_band(canvas: Canvas) -> None:
    """Paint voussoirs by turns red and cream; the opening cuts their inner edge."""

    def at(radius_in: float, angle: float) -> Point:
        return (
            DOOR_CENTRE_X_IN + radius_in * np.cos(angle),
            DOOR_ARC_Y_IN + radius_in * np.sin(angle),
        )

    angles = np.linspace(np.radians(30), np.radians(150), 26)
    for k, (a, b) in enumerate(pairwise(angles)):
        ring = [
            at(DOOR_RADIUS_IN - 1, a),
            at(DOOR_RADIUS_IN + 6, a),
            at(DOOR_RADIUS_IN + 6, b),
            at(DOOR_RADIUS_IN - 1, b),
        ]
        canvas.area(ring, CREAM if k % 2 else RED_EARTH, stroke_deg=np.degrees(a))
    canvas.line([at(DOOR_RADIUS_IN + 5.7, a) for a in angles], NIGHT, width_in=0.6)


def paint_openings(canvas: Canvas) -> None:
    """Show what stands in the two openings: the hall's clock and the dark of the doorway."""
    canvas.area(doorway_opening(), mix(NIGHT, UMBER, 0.25), sharp=True)
    canvas.area(clock_opening(), mix(UMBER, NIGHT, 0.5), sharp=True)
    cx, cy = CLOCK_CENTRE_IN
    canvas.area(ellipse(CLOCK_CENTRE_IN, CLOCK_RADIUS_IN - 1.4, CLOCK_RADIUS_IN - 1.4), LIME)
    for hour in range(12):
        angle = np.pi / 6 * hour
        ends = [(cx + r * np.cos(angle), cy + r * np.sin(angle)) for r in (12.0, 15.2)]
        canvas.line(ends, NIGHT, width_in=1.6 if hour % 3 == 0 else 0.8, sharp=True)
    for angle, length in ((np.pi * 1.0, 8.5), (np.pi / 2, 13.0)):
        tip = (cx + length * np.cos(angle), cy + length * np.sin(angle))
        canvas.line([CLOCK_CENTRE_IN, tip], NIGHT, width_in=0.9, sharp=True)
    canvas.area(ellipse(CLOCK_CENTRE_IN, 1.2, 1.2), NIGHT)
