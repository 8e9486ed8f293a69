"""Who brings the harvest in? Four large figures under the sun, built of rounded forms."""

from collections.abc import Sequence

import numpy as np

from demo_fixtures.canvas import Canvas, Colour, Point, curve, ellipse, limb, mix
from demo_fixtures.mural.palette import (
    BLACK,
    BURNT,
    CREAM,
    GREEN_DEEP,
    LIME,
    MIST,
    NIGHT,
    OCHRE,
    RED_EARTH,
    ROSE,
    SIENNA,
    SKIN,
    SKIN_SHADE,
    SLATE,
    SLATE_DEEP,
    STRAW,
    UMBER,
)

Joint = tuple[float, float, float]


def paint_figures(canvas: Canvas) -> None:
    """Paint the group from left to right; the nearest stands lowest."""
    _ground(canvas)
    _mower(canvas)
    _bearer(canvas)
    _carrier(canvas)
    _binder(canvas)


def form(canvas: Canvas, joints: Sequence[Joint], tone: Colour) -> None:
    """Paint one rounded part of a body in three tones: edge, shaded side, lit side."""
    canvas.area(limb([(x, y, r + 0.42) for x, y, r in joints]), mix(tone, BLACK, 0.72))
    canvas.area(limb(joints), mix(tone, UMBER, 0.42))
    canvas.area(
        limb([(x - 0.2 * r, y + 0.08 * r, r * 0.74) for x, y, r in joints]), tone, stroke_deg=85
    )
    canvas.area(
        limb([(x - 0.42 * r, y + 0.1 * r, r * 0.3) for x, y, r in joints]), mix(tone, LIME, 0.3)
    )


def _hand(canvas: Canvas, at: Point, radius_in: float = 2.0) -> None:
    canvas.area(ellipse(at, radius_in + 0.4, radius_in + 0.3), mix(SKIN, BLACK, 0.7))
    canvas.area(ellipse(at, radius_in, radius_in * 0.92), SKIN)
    canvas.area(ellipse((at[0] + 0.5, at[1] - 0.4), radius_in * 0.62, radius_in * 0.5), SKIN_SHADE)


def _boot(canvas: Canvas, heel: Point, facing: int) -> None:
    x, y = heel
    ring = [
        (x - 2.2 * facing, y),
        (x - 2.0 * facing, y + 4.0),
        (x + 1.6 * facing, y + 4.2),
        (x + 3.0 * facing, y + 2.2),
        (x + 6.6 * facing, y + 1.6),
        (x + 7.0 * facing, y),
    ]
    canvas.area(curve(ring, steps=4, closed=True), mix(BURNT, BLACK, 0.55))
    canvas.line([(x - 2.2 * facing, y + 0.1), (x + 6.9 * facing, y + 0.1)], BLACK, width_in=0.7)


def _head(canvas: Canvas, centre: Point, facing: int) -> None:
    """Paint a head in profile, planes only."""
    x, y = centre
    f = facing
    ring = [(x - 3.6 * f, y + 3.4), (x + 1.6 * f, y + 4.6), (x + 3.5 * f, y + 2.4), (x + 3.5 * f, y + 1.0), (x + 5.0 * f, y - 1.2),
            (x + 3.8 * f, y - 1.8), (x + 3.9 * f, y - 3.2), (x + 2.6 * f, y - 5.0), (x - 0.4 * f, y - 4.4), (x - 2.2 * f, y - 3.6),
            (x - 4.0 * f, y - 0.6)]  # fmt: skip
    face = curve(ring, steps=5, closed=True)
    canvas.area(
        [(px + (px - x) * 0.1, py + (py - y) * 0.08) for px, py in face], mix(SKIN, BLACK, 0.72)
    )
    canvas.area(face, SKIN, stroke_deg=80)
    shade = [
        (x - 3.8 * f, y + 2.8),
        (x - 0.4 * f, y + 3.0),
        (x - 0.2 * f, y - 1.0),
        (x + 1.0 * f, y - 4.4),
        (x - 1.6 * f, y - 4.0),
        (x - 3.9 * f, y - 0.6),
    ]
    canvas.area(curve(shade, steps=5, closed=True), SKIN_SHADE, stroke_deg=80)
    brow = [
        (x + 0.6 * f, y + 2.4),
        (x + 3.6 * f, y + 2.6),
        (x + 3.6 * f, y + 1.0),
        (x + 1.2 * f, y + 1.0),
    ]
    canvas.area(brow, mix(SKIN_SHADE, UMBER, 0.45))
    canvas.line(
        [(x + 2.4 * f, y - 2.8), (x + 3.8 * f, y - 2.7)], mix(SKIN_SHADE, BLACK, 0.4), width_in=0.4
    )


