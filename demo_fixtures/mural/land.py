"""What lies in front: the embankment, the wheat with its stooks and reapers, the river and viaduct."""

from itertools import pairwise

import numpy as np

from demo_fixtures.canvas import Canvas, Colour, Point, curve, ellipse, limb, mix
from demo_fixtures.mural.palette import (
    BLUE_PALE,
    BURNT,
    CREAM,
    GREEN_DARK,
    GREEN_DEEP,
    GREEN_EARTH,
    LIME,
    MIST,
    NIGHT,
    OCHRE,
    RED_EARTH,
    SIENNA,
    SKIN,
    SLATE,
    SLATE_DEEP,
    STRAW,
    UMBER,
)

RAIL_Y_IN = 62.0
VANISHING = (566.0, 60.5)  # where the stubble rows meet, behind the standing figures


def paint_land(canvas: Canvas) -> None:
    """Paint everything between the hills and the frieze except train, town and large figures."""
    _field(canvas)
    _embankment(canvas)
    _standing_wheat(canvas)
    _stooks(canvas)
    _reapers(canvas)
    _river(canvas)
    _viaduct(canvas)


def _field(canvas: Canvas) -> None:
    canvas.area([(0, 0), (668, 0), (668, 62), (0, 62)], STRAW, stroke_deg=8)
    feet = np.cumsum(np.resize([17.0, 12.0, 15.0, 10.0], 120)) - 560
    tones = (OCHRE, STRAW, mix(OCHRE, SIENNA, 0.45), mix(STRAW, CREAM, 0.5))
    for k, (left, right) in enumerate(pairwise(feet)):
        ring = [(left, 0.0), (right, 0.0), VANISHING]
        lean = np.degrees(np.arctan2(VANISHING[1], VANISHING[0] - left))
        canvas.area(ring, tones[k % 4], stroke_deg=lean)
        canvas.line([(left, 0.0), VANISHING], mix(SIENNA, UMBER, 0.35), width_in=0.3)


def _embankment(canvas: Canvas) -> None:
    edge = [(x, 53.4 + 1.2 * np.sin(x / 37.0)) for x in range(-10, 671, 12)]
    canvas.area([*edge, (670, 64), (-10, 64)], GREEN_DEEP, stroke_deg=0)
    upper = [(x, 56.4 + 0.9 * np.sin(x / 29.0 + 1)) for x in range(-10, 671, 12)]
    canvas.area([*upper, (670, 64), (-10, 64)], GREEN_EARTH, stroke_deg=0)
    canvas.area(
        [(-10, 59.2), (670, 59.2), (670, 61.6), (-10, 61.6)], mix(SLATE, UMBER, 0.35), stroke_deg=0
    )
    rng = np.random.default_rng([1936, 31])
    for x in np.arange(0, 660, 5.2):
        canvas.area([(x, 60.1), (x + 2.7, 60.1), (x + 2.7, 61.2), (x, 61.2)], UMBER)
    for _ in range(90):
        x, y = rng.uniform(8, 650), rng.uniform(54.5, 58.5)
        canvas.line([(x, y), (x + 0.5, y + 1.3)], GREEN_DARK, width_in=0.25)
    canvas.area([(-10, 61.2), (812, 61.2), (812, RAIL_Y_IN), (-10, RAIL_Y_IN)], NIGHT, sharp=True)


def _standing_wheat(canvas: Canvas) -> None:
    """Leave a block of uncut wheat at the left, its face cut by the reapers."""
    face = [(10, 54), (150, 54), (118, 44), (88, 32), (60, 13), (10, 13)]
    canvas.area(face, mix(SIENNA, BURNT, 0.35), stroke_deg=88)
    rng = np.random.default_rng([1936, 32])
    for y in np.arange(53.0, 16.0, -2.6):
        edge = float(np.interp(y, [13, 32, 44, 54], [60, 88, 118, 150]))
        height = 6.0 + (54 - y) * 0.12
        for x in np.arange(11.5, edge, 1.15 + (54 - y) * 0.014):
            tone = (OCHRE, STRAW, SIENNA, mix(OCHRE, CREAM, 0.4))[rng.integers(4)]
            sway = rng.uniform(-0.5, 0.9)
            foot, top = y - height, y + rng.uniform(-0.7, 0.7)
            if foot < 13:
                foot = 13.0
            canvas.line(
                [(x, foot), (x + sway * 0.4, (foot + top) / 2), (x + sway, top)],
                tone,
                width_in=0.26,
            )
            canvas.area(
                ellipse((x + sway * 1.1, top + 0.3), 0.34, 1.15, tilt_deg=-12),
                mix(tone, LIME, 0.25),
            )


