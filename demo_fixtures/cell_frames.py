"""What does a camera on the deck see of a small piece of wall, and where exactly is it?

A frame is made with everything known that a program may only estimate: the homography, the lens,
the places of the grid's crossings on the picture, and losses planted with their rings. The painting
is the invented wall's of a day, or any other that is given as a function. Pixel coordinates count
from the outer corner of the upper left pixel, whose centre is at (0.5, 0.5). Invented demo data.
"""

import io
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Literal

import cv2
import numpy as np
from PIL import Image

from demo_fixtures.canvas import Window
from demo_fixtures.photographs import NORMAL, RAKING, light, surface_on
from demo_fixtures.truth import all_damage
from demo_fixtures.weathering import FINE_COAT, MIDDLE_COAT, Surface, patch_of
from gridmap.lengths import format_feet_inches
from gridmap.lens import Lens

Light = Literal["normal", "raking-left", "raking-right"]
Point = tuple[float, float]
Painting = Callable[[Window, float], Surface]  # window, px_per_in → the wall, row 0 at the top

BORDER_SHARE = 0.04  # of the frame, about the window, at each side
CROSS_ARM_IN, CROSS_WIDTH_IN = 1.1, 0.06  # a crossing of two projected lines, 1/16 in wide
CROSS_GAIN = 95.0  # brightness that the projector adds, of 255
FADE_IN = 0.045  # half-width over which a line of light fades, so that it has no stairs


@dataclass(frozen=True)
class Loss:
    """A loss to plant: contrast 1 is bare plaster, 0.3 a faint thinning of the paint."""

    centre_in: Point
    size_in: float
    contrast: float = 1.0


@dataclass(frozen=True)
class PlantedLoss:
    """A planted loss with its true outline, on the wall and on the picture."""

    loss: Loss
    ring_in: tuple[Point, ...]
    ring_px: tuple[Point, ...]


@dataclass(frozen=True)
class Frame:
    """A photograph with its truth: `to_wall` takes straightened upright pixels to wall inches."""

    pixels: np.ndarray = field(repr=False)
    to_wall: np.ndarray
    lens: Lens
    marks: tuple[tuple[str, Point, Point], ...]  # name, place on the picture, place on the wall
    planted: tuple[PlantedLoss, ...]
    window_in: Window
    light: Light

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        return self.pixels.shape[1], self.pixels.shape[0]

    def to_px(self, wall_in: Sequence[Point] | np.ndarray) -> np.ndarray:
        """Return where places on the wall (n, 2) lie on the picture."""
        return self.lens.bend(_through(np.linalg.inv(self.to_wall), np.asarray(wall_in, float)))

    def to_wall_in(self, px: Sequence[Point] | np.ndarray) -> np.ndarray:
        """Return where pixels (n, 2) lie on the wall."""
        return _through(self.to_wall, self.lens.straighten(np.asarray(px, float)))

    def marked_within(self, error_px: float, *, seed: int) -> tuple[tuple[str, Point, Point], ...]:
        """Return the marks as a hand sets them, each anywhere within `error_px` of its place."""
        rng = np.random.default_rng([1936, 95, seed])
        found = []
        for name, (x, y), wall in self.marks:
            reach, turn = error_px * math.sqrt(rng.uniform()), rng.uniform(0, 2 * math.pi)
            found.append((name, (x + reach * math.cos(turn), y + reach * math.sin(turn)), wall))
        return tuple(found)

    def jpeg(self, quality: int = 92) -> bytes:
        """Return the picture as a file without metadata."""
        out = io.BytesIO()
        Image.fromarray(self.pixels).save(out, "JPEG", quality=quality, subsampling=0)
        return out.getvalue()


def demo_painting(day: date) -> Painting:
    """Return the invented wall as a day finds it, with all that has happened to it."""
    damages = all_damage()
    return lambda window, px_per_in: surface_on(day, damages, window=window, px_per_in=px_per_in)


def cell_frame(
    *,
    window_in: Window,
    size_px: tuple[int, int],
    seed: int,
    day: date | None = None,
    painting: Painting | None = None,
    light: Light = "normal",
    losses: Sequence[Loss] = (),
    tilt: float = 0.03,
    noise: float = 2.4,
    k1: float = 0.0,
    blur_px: float = 0.6,
    gain: float = 1.0,
    cross_every_in: float = 24.0,
    cross_light: float = 1.0,
) -> Frame:
    """Take one frame that holds `window_in`, about square to the wall.

    `tilt` is how far each corner may stray, as a share of the frame; `k1` bends as `gridmap.lens`
    says; `cross_light` 0 turns the projected grid off, its crossings stay known. The same seed
    gives the same camera, lamp and grain; another day or loss then alters the wall alone.
    """
    lens = Lens(*size_px, k1)
    to_wall = hand_held(window_in, size_px, tilt=tilt, seed=seed)
    seen_window, px_per_in = _rendered(to_wall, lens)
    source = painting or demo_painting(day or date(2026, 3, 3))
    surface = source(seen_window, px_per_in)
    rings = [_plant(surface, loss, number) for number, loss in enumerate(losses)]
    seen = _lit(surface, light, salt=20 + seed) * gain
    crossings = _crossings(window_in, cross_every_in)
    if cross_light:
        _cast_crosses(seen, surface, crossings, strength=cross_light * CROSS_GAIN)
    rng = np.random.default_rng([1936, 93, seed])
    pixels = _expose(seen, surface, to_wall, lens, noise=noise, blur_px=blur_px, rng=rng)
    bare = Frame(pixels, to_wall, lens, (), (), window_in, light)
    marks = tuple(
        (name, (float(x), float(y)), place)
        for (name, place), (x, y) in zip(
            crossings, bare.to_px([place for _, place in crossings]), strict=True
        )
    )
    planted = tuple(
        PlantedLoss(loss, ring, _pairs(bare.to_px(ring)))
        for loss, ring in zip(losses, rings, strict=True)
    )
    return replace(bare, marks=marks, planted=planted)


