"""How does a shape in wall inches become flat colour on a picture of any scale?

A `Canvas` covers a window of the wall. Everything drawn on it is placed in wall inches, so that a
cell drawn alone at a large scale shows the same picture as the whole wall drawn small. Beside the
colour it keeps the direction of the brush. Nothing here knows what is painted.
"""

from collections.abc import Iterable, Sequence

import numpy as np
from PIL import Image, ImageDraw, ImageFont

Point = tuple[float, float]
Colour = tuple[int, int, int]
Window = tuple[float, float, float, float]  # x0, y0, x1, y1 in wall inches

OVERSAMPLING = 2
WOBBLE_IN = 0.14  # a steady hand with a long brush strays about an eighth of an inch


def rgb(text: str) -> Colour:
    """Return a colour from `#RRGGBB`."""
    return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


def mix(first: Colour, second: Colour, share: float) -> Colour:
    """Return the colour `share` of the way from `first` to `second`."""
    a, b, c = (round(p + (q - p) * share) for p, q in zip(first, second, strict=True))
    return a, b, c


def curve(points: Sequence[Point], *, steps: int = 8, closed: bool = False) -> list[Point]:
    """Return a smooth run (Catmull-Rom) through the points."""
    pts = np.asarray(points, float)
    if closed:
        padded = np.vstack([pts[-1:], pts, pts[:2]])
    else:
        padded = np.vstack([2 * pts[:1] - pts[1:2], pts, 2 * pts[-1:] - pts[-2:-1]])
    t = np.linspace(0, 1, steps, endpoint=False)[:, None]
    runs = []
    for p0, p1, p2, p3 in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        runs.append(
            0.5
            * (
                2 * p1
                + (p2 - p0) * t
                + (2 * p0 - 5 * p1 + 4 * p2 - p3) * t**2
                + (3 * p1 - p0 - 3 * p2 + p3) * t**3
            )
        )
    out = np.vstack(runs if closed else [*runs, padded[-2:-1]])
    return [(float(x), float(y)) for x, y in out]


def ellipse(centre: Point, rx_in: float, ry_in: float, *, tilt_deg: float = 0.0) -> list[Point]:
    """Return an ellipse as a closed ring."""
    a = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    t = np.radians(tilt_deg)
    x, y = rx_in * np.cos(a), ry_in * np.sin(a)
    return list(
        zip(
            (centre[0] + x * np.cos(t) - y * np.sin(t)).tolist(),
            (centre[1] + x * np.sin(t) + y * np.cos(t)).tolist(),
            strict=True,
        )
    )


def limb(joints: Sequence[tuple[float, float, float]]) -> list[Point]:
    """Return a tapered rounded form round joints (x, y, radius): an arm, a trunk, a sleeve."""
    spine = curve([(x, y) for x, y, _ in joints], steps=6)
    radii = np.interp(
        np.linspace(0, len(joints) - 1, len(spine)), range(len(joints)), [r for *_, r in joints]
    )
    line = np.asarray(spine)
    along = np.gradient(line, axis=0)
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    across = np.c_[-along[:, 1], along[:, 0]] * radii[:, None]
    start, end = line[0] - along[0] * radii[0] * 0.7, line[-1] + along[-1] * radii[-1] * 0.7
    ring = np.vstack([start, line + across, end, (line - across)[::-1]])
    return curve([(float(x), float(y)) for x, y in ring], steps=3, closed=True)


