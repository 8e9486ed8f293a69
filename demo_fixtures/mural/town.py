"""Which town is it? Terraces of roofs on a slope, a church with a spire, the station and an orchard."""

import numpy as np

from demo_fixtures.canvas import Canvas, Colour, Point, curve, ellipse, mix
from demo_fixtures.mural.hills import tree
from demo_fixtures.mural.land import RAIL_Y_IN, reaper
from demo_fixtures.mural.palette import (
    BLACK,
    BURNT,
    CREAM,
    GREEN_DARK,
    GREEN_DEEP,
    GREEN_EARTH,
    GREEN_PALE,
    LIME,
    MIST,
    NIGHT,
    OCHRE,
    RED_EARTH,
    ROSE,
    SIENNA,
    SLATE,
    SLATE_DEEP,
    STRAW,
    UMBER,
)

SLOPE = [(774, 62), (786, 78), (806, 90), (846, 98), (884, 104), (930, 101), (970, 97), (1000, 94)]


def paint_town(canvas: Canvas) -> None:
    """Paint the slope, the terraces from the back, the church, the station and the orchard."""
    crest = curve(SLOPE)
    canvas.area([*crest, (1010, 90), (1010, 50), (774, 50)], GREEN_DARK, stroke_deg=15)
    canvas.area(
        [(x + 3, y - 4) for x, y in crest] + [(1010, 50), (777, 50)], GREEN_DEEP, stroke_deg=15
    )
    terraces = (
        (96.0, 852, 992, 0.74),
        (88.0, 816, 996, 0.82),
        (80.5, 800, 998, 0.92),
        (72.0, 792, 862, 1.0),
    )
    _terrace(canvas, terraces[0], 51)
    _church(canvas)
    for k, terrace in enumerate(terraces[1:], start=52):
        _terrace(canvas, terrace, k)
    _quay(canvas)
    _station(canvas)
    _orchard(canvas)


def _box(canvas: Canvas, corners: tuple[float, float, float, float], colour: Colour) -> None:
    x0, y0, x1, y1 = corners
    canvas.area([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], colour, stroke_deg=88)


def _terrace(canvas: Canvas, place: tuple[float, float, float, float], salt: int) -> None:
    base, start, stop, scale = place
    rng = np.random.default_rng([1936, salt])
    walls = (LIME, CREAM, STRAW, ROSE, MIST, CREAM)
    roofs = (RED_EARTH, BURNT, SLATE_DEEP, RED_EARTH, SLATE)
    x = float(start)
    while x < stop - 6:
        width = scale * rng.uniform(11, 17)
        height = scale * rng.uniform(7.5, 11)
        tones = (walls[rng.integers(6)], roofs[rng.integers(5)])
        gable, gap = rng.random() < 0.42, rng.random()
        foot = (x, base + rng.uniform(-1.2, 1.2))
        house(canvas, foot, (min(width, stop - x), height), tones, gable=gable)
        x += width - 0.4
        if gap < 0.22:
            tree(canvas, (x + 2.2 * scale, base - 0.6), 3.1 * scale)
            x += 3.6 * scale


def house(
    canvas: Canvas, foot: Point, size: Point, tones: tuple[Colour, Colour], *, gable: bool
) -> None:
    """Paint one house with its lit front, its shaded side, roof, chimney and windows."""
    x, y = foot
    width, height = size
    wall, roof = tones
    rise = height * 0.62
    top = y + height
    _box(canvas, (x, y - 8, x + width, top), wall)
    _box(canvas, (x + width * 0.72, y - 8, x + width, top), mix(wall, UMBER, 0.3))
    _box(canvas, (x + width * 0.18, top, x + width * 0.3, top + rise * 1.35), mix(roof, UMBER, 0.4))
    (_gable_roof if gable else _hipped_roof)(canvas, (x, top), (width, rise), tones)
    _windows(canvas, foot, size)


def _gable_roof(canvas: Canvas, at: Point, size: Point, tones: tuple[Colour, Colour]) -> None:
    (x, top), (width, rise), (wall, roof) = at, size, tones
    middle = x + width * 0.36
    canvas.area([(x, top), (x + width * 0.72, top), (middle, top + rise)], wall, stroke_deg=88)
    canvas.area(
        [
            (middle, top + rise + 0.5),
            (x + width * 0.74, top - 0.4),
            (x + width + 0.5, top - 0.4),
            (x + width * 0.7, top + rise + 0.5),
        ],
        roof,
        stroke_deg=60,
    )
    canvas.line(
        [(x - 0.6, top - 0.5), (middle, top + rise + 0.5), (x + width * 0.74, top - 0.4)],
        mix(roof, BLACK, 0.25),
        width_in=0.7,
    )