def _straw_hat(canvas: Canvas, centre: Point, tilt_deg: float) -> None:
    x, y = centre
    canvas.area(ellipse((x, y), 9.4, 2.5, tilt_deg=tilt_deg), mix(OCHRE, BLACK, 0.7))
    canvas.area(ellipse((x, y - 0.1), 8.9, 2.1, tilt_deg=tilt_deg), SIENNA)
    canvas.area(ellipse((x - 0.2, y + 0.4), 8.6, 1.7, tilt_deg=tilt_deg), STRAW)
    lean = np.radians(tilt_deg)
    top = (x - 3.1 * np.sin(lean), y + 3.0 * np.cos(lean))
    canvas.area(ellipse(top, 4.7, 4.2, tilt_deg=tilt_deg), mix(OCHRE, BLACK, 0.7))
    canvas.area(ellipse(top, 4.3, 3.8, tilt_deg=tilt_deg), OCHRE, stroke_deg=20)
    canvas.area(ellipse((top[0] - 0.9, top[1] + 0.6), 2.8, 2.6, tilt_deg=tilt_deg), STRAW)
    band = [
        (x - 4.4 * np.cos(lean), y + 1.2 - 4.4 * np.sin(lean)),
        (x + 4.4 * np.cos(lean), y + 1.2 + 4.4 * np.sin(lean)),
    ]
    canvas.line(band, BURNT, width_in=1.2)


def _scarf(canvas: Canvas, centre: Point, facing: int, tone: Colour) -> None:
    x, y = centre
    f = facing
    ring = [
        (x + 2.7 * f, y + 2.4),
        (x + 1.4 * f, y + 5.4),
        (x - 2.4 * f, y + 5.6),
        (x - 5.0 * f, y + 2.6),
        (x - 5.2 * f, y - 2.2),
        (x - 7.0 * f, y - 6.6),
        (x - 3.0 * f, y - 5.0),
        (x - 1.6 * f, y - 1.6),
        (x - 0.6 * f, y + 1.0),
    ]
    cloth = curve(ring, steps=5, closed=True)
    canvas.area(
        [(px + (px - x) * 0.09, py + (py - y) * 0.08) for px, py in cloth], mix(tone, BLACK, 0.72)
    )
    canvas.area(cloth, tone, stroke_deg=70)
    fold = [
        (x - 1.6 * f, y + 5.0),
        (x - 4.8 * f, y + 2.2),
        (x - 5.0 * f, y - 2.2),
        (x - 3.4 * f, y - 0.6),
        (x - 2.2 * f, y + 2.2),
    ]
    canvas.area(curve(fold, steps=4, closed=True), mix(tone, UMBER, 0.4))
    canvas.line(
        [(x + 2.5 * f, y + 2.4), (x - 0.6 * f, y + 1.2), (x - 1.6 * f, y - 1.6)],
        mix(tone, LIME, 0.4),
        width_in=0.5,
    )


def _ground(canvas: Canvas) -> None:
    for x, width in ((508, 30), (562, 28), (606, 25), (641, 15)):
        canvas.area(ellipse((x + 6, 16.6), width, 2.2), mix(SIENNA, UMBER, 0.6), stroke_deg=0)