class Canvas:
    """A window of the wall that takes flat colour."""

    def __init__(
        self, window: Window, px_per_in: float, *, ground: Colour = (232, 221, 197)
    ) -> None:
        self.window = window
        self.px_per_in = px_per_in
        self.size = (
            round((window[2] - window[0]) * px_per_in),
            round((window[3] - window[1]) * px_per_in),
        )
        big = (self.size[0] * OVERSAMPLING, self.size[1] * OVERSAMPLING)
        self._scale = px_per_in * OVERSAMPLING
        self._colour = Image.new("RGB", big, ground)
        self._stroke = Image.new("L", self.size, 0)
        self._draw = ImageDraw.Draw(self._colour)
        self._draw_stroke = ImageDraw.Draw(self._stroke)

    def area(
        self,
        ring: Sequence[Point],
        colour: Colour,
        *,
        stroke_deg: float | None = None,
        sharp: bool = False,
    ) -> None:
        """Fill a ring; `stroke_deg` is the brush's direction, `sharp` leaves the edge ruled."""
        if not self._near(ring):
            return
        line = np.asarray(ring, float) if sharp else _by_hand(ring, closed=True)
        self._draw.polygon(self._pixels(line, self._scale), fill=colour)
        if stroke_deg is not None:
            code = round((stroke_deg % 180) / 180 * 255)
            self._draw_stroke.polygon(self._pixels(line, self.px_per_in), fill=code)

    def line(
        self, run: Sequence[Point], colour: Colour, *, width_in: float, sharp: bool = False
    ) -> None:
        """Draw a run of one width with round joints."""
        if not self._near(run):
            return
        line = np.asarray(run, float) if sharp else _by_hand(run, closed=False)
        width_px = max(1, round(width_in * self._scale))
        self._draw.line(self._pixels(line, self._scale), fill=colour, width=width_px, joint="curve")

    def outline(self, ring: Sequence[Point], colour: Colour, *, width_in: float) -> None:
        """Draw the edge of a ring."""
        self.line([*ring, ring[0]], colour, width_in=width_in)

    def text(self, at: Point, words: str, colour: Colour, *, height_in: float) -> None:
        """Letter words with their lower left corner at `at`."""
        font = ImageFont.load_default(size=height_in * self._scale * 1.35)
        x, y = self._pixels(np.asarray([at]), self._scale)[0]
        self._draw.text((x, y), words, fill=colour, font=font, anchor="ls")

    def finished(self) -> tuple[np.ndarray, np.ndarray]:
        """Return colour 0..255 (rows, columns, 3) and the brush's direction in radians, float32."""
        colour = np.array(self._colour.reduce(OVERSAMPLING), np.float32)
        return colour, np.asarray(self._stroke, np.float32) * np.float32(np.pi / 255)

    def _near(self, points: Iterable[Point]) -> bool:
        pts = np.asarray(points if isinstance(points, (list, np.ndarray)) else list(points), float)
        x0, y0, x1, y1 = self.window
        low, high = pts.min(axis=0) - 2, pts.max(axis=0) + 2
        return bool(low[0] < x1 and high[0] > x0 and low[1] < y1 and high[1] > y0)

    def _pixels(self, line: np.ndarray, scale: float) -> list[Point]:
        x = (line[:, 0] - self.window[0]) * scale
        y = (self.window[3] - line[:, 1]) * scale
        return list(zip(x.tolist(), y.tolist(), strict=True))


def _by_hand(run: Sequence[Point], *, closed: bool) -> np.ndarray:
    """Return the run with long edges divided and every vertex moved a little, the same each time."""
    pts = np.asarray(run, float)
    if closed:
        pts = np.vstack([pts, pts[:1]])
    lengths = np.hypot(*np.diff(pts, axis=0).T)
    if lengths.size and lengths.max() > 3.0:
        pieces = np.maximum(1, np.minimum(400, np.ceil(lengths / 2.0))).astype(int)
        position = np.repeat(np.arange(len(pieces)), pieces)
        share = np.concatenate([np.arange(n) / n for n in pieces])
        pts = np.vstack(
            [pts[position] + (pts[position + 1] - pts[position]) * share[:, None], pts[-1:]]
        )
    x, y = pts.T
    dx = np.sin(x * 0.41 + y * 0.93) + np.sin(x * 0.17 - y * 1.31 + 2.0)
    dy = np.sin(x * 0.83 - y * 0.37 + 1.0) + np.sin(x * 0.29 + y * 1.07)
    return pts + np.c_[dx, dy] * (WOBBLE_IN / 2)