def _hipped_roof(canvas: Canvas, at: Point, size: Point, tones: tuple[Colour, Colour]) -> None:
    (x, top), (width, rise), (wall, roof) = at, size, tones
    ring = [
        (x - 0.6, top - 0.3),
        (x + width + 0.6, top - 0.3),
        (x + width * 0.9, top + rise),
        (x + width * 0.1, top + rise),
    ]
    canvas.area(ring, roof, stroke_deg=88)
    for k in range(1, 4):
        share = k / 4
        canvas.line(
            [
                (x + width * 0.1 * share, top + rise * share),
                (x + width * (1 - 0.1 * share), top + rise * share),
            ],
            mix(roof, BLACK, 0.22),
            width_in=0.2,
        )
    canvas.line(
        [(x - 0.6, top - 0.4), (x + width + 0.6, top - 0.4)],
        mix(wall, UMBER, 0.6),
        width_in=0.4,
    )


def _windows(canvas: Canvas, foot: Point, size: Point) -> None:
    x, y = foot
    width, height = size
    columns = max(2, int(width // 4.2))
    for k in range(columns):
        left = x + width * (0.1 + 0.8 * k / columns)
        for level in (0.58, 0.12):
            low = y + height * level
            canvas.area(
                [
                    (left, low),
                    (left + width * 0.1, low),
                    (left + width * 0.1, low + height * 0.24),
                    (left, low + height * 0.24),
                ],
                SLATE_DEEP,
                sharp=True,
            )


def _church(canvas: Canvas) -> None:
    x, base = 875.0, 98.0
    stone = CREAM
    _box(canvas, (x + 12, base - 6, x + 52, base + 15), mix(stone, ROSE, 0.15))
    canvas.area(
        [(x + 11, base + 14.6), (x + 53.5, base + 14.6), (x + 49, base + 24), (x + 14, base + 24)],
        SLATE_DEEP,
        stroke_deg=88,
    )
    for k in range(1, 4):
        canvas.line(
            [(x + 12, base + 14.6 + 2.3 * k), (x + 51, base + 14.6 + 2.3 * k)], NIGHT, width_in=0.2
        )
    for k in range(4):
        left = x + 17 + 8.6 * k
        arch = [
            (left, base + 3),
            (left + 3.4, base + 3),
            (left + 3.4, base + 9),
            (left + 1.7, base + 12),
            (left, base + 9),
        ]
        canvas.area(arch, NIGHT)
        canvas.outline(arch, stone, width_in=0.5)
    _tower(canvas, (x, base))


def _tower(canvas: Canvas, foot: Point) -> None:
    x, base = foot
    stone, shade = CREAM, mix(SLATE, SIENNA, 0.3)
    _box(canvas, (x, base - 6, x + 16, base + 29), stone)
    _box(canvas, (x + 10.5, base - 6, x + 16, base + 29), shade)
    canvas.area(
        [(x - 1.2, base + 29), (x + 17.2, base + 29), (x + 8.6, base + 53)],
        SLATE_DEEP,
        stroke_deg=80,
    )
    canvas.area(
        [(x - 1.2, base + 29), (x + 8.2, base + 29), (x + 8.6, base + 53)], SLATE, stroke_deg=80
    )
    canvas.line([(x + 8.6, base + 52.5), (x + 8.6, base + 56)], OCHRE, width_in=0.5)
    canvas.line([(x + 7.4, base + 54.4), (x + 9.8, base + 54.4)], OCHRE, width_in=0.5)
    left = x + 3.2
    arch = [
        (left, base + 17),
        (left + 4.6, base + 17),
        (left + 4.6, base + 23),
        (left + 2.3, base + 26),
        (left, base + 23),
    ]
    canvas.area(arch, NIGHT)
    for k in range(3):
        canvas.line(
            [(left + 0.3, base + 18 + 2 * k), (left + 4.3, base + 18 + 2 * k)],
            SLATE,
            width_in=0.4,
        )
    canvas.area(ellipse((x + 5.6, base + 11.5), 2.6, 2.6), NIGHT)
    canvas.outline(ellipse((x + 5.6, base + 11.5), 2.6, 2.6), OCHRE, width_in=0.6)
    for y in (base + 4, base + 15, base + 28.4):
        canvas.line([(x - 0.4, y), (x + 16.4, y)], mix(shade, UMBER, 0.3), width_in=0.5)


def _quay(canvas: Canvas) -> None:
    """Carry the railway into the station on a stone bank."""
    _box(canvas, (800, 47, 1010, 61.2), mix(CREAM, SIENNA, 0.28))
    for row in range(4):
        y = 48.5 + 3.2 * row
        canvas.line([(802, y), (1010, y)], mix(SIENNA, UMBER, 0.4), width_in=0.18)
        for x in np.arange(804 + 4 * (row % 2), 1008, 8.0):
            canvas.line([(x, y), (x, y + 3.2)], mix(SIENNA, UMBER, 0.4), width_in=0.18)
    _box(canvas, (800, 60.2, 1010, 62), NIGHT)


def _station(canvas: Canvas) -> None:
    x, y = 868.0, RAIL_Y_IN
    _box(canvas, (x - 22, y, x + 132, y + 3), mix(CREAM, SLATE, 0.35))
    brick = mix(RED_EARTH, ROSE, 0.25)
    _box(canvas, (x, y + 3, x + 112, y + 17), brick)
    for k in range(8):
        left = x + 5 + 13.4 * k
        arch = [
            (left, y + 3),
            (left + 7, y + 3),
            (left + 7, y + 10.4),
            *[
                (left + 3.5 + 3.5 * np.cos(a), y + 10.4 + 3.3 * np.sin(a))
                for a in np.linspace(0, np.pi, 9)
            ],
            (left, y + 10.4),
        ]
        canvas.area(arch, NIGHT if k % 3 else mix(NIGHT, OCHRE, 0.55))
        canvas.outline(arch, CREAM, width_in=0.6)
    roof = [(x - 3, y + 17), (x + 115, y + 17), (x + 108, y + 23.4), (x + 4, y + 23.4)]
    canvas.area(roof, SLATE_DEEP, stroke_deg=88)
    for left in np.arange(x, x + 112, 4.6):
        canvas.line(
            [(left, y + 17), (left + (x + 56 - left) * 0.07, y + 23.2)], NIGHT, width_in=0.2
        )
    for left in (x + 20, x + 66, x + 96):
        _box(canvas, (left, y + 22, left + 4, y + 28), brick)
        _box(canvas, (left - 0.6, y + 27, left + 4.6, y + 28.4), CREAM)
    canopy = [(x - 20, y + 14.6), (x + 118, y + 14.6), (x + 118, y + 16.4), (x - 20, y + 16.4)]
    canvas.area(canopy, GREEN_DARK, sharp=True)
    for left in np.arange(x - 20, x + 117, 2.4):
        canvas.area(
            [(left, y + 14.7), (left + 2.2, y + 14.7), (left + 1.1, y + 12.9)], LIME, sharp=True
        )
    for post in np.arange(x - 17, x + 118, 22.0):
        canvas.line([(post, y + 3), (post, y + 14.6)], GREEN_DARK, width_in=0.8, sharp=True)
    _box(canvas, (x - 15, y + 6.6, x - 2, y + 10.4), LIME)
    canvas.text((x - 14.2, y + 7.7), "MARROWBY", BLACK, height_in=1.3)
    for k, left in enumerate((x + 27, x + 31, x + 58, x + 84, x + 101)):
        _passenger(canvas, (left, y + 3), (SLATE_DEEP, RED_EARTH, UMBER, OCHRE, GREEN_DEEP)[k])


def _passenger(canvas: Canvas, foot: Point, coat: Colour) -> None:
    x, y = foot
    canvas.area(
        [
            (x - 0.9, y),
            (x + 0.9, y),
            (x + 1.0, y + 4.6),
            (x + 0.4, y + 5.8),
            (x - 0.4, y + 5.8),
            (x - 1.0, y + 4.6),
        ],
        coat,
    )
    canvas.area(ellipse((x, y + 6.5), 0.6, 0.75), ROSE)
    canvas.area(ellipse((x, y + 7.1), 0.9, 0.32), BLACK)


def _orchard(canvas: Canvas) -> None:
    """Fill the foreground right of the doorway with meadow, wall, path and fruit trees in rows."""
    canvas.area(
        [*curve([(776, 8), (784, 26), (780, 38), (802, 48)]), (1010, 48), (1010, 8)],
        GREEN_EARTH,
        stroke_deg=10,
    )
    for k, tone in enumerate((GREEN_PALE, GREEN_EARTH, GREEN_PALE, mix(GREEN_EARTH, OCHRE, 0.35))):
        y = 43.0 - 7.2 * k
        edge = [(x, y + 1.6 * np.sin(x / 33.0 + k)) for x in np.arange(784 + 3.0 * k, 1013, 8)]
        canvas.area([*edge, (1012, 8), (784, 8)], tone, stroke_deg=6)
    path = curve([(836, 46), (852, 38), (838, 30), (858, 22), (850, 8)])
    widths = np.linspace(1.0, 7.0, len(path))
    ring = [(x - w, y) for (x, y), w in zip(path, widths, strict=True)]
    ring += [(x + w, y) for (x, y), w in list(zip(path, widths, strict=True))[::-1]]
    canvas.area(ring, CREAM, stroke_deg=70)
    for row, (y, size) in enumerate(((40.0, 3.0), (31.0, 3.8), (20.5, 4.8))):
        for x in np.arange(878 + 7 * (row % 2), 992, 22.0 + 2 * row):
            canvas.area(ellipse((x + size * 0.6, y - 0.2), size * 1.1, size * 0.22), GREEN_DEEP)
            tree(canvas, (float(x), y), size)
            for k in range(5):
                spot = (
                    x + size * 0.55 * np.cos(k * 1.4 + row),
                    y + size * 1.5 + size * 0.6 * np.sin(k * 1.9),
                )
                canvas.area(ellipse(spot, 0.48, 0.48), RED_EARTH)
    for k, (x, y) in enumerate(((806, 30), (822, 25), (866, 17))):
        shirt = (LIME, RED_EARTH, SLATE)[k]
        reaper(canvas, (float(x), float(y)), height_in=15.0 + 1.5 * k, shirt=shirt)
    canvas.text((938, 15.4), "ORLA BENNING 1936", BURNT, height_in=2.1)
