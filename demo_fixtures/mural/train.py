"""Which train is it? A tank-grey engine with red wheels, its tender, five heaped wagons and a van."""

import numpy as np

from demo_fixtures.canvas import Canvas, Colour, Point, curve, ellipse, mix
from demo_fixtures.mural.land import RAIL_Y_IN
from demo_fixtures.mural.palette import (
    BLACK,
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

R = RAIL_Y_IN


def paint_train(canvas: Canvas) -> None:
    """Paint the train from its tail to its buffers."""
    _van(canvas, 20.0)
    loads = ("sheaves", "sacks", "sheaves", "churns", "sheaves")
    bodies = (RED_EARTH, SLATE_DEEP, BURNT, GREEN_DEEP, RED_EARTH)
    for k, (load, body) in enumerate(zip(loads, bodies, strict=True)):
        _wagon(canvas, 68.0 + 46.5 * k, body, load)
    _tender(canvas, 301.0)
    _engine(canvas)


def _box(canvas: Canvas, corners: tuple[float, float, float, float], colour: Colour) -> None:
    x0, y0, x1, y1 = corners
    canvas.area([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], colour, stroke_deg=0, sharp=True)


def wheel(canvas: Canvas, centre: Point, radius_in: float, *, spokes: int) -> None:
    """Paint a wheel: tyre, rim, spokes and boss."""
    canvas.area(ellipse(centre, radius_in, radius_in), BLACK)
    canvas.area(ellipse(centre, radius_in * 0.9, radius_in * 0.9), RED_EARTH)
    canvas.area(ellipse(centre, radius_in * 0.74, radius_in * 0.74), mix(NIGHT, GREEN_DARK, 0.4))
    for angle in np.linspace(0.2, 0.2 + 2 * np.pi, spokes, endpoint=False):
        tip = (
            centre[0] + radius_in * 0.8 * np.cos(angle),
            centre[1] + radius_in * 0.8 * np.sin(angle),
        )
        canvas.line([centre, tip], RED_EARTH, width_in=radius_in * 0.1, sharp=True)
    canvas.area(ellipse(centre, radius_in * 0.2, radius_in * 0.2), OCHRE)


def _wagon(canvas: Canvas, x: float, body: Colour, load: str) -> None:
    width, floor, top = 42.0, R + 6.5, R + 20.5
    _load(canvas, x, top, load)
    _box(canvas, (x + 1, R + 4.4, x + width - 1, floor), NIGHT)
    _box(canvas, (x, floor, x + width, top), body)
    for k in range(5):
        y = floor + 2.8 * k
        canvas.line([(x, y), (x + width, y)], mix(body, BLACK, 0.4), width_in=0.22, sharp=True)
        _box(canvas, (x, y + 1.9, x + width, y + 2.5), mix(body, CREAM, 0.2))
    for post in np.linspace(x + 1.2, x + width - 1.2, 6):
        canvas.line([(post, floor), (post, top)], mix(body, BLACK, 0.5), width_in=0.75, sharp=True)
    _box(canvas, (x - 0.6, top - 0.5, x + width + 0.6, top + 0.6), mix(body, BLACK, 0.55))
    for hub in (x + 9, x + width - 9):
        wheel(canvas, (hub, R + 4.0), 4.0, spokes=8)
        canvas.area(
            [(hub - 3, R + 7), (hub + 3, R + 7), (hub + 1.4, R + 4.4), (hub - 1.4, R + 4.4)], BLACK
        )
    canvas.line([(x + width, R + 6.2), (x + width + 5, R + 6.2)], BLACK, width_in=0.9, sharp=True)


def _load(canvas: Canvas, x: float, top: float, load: str) -> None:
    rng = np.random.default_rng([1936, 41, int(x)])
    if load == "sheaves":
        for row, count in enumerate((8, 7, 5)):
            for k in range(count):
                centre = (
                    x + 21 + (k - (count - 1) / 2) * 4.9 + rng.uniform(-0.5, 0.5),
                    top + 1.2 + 3.1 * row,
                )
                _sheaf_end(canvas, centre, 2.9, (OCHRE, STRAW, SIENNA)[int(rng.integers(3))])
    elif load == "sacks":
        for row, count in enumerate((6, 5)):
            for k in range(count):
                _sack(canvas, (x + 21 + (k - (count - 1) / 2) * 6.3, top + 0.6 + 4.6 * row))
    else:
        for k in range(6):
            _churn(canvas, (x + 5.5 + 6.2 * k, top - 0.5))


def _sheaf_end(canvas: Canvas, centre: Point, radius_in: float, tone: Colour) -> None:
    canvas.area(ellipse(centre, radius_in * 1.12, radius_in), mix(tone, UMBER, 0.5))
    canvas.area(
        ellipse((centre[0] - 0.2, centre[1] + 0.25), radius_in * 0.98, radius_in * 0.86), tone
    )
    for angle in np.linspace(0.4, 2.8, 7):
        tip = (
            centre[0] + radius_in * 1.0 * np.cos(angle),
            centre[1] + radius_in * 1.15 * np.sin(angle),
        )
        canvas.line([centre, tip], mix(tone, LIME, 0.5), width_in=0.22)
    canvas.line(
        [(centre[0] - 1.6, centre[1] - 0.5), (centre[0] + 1.6, centre[1] - 0.5)],
        RED_EARTH,
        width_in=0.4,
    )


def _sack(canvas: Canvas, foot: Point) -> None:
    x, y = foot
    shape = [(x - 2.9, y), (x - 3.1, y + 3.2), (x - 1.1, y + 5.2), (x - 1.4, y + 6.4), (x + 1.4, y + 6.4),
             (x + 1.1, y + 5.2), (x + 3.1, y + 3.2), (x + 2.9, y)]  # fmt: skip
    canvas.area(curve(shape, steps=4, closed=True), CREAM, stroke_deg=80)
    shade = [(x + 0.9, y), (x + 1.6, y + 3.2), (x + 0.7, y + 5.0), (x + 3.0, y + 3.2), (x + 2.9, y)]
    canvas.area(curve(shade, steps=4, closed=True), mix(CREAM, UMBER, 0.35))
    canvas.line([(x - 1.2, y + 5.2), (x + 1.2, y + 5.2)], BURNT, width_in=0.5)


def _churn(canvas: Canvas, foot: Point) -> None:
    x, y = foot
    shape = [(x - 2.2, y), (x - 2.2, y + 5.4), (x - 1.1, y + 7.4), (x - 1.3, y + 8.6), (x + 1.3, y + 8.6),
             (x + 1.1, y + 7.4), (x + 2.2, y + 5.4), (x + 2.2, y)]  # fmt: skip
    canvas.area(shape, SLATE)
    canvas.area(
        [(x - 1.6, y), (x - 1.6, y + 5.2), (x - 0.8, y + 7), (x - 0.2, y + 7), (x - 0.4, y)], MIST
    )
    canvas.line([(x - 2.2, y + 5.2), (x + 2.2, y + 5.2)], SLATE_DEEP, width_in=0.35)


def _van(canvas: Canvas, x: float) -> None:
    """Paint the brake van with the guard on its veranda."""
    width, floor, roof = 43.0, R + 6.5, R + 29.5
    _box(canvas, (x, R + 4.4, x + width, floor), NIGHT)
    _box(canvas, (x + 10, floor, x + width, roof), UMBER)
    _box(canvas, (x, floor, x + 11, floor + 9), mix(UMBER, BLACK, 0.3))
    for plank in np.arange(x + 11, x + width, 2.9):
        canvas.line(
            [(plank, floor), (plank, roof)], mix(UMBER, BLACK, 0.35), width_in=0.2, sharp=True
        )
    canvas.area(ellipse((x + 5.6, floor + 13.4), 2.3, 5.4), SLATE_DEEP)
    canvas.area(ellipse((x + 5.4, floor + 19.2), 1.5, 1.8), SKIN)
    _box(canvas, (x + 3.6, floor + 20.2, x + 7.2, floor + 21.4), BLACK)
    canvas.line([(x + 0.8, floor), (x + 0.8, roof)], BLACK, width_in=0.6, sharp=True)
    for window in (x + 16, x + 28):
        _box(canvas, (window, floor + 11, window + 8, floor + 19), CREAM)
        _box(canvas, (window + 0.9, floor + 11.9, window + 7.1, floor + 18.1), SLATE_DEEP)
    top = [
        (x - 2, roof),
        (x + width + 2, roof),
        (x + width, roof + 2.2),
        (x + width / 2, roof + 3.4),
        (x, roof + 2.2),
    ]
    canvas.area(curve(top, steps=3, closed=True), SLATE, stroke_deg=0)
    for hub in (x + 9, x + width - 9):
        wheel(canvas, (hub, R + 4.0), 4.0, spokes=8)
    canvas.line([(x + width, R + 6.2), (x + width + 5, R + 6.2)], BLACK, width_in=0.9, sharp=True)


def _tender(canvas: Canvas, x: float) -> None:
    width = 40.0
    coal = [
        (x + 3, R + 22),
        (x + 8, R + 27),
        (x + 15, R + 26),
        (x + 22, R + 29),
        (x + 30, R + 26),
        (x + 36, R + 22),
    ]
    canvas.area(curve(coal, closed=True), BLACK)
    rng = np.random.default_rng([1936, 42])
    for _ in range(22):
        canvas.area(
            ellipse((x + rng.uniform(7, 33), R + rng.uniform(22.5, 26)), 1.0, 0.7),
            mix(NIGHT, SLATE, rng.uniform(0, 0.6)),
        )
    _box(canvas, (x, R + 6.5, x + width, R + 23), GREEN_DARK)
    _box(canvas, (x, R + 16.5, x + width, R + 19.5), GREEN_DEEP)
    _box(canvas, (x, R + 19.5, x + width, R + 20.5), GREEN_EARTH)
    for line in ((x + 2, R + 9, x + width - 2, R + 15.4),):
        canvas.outline(
            [(line[0], line[1]), (line[2], line[1]), (line[2], line[3]), (line[0], line[3])],
            OCHRE,
            width_in=0.5,
        )
    canvas.text((x + 10.2, R + 10.5), "M & W", STRAW, height_in=4.2)
    _box(canvas, (x - 1, R + 22.4, x + width + 1, R + 23.4), BLACK)
    _box(canvas, (x - 1, R + 4.2, x + width + 1, R + 6.8), BLACK)
    for hub in (x + 7, x + 20, x + 33):
        wheel(canvas, (hub, R + 4.6), 4.6, spokes=10)


def _engine(canvas: Canvas) -> None:
    _boiler(canvas)
    _cab(canvas, 345.0)
    _box(canvas, (345, R + 11.0, 462, R + 12.4), BLACK)
    _box(canvas, (345, R + 10.2, 462, R + 11.0), RED_EARTH)
    for hub in (372, 391, 410):
        wheel(canvas, (hub, R + 8.2), 8.2, spokes=14)
        splash = [
            (hub + 9 * np.cos(a), R + 8.2 + 9 * np.sin(a))
            for a in np.linspace(0.42, np.pi - 0.42, 14)
        ]
        canvas.line(splash, GREEN_EARTH, width_in=0.8)
    for hub in (432, 447):
        wheel(canvas, (hub, R + 4.2), 4.2, spokes=9)
    _motion(canvas)
    _front(canvas)


def _boiler(canvas: Canvas) -> None:
    low, high = R + 12.4, R + 32.0
    tones = (
        BLACK,
        GREEN_DARK,
        mix(GREEN_DARK, GREEN_DEEP, 0.6),
        GREEN_DEEP,
        GREEN_EARTH,
        mix(GREEN_EARTH, CREAM, 0.55),
        GREEN_EARTH,
        GREEN_DEEP,
    )
    edges = np.array([0, 0.16, 0.32, 0.48, 0.62, 0.74, 0.82, 0.92, 1.0]) * (high - low) + low
    for k, tone in enumerate(tones):
        _box(canvas, (366, edges[k], 436, edges[k + 1]), tone)
    smoke_tones = (BLACK, BLACK, NIGHT, NIGHT, SLATE_DEEP, SLATE, SLATE_DEEP, NIGHT)
    for k, tone in enumerate(smoke_tones):
        _box(canvas, (434, edges[k] - 0.4, 456, edges[k + 1] + 0.4), tone)
    for band in (384, 401, 418, 434):
        _box(canvas, (band, low, band + 1.1, high), OCHRE)
        _box(canvas, (band + 0.35, low, band + 0.75, high), BLACK)
    dome = [
        (395, high - 1),
        (395.5, high + 4.6),
        (399, high + 7),
        (403.5, high + 7),
        (407, high + 4.6),
        (407.5, high - 1),
    ]
    canvas.area(curve(dome, steps=5, closed=True), mix(OCHRE, SIENNA, 0.3))
    canvas.area(ellipse((399.4, high + 4.0), 1.3, 2.4), LIME)
    chimney = [(439, high), (440.4, high + 4), (440, high + 9.2), (438.2, high + 10.4), (438.2, high + 12), (449.8, high + 12),
               (449.8, high + 10.4), (448, high + 9.2), (447.6, high + 4), (449, high)]  # fmt: skip
    canvas.area(chimney, BLACK)
    canvas.area(
        [(441.4, high + 3), (441.2, high + 9.4), (443.2, high + 9.4), (443.2, high + 3)], SLATE_DEEP
    )
    _box(canvas, (438.0, high + 10.6, 450.0, high + 11.6), OCHRE)
    canvas.line([(368, R + 24), (436, R + 24)], CREAM, width_in=0.4, sharp=True)


def _cab(canvas: Canvas, x: float) -> None:
    floor, eaves = R + 11, R + 35
    _box(canvas, (x + 1, floor, x + 22, eaves), GREEN_DARK)
    _box(canvas, (x + 1, floor, x + 7, R + 24), mix(GREEN_DARK, BLACK, 0.5))
    _box(canvas, (x + 8, floor + 1.5, x + 20.6, R + 23), GREEN_DEEP)
    canvas.outline(
        [(x + 9, floor + 2.6), (x + 19.6, floor + 2.6), (x + 19.6, R + 22), (x + 9, R + 22)],
        OCHRE,
        width_in=0.45,
    )
    _box(canvas, (x + 9.5, R + 24.6, x + 19.4, R + 32.6), CREAM)
    _box(canvas, (x + 10.4, R + 25.4, x + 18.5, R + 31.8), mix(NIGHT, BURNT, 0.3))
    canvas.area(ellipse((x + 14.2, R + 27.2), 2.0, 2.6), SKIN)
    canvas.area(ellipse((x + 14.4, R + 29.6), 2.6, 0.9), SLATE_DEEP)
    canvas.area(ellipse((x + 14.0, R + 24.9), 3.0, 1.4), RED_EARTH)
    roof = [
        (x - 4, eaves),
        (x + 25, eaves),
        (x + 23.5, eaves + 1.6),
        (x + 11, eaves + 2.8),
        (x - 2, eaves + 1.6),
    ]
    canvas.area(curve(roof, steps=3, closed=True), NIGHT, stroke_deg=0)


def _motion(canvas: Canvas) -> None:
    steel, pin = mix(MIST, SLATE, 0.3), OCHRE
    y = R + 5.0
    canvas.line([(372, y), (410, y)], BLACK, width_in=2.2, sharp=True)
    canvas.line([(372, y), (410, y)], steel, width_in=1.5, sharp=True)
    canvas.line([(391, y), (432, R + 8.8)], BLACK, width_in=1.9, sharp=True)
    canvas.line([(391, y), (432, R + 8.8)], steel, width_in=1.2, sharp=True)
    for hub in (372, 391, 410):
        canvas.area(ellipse((hub, y), 1.0, 1.0), pin)
    _box(canvas, (428, R + 5.8, 449, R + 12.2), GREEN_DARK)
    _box(canvas, (428, R + 9.2, 449, R + 11.0), GREEN_EARTH)
    canvas.outline(
        [(429, R + 6.6), (448, R + 6.6), (448, R + 11.4), (429, R + 11.4)], OCHRE, width_in=0.4
    )


def _front(canvas: Canvas) -> None:
    _box(canvas, (455, R + 12, 457.6, R + 32.4), BLACK)
    canvas.area(ellipse((457.4, R + 22.2), 2.0, 8.6), NIGHT)
    canvas.area(ellipse((458.6, R + 22.2), 0.8, 1.4), OCHRE)
    _box(canvas, (457, R + 4.4, 462.4, R + 11.6), RED_EARTH)
    _box(canvas, (457, R + 7.2, 462.4, R + 8.6), CREAM)
    _box(canvas, (462.4, R + 6.6, 467.0, R + 8.4), NIGHT)
    canvas.area(ellipse((467.6, R + 7.5), 0.8, 2.3), BLACK)
    canvas.area([(457, R + 4.4), (461.5, R + 1.0), (463, R + 1.0), (461.5, R + 4.6)], BLACK)
    _box(canvas, (457.5, R + 31.5, 459.5, R + 33.5), BLACK)
    canvas.area(ellipse((460.0, R + 14.6), 1.7, 1.9), CREAM)
    canvas.outline(ellipse((460.0, R + 14.6), 1.7, 1.9), BLACK, width_in=0.4)