def sheaf(canvas: Canvas, foot: Point, head: Point, *, width_in: float) -> None:
    """Paint a bound sheaf from its cut foot to its ears."""
    a, b = np.asarray(foot, float), np.asarray(head, float)
    along = b - a
    across = np.array([-along[1], along[0]]) / max(np.hypot(*along), 1e-9) * width_in
    for side, tone in SHEAF_SPREAD:
        _stalks(canvas, (a, along, across * side), tone=tone, width_in=width_in)
        for k in (-0.5, 0.5):
            _ear(canvas, (a, along, across), side=side, lean=k, tone=tone)
    tie = a + along * 0.46
    ends = [(float(x), float(y)) for x, y in (tie - across * 0.55, tie + across * 0.55)]
    canvas.line(ends, RED_EARTH, width_in=1.5)


SHEAF_SPREAD = (
    (-1.0, SIENNA),
    (1.0, BURNT),
    (-0.6, OCHRE),
    (0.6, SIENNA),
    (-0.25, STRAW),
    (0.25, OCHRE),
    (0.0, STRAW),
)
Axes = tuple[np.ndarray, np.ndarray, np.ndarray]  # foot, along and across, in wall inches


def _stalks(canvas: Canvas, axes: Axes, *, tone: Colour, width_in: float) -> None:
    foot, along, aside = axes
    run = [foot + aside * 0.72, foot + along * 0.46 + aside * 0.32, foot + along + aside]
    for radii, colour in (((0.28, 0.17, 0.3), mix(tone, UMBER, 0.25)), ((0.2, 0.12, 0.22), tone)):
        joints = zip(run, radii, strict=True)
        canvas.area(limb([(float(p[0]), float(p[1]), width_in * r) for p, r in joints]), colour)


def _ear(canvas: Canvas, axes: Axes, *, side: float, lean: float, tone: Colour) -> None:
    foot, along, across = axes
    waist = foot + along * 0.46 + across * side * 0.32
    tip = foot + along + across * (side + lean * 0.4) + along * 0.09
    at = (float(tip[0]), float(tip[1]))
    canvas.line([(float(waist[0]), float(waist[1])), at], mix(tone, LIME, 0.35), width_in=0.35)
    tilt = float(np.degrees(np.arctan2(along[1], along[0])))
    canvas.area(ellipse(at, 1.7, 0.62, tilt_deg=tilt + lean * 30), mix(tone, CREAM, 0.35))


def _mower(canvas: Canvas) -> None:
    trousers, shirt = SLATE_DEEP, LIME
    _boot(canvas, (493, 16), 1)
    form(canvas, [(507, 47, 6.2), (499, 33, 4.8), (494, 19, 3.2)], mix(trousers, NIGHT, 0.4))
    _boot(canvas, (524, 15), 1)
    form(canvas, [(509, 47, 6.6), (519, 34, 5.2), (524, 18, 3.3)], trousers)
    form(canvas, [(514, 72, 4.0), (523, 62, 3.4), (527, 52, 2.6)], mix(shirt, SLATE, 0.45))
    form(canvas, [(507, 47, 6.8), (507, 58, 7.0), (511, 71, 7.8), (513, 76, 5.6)], shirt)
    canvas.line([(503, 51), (507, 64), (508, 77)], mix(trousers, BLACK, 0.2), width_in=1.4)
    canvas.line([(501, 48.5), (514, 48.5)], BURNT, width_in=1.7)
    canvas.line([(498, 62), (514, 49), (548, 21)], mix(BURNT, BLACK, 0.5), width_in=2.3)
    canvas.line([(498, 62), (514, 49), (548, 21)], SIENNA, width_in=1.5)
    blade = [
        (549, 20),
        (538, 15.4),
        (524, 15.2),
        (511, 19.4),
        (524, 17.6),
        (537, 18.6),
        (547, 22.6),
    ]
    canvas.area(curve(blade, steps=5, closed=True), mix(SLATE_DEEP, BLACK, 0.3))
    canvas.line(
        curve([(547, 20.6), (536, 17.2), (524, 16.7), (513, 18.9)], steps=5), MIST, width_in=0.7
    )
    form(canvas, [(513, 79, 2.8), (516, 84, 2.6)], SKIN)
    _head(canvas, (519, 87.5), 1)
    _straw_hat(canvas, (518, 91.5), -8)
    form(canvas, [(506, 73, 4.6), (500, 63, 3.9), (503, 57, 3.0)], shirt)
    form(canvas, [(500.5, 61.5, 2.7), (504, 57, 2.2)], SKIN)
    _hand(canvas, (503.5, 57.6))
    _hand(canvas, (528, 37.6))
    form(canvas, [(526.5, 52, 2.5), (528, 41, 2.0)], SKIN)


