"""How does each sort of damage change the colour and the height of the wall?

Every painter takes the pixels of one piece of damage and alters them in place. Heights are in
mils, colours 0..255.
"""

import zlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

import numpy as np
from PIL import Image, ImageDraw

from demo_fixtures.canvas import Colour, Window
from demo_fixtures.damage import Damage, Stage
from demo_fixtures.plaster import sample, tile
from demo_fixtures.shapes import Island, Point

FINE_COAT, MIDDLE_COAT = (232, 223, 203), (183, 166, 142)
SOOT, SALT, DUST_TONE = (58, 50, 44), (240, 240, 234), (150, 140, 126)


@dataclass
class Surface:
    """The wall's colour and height on a window, as one day finds them."""

    colour: np.ndarray
    heights: np.ndarray
    window: Window
    px_per_in: float


@dataclass
class Patch:
    """The pixels about one piece of damage, with its cover 0..1 and how far inside they lie."""

    colour: np.ndarray
    heights: np.ndarray
    cover: np.ndarray
    x: np.ndarray
    y: np.ndarray
    px_per_in: float
    severity: int
    salt: int

    def noise(
        self, number: int, per_in: float, *, finest: float = 3, coarsest: float = 40
    ) -> np.ndarray:
        """Return texture of this patch's own, mean 0 and deviation 1."""
        shift = (self.salt * 37 + number * 101) % 997
        return sample(
            tile(7 + number, finest, coarsest), self.x * per_in + shift, self.y * per_in + shift
        )

    def tint(self, colour: Colour, strength: np.ndarray | float) -> None:
        """Mix a colour in, by strength 0..1 within the cover."""
        share = np.clip(self.cover * strength, 0, 1)[..., None]
        self.colour[:] = self.colour * (1 - share) + np.asarray(colour, np.float32) * share

    def shade(self, gain: np.ndarray) -> None:
        """Multiply the colour by a gain within the cover."""
        self.colour[:] = np.clip(
            self.colour * (1 + (gain - 1)[..., None] * self.cover[..., None]), 0, 255
        )

    def rim(self, width_in: float) -> np.ndarray:
        """Return 1 on the inner rim of the cover, fading inwards over about `width_in`."""
        inner = _blur(self.cover, width_in * self.px_per_in)
        return np.clip((1 - inner) * 2, 0, 1) * (self.cover > 0.5)


def weather(surface: Surface, damages: Iterable[Damage], day: date) -> None:
    """Lay every piece of damage that is there on a day over the surface, the deepest last."""
    due = [(damage, damage.on(day)) for damage in damages]
    order = list(PAINTERS)
    shown = [(d, s) for d, s in due if s is not None and s.term in PAINTERS]
    for damage, stage in sorted(shown, key=lambda pair: order.index(pair[1].term)):
        patch = _patch(surface, damage, stage)
        if patch is not None:
            PAINTERS[stage.term](patch)


def _patch(surface: Surface, damage: Damage, stage: Stage) -> Patch | None:
    points = stage.shape.ring() if isinstance(stage.shape, Island) else list(stage.shape or ())
    line_in = None if isinstance(stage.shape, Island) else LINE_WIDTH_IN.get(stage.term, 0.1)
    return patch_of(
        surface,
        points,
        line_in=line_in,
        salt=zlib.crc32(damage.key.encode()) % 100_000,
        severity=damage.severity,
    )


def patch_of(
    surface: Surface, points: list[Point], *, line_in: float | None, salt: int, severity: int = 2
) -> Patch | None:
    """Return the patch round some points, None if it lies outside the window."""
    scale, (wx0, _, _, wy1) = surface.px_per_in, surface.window
    rows, columns = surface.heights.shape
    px = (np.asarray(points, float) - (wx0, wy1)) * (scale, -scale)
    margin = 6 + 0.5 * scale
    left, top = np.maximum(np.floor(px.min(axis=0) - margin), 0).astype(int)
    right, low = np.minimum(np.ceil(px.max(axis=0) + margin), (columns, rows)).astype(int)
    if left >= right or top >= low:
        return None
    cover = _cover(
        px - (left, top), (right - left, low - top), None if line_in is None else line_in * scale
    )
    here = (slice(top, low), slice(left, right))
    x = wx0 + (np.arange(left, right, dtype=np.float32) + 0.5)[None, :] / scale
    y = wy1 - (np.arange(top, low, dtype=np.float32) + 0.5)[:, None] / scale
    return Patch(surface.colour[here], surface.heights[here], cover, x, y, scale, severity, salt)