def hand_held(window_in: Window, size_px: tuple[int, int], *, tilt: float, seed: int) -> np.ndarray:
    """Return pixels → wall of a camera held by hand: the window's corners inset and astray."""
    rng = np.random.default_rng([1936, 90, seed])
    (x0, y0, x1, y1), (width, height) = window_in, size_px
    scale = (1 - 2 * BORDER_SHARE - 2 * tilt) * min(width / (x1 - x0), height / (y1 - y0))
    middle = np.array([width / 2, height / 2])
    half = np.array([(x1 - x0) / 2, (y1 - y0) / 2]) * scale
    square = middle + half * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
    corners = square + rng.uniform(-tilt, tilt, (4, 2)) * (width, height)
    wall = [(x0, y1), (x1, y1), (x1, y0), (x0, y0)]
    return np.asarray(
        cv2.getPerspectiveTransform(corners.astype(np.float32), np.array(wall, np.float32)),
        np.float64,
    )


def scattered_losses(
    window_in: Window,
    *,
    sizes_in: Sequence[float],
    contrast: float,
    seed: int,
    apart_in: float = 0.8,
) -> tuple[Loss, ...]:
    """Return one loss of each size, apart from each other and from the window's edge."""
    rng = np.random.default_rng([1936, 91, seed])
    x0, y0, x1, y1 = window_in
    found: list[Loss] = []
    for size_in in sorted(sizes_in, reverse=True):
        for _ in range(400):
            edge = size_in + 0.5
            x, y = rng.uniform(x0 + edge, x1 - edge), rng.uniform(y0 + edge, y1 - edge)
            if all(
                math.hypot(x - other.centre_in[0], y - other.centre_in[1])
                > (size_in + other.size_in) / 2 + apart_in
                for other in found
            ):
                found.append(Loss((x, y), size_in, contrast))
                break
        else:
            raise ValueError(f"no room for a loss of {size_in} in within {window_in}")
    return tuple(found)


def _rendered(to_wall: np.ndarray, lens: Lens) -> tuple[Window, float]:
    """Return the window of the wall that the whole picture sees, and the scale to paint it at."""
    width, height = lens.width_px, lens.height_px
    edge = np.array(
        [(x * width, y * height) for x in np.linspace(0, 1, 9) for y in np.linspace(0, 1, 9)]
    )
    wall = _through(to_wall, lens.straighten(edge))
    low, high = np.floor(wall.min(axis=0)) - 1, np.ceil(wall.max(axis=0)) + 1
    middle = np.array([(width / 2, height / 2), (width / 2 + 1, height / 2)])
    px_per_in = 1 / float(np.hypot(*np.diff(_through(to_wall, middle), axis=0)[0]))
    window = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return window, float(math.ceil(px_per_in * 1.05))


def _through(homography: np.ndarray, points: np.ndarray) -> np.ndarray:
    ends = np.c_[points, np.ones(len(points))] @ homography.T
    return np.asarray(ends[:, :2] / ends[:, 2:])


def _plant(surface: Surface, loss: Loss, number: int) -> tuple[Point, ...]:
    """Take paint off the wall within a ragged ring, and return the ring."""
    ring = loss_ring(loss)
    patch = patch_of(surface, list(ring), line_in=None, salt=500 + number)
    if patch is None:
        raise ValueError(f"the loss at {loss.centre_in} lies outside the frame")
    inside = patch.colour[patch.cover > 0.5]
    here = inside.mean(axis=0) if len(inside) else patch.colour.mean(axis=(0, 1))
    coat = max((FINE_COAT, MIDDLE_COAT), key=lambda tone: float(np.abs(here - tone).sum()))
    patch.tint(coat, loss.contrast)
    patch.heights -= 7.0 * loss.contrast * patch.cover
    return ring