def _bearer(canvas: Canvas) -> None:
    """Paint the man who walks off with a sheaf on his fork."""
    trousers, shirt = mix(UMBER, SIENNA, 0.25), RED_EARTH
    _boot(canvas, (588, 19), 1)
    form(canvas, [(603, 50, 6.2), (596, 36, 4.8), (589, 22, 3.2)], mix(trousers, NIGHT, 0.45))
    _boot(canvas, (615, 18), 1)
    form(canvas, [(605, 50, 6.6), (614, 37, 5.2), (616, 21, 3.3)], trousers)
    sheaf(canvas, (596, 89), (572, 99), width_in=6.5)
    canvas.line([(627, 61), (606, 80), (584, 97)], mix(BURNT, BLACK, 0.5), width_in=2.2)
    canvas.line([(627, 61), (606, 80), (584, 97)], SIENNA, width_in=1.4)
    form(canvas, [(604, 50, 6.8), (605, 61, 7.2), (606, 73, 8.0), (607, 78, 5.8)], shirt)
    canvas.line([(598, 51.5), (611, 51.5)], NIGHT, width_in=1.8)
    canvas.line([(601, 53), (604, 66), (603, 79)], NIGHT, width_in=1.3)
    form(canvas, [(608, 80, 2.8), (610, 85, 2.6)], SKIN)
    _head(canvas, (613, 88), 1)
    cap = [(608, 91), (609.4, 95), (614.4, 95.6), (617.6, 92.6), (620.2, 91.2), (616.6, 91.0)]
    canvas.area(
        curve([(x + (x - 613) * 0.08, y + 0.3) for x, y in cap], steps=4, closed=True), BLACK
    )
    canvas.area(curve(cap, steps=4, closed=True), SLATE)
    form(canvas, [(603, 74, 4.6), (606, 64, 3.8), (613, 62, 3.0)], shirt)
    form(canvas, [(612, 62, 2.6), (622, 66, 2.1)], SKIN)
    _hand(canvas, (623.5, 65.5))


def _carrier(canvas: Canvas) -> None:
    """Paint the woman who walks ahead with a basket on her head."""
    blouse = CREAM
    _skirt_and_apron(canvas)
    form(canvas, [(642.5, 52, 4.2), (642.5, 61, 4.9), (643, 70, 5.4), (643, 73, 4.2)], blouse)
    form(canvas, [(643, 74.5, 2.0), (643.4, 78, 1.9)], SKIN)
    _head(canvas, (644.3, 81.5), 1)
    _scarf(canvas, (643.8, 81.8), 1, ROSE)
    _basket(canvas)
    form(canvas, [(639, 70, 3.2), (633.5, 75, 2.6), (634, 82, 2.0)], blouse)
    form(canvas, [(634, 82, 1.8), (636, 88, 1.5)], SKIN)
    _hand(canvas, (636.4, 89.5), 1.6)
    form(canvas, [(646.5, 69, 3.0), (650, 60, 2.6), (646, 53.5, 1.9)], blouse)