def _stooks(canvas: Canvas) -> None:
    """Set stooks along the rows, larger towards the front."""
    places = []
    for row, offset in ((46.5, 30), (40.0, -8), (32.0, 22), (22.0, -20)):
        scale = (60 - row) / 24
        places += [(x, row, scale) for x in np.arange(185 + offset, 505, 46 * scale + 16)]
    for x, y, scale in sorted(places, key=lambda place: -place[1]):
        _stook(canvas, (float(x), y), 7.6 * scale + 1.0)


def _stook(canvas: Canvas, foot: Point, height_in: float) -> None:
    x, y = foot
    half = height_in * 0.46
    shadow = ellipse((x + half * 0.8, y + 0.1), half * 1.3, height_in * 0.09)
    canvas.area(shadow, mix(SIENNA, UMBER, 0.55))
    for lean, tone in (
        (-0.62, SIENNA),
        (0.62, BURNT),
        (-0.24, OCHRE),
        (0.26, SIENNA),
        (0.0, STRAW),
    ):
        waist = (x + lean * half * 0.5, y + height_in * 0.62)
        base = x + lean * half * 1.3
        body = [
            (base - half * 0.36, y), (waist[0] - half * 0.15, waist[1]), (waist[0] - half * 0.44, y + height_in),
            (waist[0] + half * 0.44, y + height_in), (waist[0] + half * 0.15, waist[1]), (base + half * 0.36, y),
        ]  # fmt: skip
        canvas.area(curve(body, steps=4, closed=True), tone, stroke_deg=85)
        canvas.line([(base, y + 0.2), waist], mix(tone, UMBER, 0.35), width_in=height_in * 0.03)
        canvas.line(
            [waist, (waist[0] - half * 0.2, y + height_in)],
            mix(tone, UMBER, 0.3),
            width_in=height_in * 0.03,
        )
        canvas.line(
            [waist, (waist[0] + half * 0.2, y + height_in)],
            mix(tone, UMBER, 0.3),
            width_in=height_in * 0.03,
        )
        band = [(waist[0] - half * 0.18, waist[1]), (waist[0] + half * 0.18, waist[1])]
        canvas.line(band, RED_EARTH, width_in=height_in * 0.06)


def _reapers(canvas: Canvas) -> None:
    """Paint the rank of reapers that follows the face of the standing wheat."""
    shirts = (LIME, RED_EARTH, SLATE, LIME, GREEN_EARTH)
    for k, shirt in enumerate(shirts):
        y = 17.0 + 6.6 * k
        edge = float(np.interp(y + 4, [13, 32, 44, 54], [60, 88, 118, 150]))
        reaper(canvas, (edge + 17 + 2.0 * k, y), height_in=23.0 - 2.3 * k, shirt=shirt)


def reaper(canvas: Canvas, foot: Point, *, height_in: float, shirt: Colour) -> None:
    """Paint one small bent figure with a scythe, facing left."""
    x, y, h = foot[0], foot[1], height_in / 10.0

    def at(u: float, v: float, r: float) -> tuple[float, float, float]:
        return x + u * h, y + v * h, r * h

    canvas.area(ellipse((x + 0.6 * h, y), 2.4 * h, 0.28 * h), mix(SIENNA, UMBER, 0.6))
    for leg, tone in (
        (((1.3, 4.2, 0.72), (2.0, 2.2, 0.5), (2.5, 0.2, 0.34)), NIGHT),
        (((0.9, 4.2, 0.75), (0.1, 2.3, 0.52), (-0.6, 0.2, 0.36)), SLATE_DEEP),
    ):
        canvas.area(limb([at(*j) for j in leg]), tone)
    canvas.area(limb([at(1.2, 4.4, 0.8), at(0.6, 6.2, 1.0), at(-0.4, 7.4, 0.85)]), shirt)
    canvas.line(
        [at(-3.9, 0.9, 0)[:2], at(-1.9, 4.4, 0)[:2], at(-0.3, 5.4, 0)[:2]], BURNT, width_in=0.22 * h
    )
    canvas.area(
        curve(
            [
                at(*p, 0)[:2]
                for p in ((-3.9, 0.9), (-5.2, 0.5), (-6.8, 0.9), (-5.2, 0.2), (-3.8, 0.5))
            ],
            closed=True,
        ),
        SLATE_DEEP,
    )
    canvas.area(
        limb([at(-0.3, 7.2, 0.45), at(-0.6, 5.9, 0.38), at(-1.8, 4.8, 0.28)]),
        mix(shirt, UMBER, 0.3),
    )
    canvas.area(ellipse(at(-1.1, 8.2, 0)[:2], 0.62 * h, 0.72 * h), SKIN)
    canvas.area(ellipse(at(-1.1, 8.6, 0)[:2], 1.35 * h, 0.3 * h, tilt_deg=14), STRAW)
    canvas.area(ellipse(at(-1.0, 8.95, 0)[:2], 0.66 * h, 0.5 * h, tilt_deg=14), OCHRE)