def loss_ring(loss: Loss) -> tuple[Point, ...]:
    """Return a loss's true outline: ragged, `size_in` across in the mean, the same each time."""
    x, y = loss.centre_in
    rng = np.random.default_rng([1936, 92, round(abs(x) * 256), round(abs(y) * 256)])
    turn = np.linspace(0, 2 * math.pi, 36, endpoint=False)
    reach = np.ones_like(turn)
    for wave in (2, 3, 5):
        reach += rng.uniform(0.03, 0.10) * np.cos(wave * turn + rng.uniform(0, 2 * math.pi))
    reach *= loss.size_in / 2
    return _pairs(np.c_[x + reach * np.cos(turn), y + reach * np.sin(turn)])


def _lit(surface: Surface, side: Light, *, salt: int) -> np.ndarray:
    if side == "normal":
        return light(surface, NORMAL, salt=salt)
    # A lamp at the right throws the shade that a lamp at the left throws on the reversed relief.
    if side == "raking-right":
        surface = replace(surface, heights=-surface.heights)
    return light(surface, RAKING, salt=salt)


def _crossings(window_in: Window, every_in: float) -> list[tuple[str, Point]]:
    """Return the grid's crossings in the window, its edge included, named by feet and inches."""
    x0, y0, x1, y1 = window_in
    across = np.arange(math.ceil(x0 / every_in), math.floor(x1 / every_in) + 1) * every_in
    up = np.arange(math.ceil(y0 / every_in), math.floor(y1 / every_in) + 1) * every_in
    return [
        (f"{format_feet_inches(x)} × {format_feet_inches(y)}", (float(x), float(y)))
        for y in up[::-1].tolist()
        for x in across.tolist()
    ]


def _cast_crosses(
    seen: np.ndarray,
    surface: Surface,
    crossings: Sequence[tuple[str, Point]],
    *,
    strength: float,
) -> None:
    """Add the projector's light: a greenish cross at each crossing, in the plane of the wall."""
    (wx0, _, _, wy1), scale = surface.window, surface.px_per_in
    tone = np.array([0.55, 1.0, 0.75], np.float32) * strength
    for _, (x, y) in crossings:
        left, right = (round((x - wx0 + arm) * scale) for arm in (-CROSS_ARM_IN, CROSS_ARM_IN))
        top, low = (round((wy1 - y + arm) * scale) for arm in (-CROSS_ARM_IN, CROSS_ARM_IN))
        here = seen[max(top, 0) : max(low, 0), max(left, 0) : max(right, 0)]
        rows, columns = here.shape[:2]
        dx = np.abs(wx0 + (np.arange(columns) + max(left, 0) + 0.5) / scale - x)[None, :]
        dy = np.abs(wy1 - (np.arange(rows) + max(top, 0) + 0.5) / scale - y)[:, None]
        near = np.minimum(dx, dy)
        arm = np.clip((CROSS_ARM_IN - np.maximum(dx, dy)) / 0.15, 0, 1)
        beam = np.clip(1 - (near - CROSS_WIDTH_IN / 2) / FADE_IN, 0, 1) * arm
        here += beam[..., None].astype(np.float32) * tone


def _expose(
    seen: np.ndarray,
    surface: Surface,
    to_wall: np.ndarray,
    lens: Lens,
    *,
    noise: float,
    blur_px: float,
    rng: np.random.Generator,
) -> np.ndarray:
    """Return what the sensor keeps: the lit wall through perspective, lens, glass and grain."""
    (x0, _, _, y1), scale = surface.window, surface.px_per_in
    wall_to_painted = np.array([[scale, 0, -x0 * scale], [0, -scale, y1 * scale], [0, 0, 1]])
    to_painted = wall_to_painted @ to_wall
    size = (lens.width_px, lens.height_px)
    if lens.k1 or lens.k2:
        x, y = np.meshgrid(np.arange(size[0]) + 0.5, np.arange(size[1]) + 0.5)
        places = _through(to_painted, lens.straighten(np.c_[x.ravel(), y.ravel()])) - 0.5
        x_px, y_px = (places[:, k].astype(np.float32).reshape(size[::-1]) for k in (0, 1))
        out = cv2.remap(seen, x_px, y_px, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    else:
        # OpenCV counts from pixel centres; the half pixels turn corners into centres and back.
        shift = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
        matrix = np.linalg.inv(shift) @ to_painted @ shift
        flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
        out = cv2.warpPerspective(seen, matrix, size, flags=flags, borderMode=cv2.BORDER_REPLICATE)
    if blur_px:
        out = cv2.GaussianBlur(out, (0, 0), blur_px)
    u = np.linspace(-0.5, 0.5, size[0], dtype=np.float32)[None, :]
    v = np.linspace(-0.5, 0.5, size[1], dtype=np.float32)[:, None]
    lean = u * rng.uniform(-1, 1) + v * rng.uniform(-1, 1)
    fall = (1 - 0.22 * (u**2 + v**2) + 0.05 * lean).astype(np.float32)
    grain = rng.standard_normal(out.shape, dtype=np.float32) * np.float32(noise)
    out = np.asarray(out, np.float32) * fall[..., None] + grain
    return np.clip(np.rint(out), 0, 255).astype(np.uint8)


def _pairs(points: np.ndarray) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in points)