def _cover(px: np.ndarray, size: tuple[int, int], width_px: float | None) -> np.ndarray:
    """Return the soft-edged share of each pixel that the form covers."""
    big = Image.new("L", (size[0] * 3, size[1] * 3), 0)
    pen = ImageDraw.Draw(big)
    corners = [(float(x) * 3, float(y) * 3) for x, y in px]
    if width_px is None:
        pen.polygon(corners, fill=255)
    elif len(corners) == 1:
        r = max(1.5, 1.5 * width_px)
        (x, y) = corners[0]
        pen.ellipse((x - r, y - r, x + r, y + r), fill=255)
    else:
        pen.line(corners, fill=255, width=max(2, round(width_px * 3)), joint="curve")
    return np.asarray(big.reduce(3), np.float32) / 255


def _blur(values: np.ndarray, radius_px: float) -> np.ndarray:
    """Return a box blur (twice), enough for rims and domes."""
    reach = max(1, round(radius_px))
    for axis in (0, 1, 0, 1):
        pad = [(reach + 1, reach) if k == axis else (0, 0) for k in (0, 1)]
        total = np.cumsum(np.pad(values, pad, mode="edge"), axis=axis, dtype=np.float64)
        far = np.take(total, range(2 * reach + 1, total.shape[axis]), axis=axis)
        near = np.take(total, range(total.shape[axis] - 2 * reach - 1), axis=axis)
        values = ((far - near) / (2 * reach + 1)).astype(np.float32)
    return values


# One painter per sort of damage.


def _paint_loss(p: Patch) -> None:
    worn = np.clip(0.93 + 0.05 * p.noise(1, 9.0), 0, 1)
    p.tint(FINE_COAT, worn)
    p.shade(1 + 0.035 * p.noise(2, 14.0) - 0.20 * p.rim(0.10))
    p.heights -= 7.0 * p.cover


def _plaster_loss(p: Patch) -> None:
    p.tint(MIDDLE_COAT, 1.0)
    p.shade(1 + 0.10 * p.noise(1, 18.0) - 0.42 * p.rim(0.18))
    p.heights -= (60.0 + 9.0 * p.noise(2, 16.0)) * p.cover


def _flaking(p: Patch) -> None:
    flakes = (
        np.clip(p.noise(1, 10.0, finest=4, coarsest=14) - 0.55 + 0.12 * p.severity, 0, 1.2)
        * p.cover
    )
    p.tint((214, 202, 178), np.clip(flakes * 0.9 - 0.25, 0, 0.75))
    p.shade(1 - 0.16 * np.clip(flakes - 0.1, 0, 0.6))
    p.heights += 14.0 * flakes + 4.0 * p.cover


def _hollow(p: Patch) -> None:
    dome = np.clip(_blur(p.cover, 1.6 * p.px_per_in) * 2 - 1, 0, 1) * p.cover
    p.heights += (26.0 + 10.0 * p.severity) * dome


def _moving(p: Patch) -> None:
    _hollow(p)
    p.shade(1 - 0.25 * p.rim(0.07))
    p.heights += 18.0 * p.rim(0.25)


def _crack(p: Patch) -> None:
    p.tint((62, 52, 44), 0.78)
    p.heights -= 14.0 * p.cover


def _hairline(p: Patch) -> None:
    p.tint((70, 60, 52), 0.5)
    p.heights -= 5.0 * p.cover


def _powdering(p: Patch) -> None:
    soft = np.clip(0.30 + 0.10 * p.severity + 0.13 * p.noise(1, 6.0), 0, 0.7)
    p.tint((222, 214, 196), soft * _blur(p.cover, 0.5 * p.px_per_in))