def _river(canvas: Canvas) -> None:
    """Paint the lower river in long bands, wider towards the frieze."""
    left = curve(
        [(703, 86), (702, 78), (692, 68), (676, 56), (666, 44), (672, 30), (654, 8)], steps=6
    )
    right = curve(
        [(717, 86), (728, 78), (738, 68), (742, 56), (746, 44), (762, 30), (776, 8)], steps=6
    )
    bank = curve([(626, 8), (640, 26), (637, 44), (652, 62)])
    canvas.area(
        [*bank, (664, 70), (700, 79), (730, 79), (800, 72), (800, 8)], GREEN_DEEP, stroke_deg=30
    )
    for shift, tone in ((7, GREEN_EARTH), (3, mix(OCHRE, GREEN_EARTH, 0.4))):
        canvas.area(
            [*[(a - shift, b) for a, b in left], *[(a + shift, b) for a, b in right[::-1]]],
            tone,
            stroke_deg=30,
        )
    tones = (SLATE_DEEP, SLATE, mix(SLATE, BLUE_PALE, 0.5), BLUE_PALE, mix(SLATE, BLUE_PALE, 0.3))
    pairs = list(zip(left, right, strict=True))
    for k, tone in enumerate(tones):
        inner, outer = k * 0.15, 1 - k * 0.08
        ring = [(a[0] + (b[0] - a[0]) * inner, a[1]) for a, b in pairs]
        ring += [(a[0] + (b[0] - a[0]) * outer, a[1]) for a, b in pairs[::-1]]
        canvas.area(ring, tone, stroke_deg=0)
    rng = np.random.default_rng([1936, 33])
    for _ in range(70):
        a, b = pairs[rng.integers(2, len(pairs))]
        share, length = rng.uniform(0.08, 0.8), rng.uniform(3, 11)
        x, y = a[0] + (b[0] - a[0]) * share, a[1] + rng.uniform(-1, 1)
        run = [(x, y), (x + length / 2, y + 0.5), (x + length, y)]
        canvas.line(run, (MIST, LIME, SLATE_DEEP)[rng.integers(3)], width_in=0.34)


def _viaduct(canvas: Canvas) -> None:
    """Paint the stone viaduct that carries the line across the river into the town."""
    stone, shade, joint = CREAM, mix(SIENNA, SLATE, 0.45), mix(UMBER, CREAM, 0.35)
    pitch, first, count = 31.0, 652.0, 5
    for k in range(count + 1):
        x = first + pitch * k
        foot = 30 - 4 * np.sin(np.pi * k / count) - (0 if 0 < k < count else -8)
        canvas.area(
            [(x - 3.2, foot), (x + 3.2, foot), (x + 3.0, 58), (x - 3.0, 58)],
            stone,
            stroke_deg=90,
            sharp=True,
        )
        canvas.area(
            [(x + 0.8, foot), (x + 3.2, foot), (x + 3.0, 58), (x + 0.8, 58)],
            shade,
            stroke_deg=90,
            sharp=True,
        )
        for y in np.arange(foot + 2.6, 48, 2.6):
            canvas.line([(x - 3.1, y), (x + 3.1, y)], joint, width_in=0.14)
    canvas.area([(640, 54), (812, 54), (812, 61.2), (640, 61.2)], stone, stroke_deg=0, sharp=True)
    for k in range(count):
        _arch(canvas, (first + pitch * (k + 0.5), 44.0), pitch / 2 - 3.0, (stone, shade, joint))
    canvas.line([(640, 58.2), (812, 58.2)], shade, width_in=0.9, sharp=True)
    canvas.line([(640, 61.0), (812, 61.0)], NIGHT, width_in=0.8, sharp=True)
    for x in np.arange(642, 812, 6.2):
        canvas.line([(x, 62), (x, 64.6)], SLATE_DEEP, width_in=0.3, sharp=True)
    canvas.line([(640, 64.6), (812, 64.6)], SLATE_DEEP, width_in=0.35, sharp=True)


def _arch(
    canvas: Canvas, centre: Point, radius_in: float, tones: tuple[Colour, Colour, Colour]
) -> None:
    stone, shade, joint = tones
    angles = np.linspace(0, np.pi, 19)

    def ring(r: float) -> list[Point]:
        return [(centre[0] + r * np.cos(a), centre[1] + r * 0.86 * np.sin(a)) for a in angles]

    outer, soffit, inner = ring(radius_in + 3.1), ring(radius_in), ring(radius_in - 1.6)
    spandrel = [(centre[0] + radius_in + 3, 55.0), (centre[0] - radius_in - 3, 55.0)]
    canvas.area(
        [*ring(radius_in), *[(x, y) for x, y in spandrel[::-1]]], stone, stroke_deg=0, sharp=True
    )
    canvas.area([*soffit, *inner[::-1]], shade, stroke_deg=0, sharp=True)
    for a, b in zip(outer[1:-1], soffit[1:-1], strict=True):
        canvas.line([a, b], joint, width_in=0.16, sharp=True)