def _skirt_and_apron(canvas: Canvas) -> None:
    skirt = GREEN_DEEP
    _boot(canvas, (637, 16), 1)
    _boot(canvas, (645, 17), 1)
    bell = [(640, 52), (632.5, 36), (630, 21), (641, 19.4), (652, 21.5), (649.5, 38), (645.5, 52)]
    ring = curve(bell, steps=5, closed=True)
    canvas.area(
        [(x + (x - 641) * 0.05, y + (y - 36) * 0.02) for x, y in ring], mix(skirt, BLACK, 0.7)
    )
    canvas.area(ring, mix(skirt, UMBER, 0.35), stroke_deg=85)
    canvas.area(
        curve([(641, 51), (634.5, 36), (632, 22.5), (642, 20.8), (643, 36)], steps=5, closed=True),
        skirt,
        stroke_deg=85,
    )
    for x, top in ((635.5, 31), (640, 37), (645, 35), (648.3, 29)):
        canvas.line([(x, 21.6), (x + (643 - x) * 0.35, top)], mix(skirt, BLACK, 0.4), width_in=0.5)
    canvas.area(
        curve(
            [(639, 49), (637.4, 34), (640.6, 26), (646.6, 28), (646, 40), (645, 49)],
            steps=4,
            closed=True,
        ),
        LIME,
    )
    canvas.area(
        curve(
            [(643.6, 49), (643.4, 36), (644.6, 28.4), (646.4, 29), (646, 40), (645, 49)],
            steps=4,
            closed=True,
        ),
        MIST,
    )


def _basket(canvas: Canvas) -> None:
    basket = [(633.5, 94.5), (636, 87.6), (652, 87.6), (654.5, 94.5)]
    for k in range(7):
        canvas.area(
            ellipse((636 + 2.7 * k, 94.8 + (k % 2)), 2.1, 2.1),
            (RED_EARTH, OCHRE, mix(RED_EARTH, OCHRE, 0.5))[k % 3],
        )
    canvas.area(basket, SIENNA)
    for k in range(4):
        canvas.line(
            [(634.2 + 0.5 * k, 93.4 - 1.7 * k), (653.8 - 0.5 * k, 93.4 - 1.7 * k)],
            mix(BURNT, BLACK, 0.2),
            width_in=0.45,
        )
    canvas.outline(basket, mix(BURNT, BLACK, 0.55), width_in=0.7)


def _binder(canvas: Canvas) -> None:
    """Paint the kneeling woman who ties a sheaf."""
    blouse = OCHRE
    _kneeling_skirt(canvas)
    form(canvas, [(556, 53, 3.6), (549, 45, 3.0), (546, 38, 2.3)], mix(blouse, UMBER, 0.35))
    form(canvas, [(566, 41, 6.2), (563, 50, 6.6), (559, 57, 6.2), (557.5, 59.5, 4.4)], blouse)
    form(canvas, [(556.5, 62, 2.4), (554.5, 65, 2.2)], SKIN)
    _head(canvas, (551.8, 67.5), -1)
    _scarf(canvas, (552.4, 67.8), -1, RED_EARTH)
    sheaf(canvas, (541, 15), (544, 47), width_in=7.0)
    form(canvas, [(562, 54, 4.0), (557, 43, 3.3), (550, 36, 2.5)], blouse)
    form(canvas, [(552, 38, 2.3), (546, 31.5, 1.9)], SKIN)
    _hand(canvas, (545.5, 31))


def _kneeling_skirt(canvas: Canvas) -> None:
    skirt = SLATE
    ring = curve(
        [
            (566, 41),
            (577, 34),
            (586, 22),
            (588, 15.4),
            (574, 14.6),
            (560, 15.2),
            (556.5, 22),
            (559, 33),
        ],
        steps=6,
        closed=True,
    )
    canvas.area(
        [(x + (x - 571) * 0.035, y + (y - 26) * 0.035) for x, y in ring], mix(skirt, BLACK, 0.72)
    )
    canvas.area(ring, mix(skirt, UMBER, 0.4), stroke_deg=60)
    lit = [(565, 40), (573, 34), (579, 23), (576, 16.2), (562, 16.4), (558, 23), (560, 33)]
    canvas.area(curve(lit, steps=6, closed=True), skirt, stroke_deg=60)
    canvas.area(
        curve(
            [(562, 36), (566, 30), (565, 20), (560.5, 18.5), (559.4, 25), (560.4, 33)],
            steps=5,
            closed=True,
        ),
        mix(skirt, MIST, 0.5),
    )
    for run in (
        [(569, 37), (577, 26), (580, 16.4)],
        [(566, 32), (569, 24), (569, 16)],
        [(573, 36), (583, 25), (586, 17)],
    ):
        canvas.line(curve(run, steps=5), mix(skirt, BLACK, 0.4), width_in=0.55)