def _salt(p: Patch) -> None:
    tufts = np.clip(
        p.noise(1, 12.0, finest=2, coarsest=9) * 0.7 + p.noise(2, 3.0) * 0.6 + 0.25, 0, 1
    )
    p.tint(SALT, np.clip(tufts * 0.95 + 0.12, 0, 0.92) * _blur(p.cover, 0.3 * p.px_per_in))
    p.heights += 7.0 * tufts * p.cover


def _stain(p: Patch) -> None:
    p.tint((128, 100, 66), 0.20 + 0.06 * p.noise(1, 3.0))
    p.tint((104, 76, 48), 0.42 * p.rim(0.35))


def _soot(p: Patch) -> None:
    depth = 0.46 + 0.05 * p.noise(1, 1.4) + 0.04 * p.noise(2, 5.0)
    p.tint(SOOT, depth * _blur(p.cover, 2.6 * p.px_per_in))


def _dust(p: Patch) -> None:
    p.tint(DUST_TONE, (0.24 + 0.07 * p.noise(1, 5.0)) * _blur(p.cover, 0.8 * p.px_per_in))


def _abrasion(p: Patch) -> None:
    streaks = sample(tile(5, 12, 90), p.x * 2.5 + p.salt, p.y * 14.0)
    p.tint((226, 214, 190), np.clip(0.28 + 0.26 * streaks, 0, 0.75))


def _impact(p: Patch) -> None:
    p.tint((196, 182, 158), 0.95)
    p.heights -= 40.0 * p.cover


def _old_fill(p: Patch) -> None:
    mean = p.colour[p.cover > 0.5].mean(axis=0) if (p.cover > 0.5).any() else np.zeros(3)
    p.tint((int(mean[0] * 0.92 + 14), int(mean[1] * 0.94 + 10), int(mean[2] * 0.96 + 4)), 0.72)
    p.shade(1 - 0.10 * p.rim(0.08))
    flat = _blur(p.heights, 0.6 * p.px_per_in)
    p.heights[:] = p.heights * (1 - 0.8 * p.cover) + (flat - 4.0) * 0.8 * p.cover


def _repaint(p: Patch) -> None:
    p.colour[:] = np.clip(
        p.colour * (1 + p.cover[..., None] * np.array([-0.10, -0.035, 0.05], np.float32)), 0, 255
    )
    p.shade(1 + 0.05 * p.noise(1, 6.0))


def _join(p: Patch) -> None:
    p.shade(1 - 0.12 * p.cover)
    p.heights += 9.0 * p.cover


def _incised(p: Patch) -> None:
    p.shade(1 - 0.10 * p.cover)
    p.heights -= 11.0 * p.cover


def _cleaned_window(p: Patch) -> None:
    p.shade(1 + 0.02 * p.cover)


def _facing(p: Patch) -> None:
    fibres = sample(tile(4, 2, 12), p.x * 9.0, p.y * 9.0)
    p.tint((236, 231, 220), np.clip(0.50 + 0.07 * fibres, 0, 1))
    p.heights += 3.0 * p.rim(0.2)


PAINTERS: dict[str, Callable[[Patch], None]] = {
    "detachment": _hollow,
    "moving-detachment": _moving,
    "repaint": _repaint,
    "old-fill-patch": _old_fill,
    "powdering": _powdering,
    "abrasion": _abrasion,
    "day-join": _join,
    "scaffold-lift-join": _join,
    "incised-line": _incised,
    "flaking": _flaking,
    "paint-loss": _paint_loss,
    "hairline-crack": _hairline,
    "plaster-crack": _crack,
    "plaster-loss": _plaster_loss,
    "impact-gouge": _impact,
    "stain-tide-line-run": _stain,
    "soiling": _soot,
    "dust": _dust,
    "efflorescence": _salt,
    "cleaned-area": _cleaned_window,
    "facing": _facing,
}
LINE_WIDTH_IN = {
    "hairline-crack": 0.06,
    "plaster-crack": 0.14,
    "day-join": 0.22,
    "scaffold-lift-join": 0.25,
    "incised-line": 0.16,
    "impact-gouge": 0.55,
}
