"""What does a camera on the deck bring home from the invented wall on a given day?

Mosaics of the whole wall, rectified, in normal and in raking light, and a few single frames of
details. The truth of that day is in the picture. Returns bytes and what is known about them;
storing is the program's. Invented demo data.
"""

import io
from collections.abc import Container, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import lru_cache

import numpy as np
from PIL import Image

from demo_fixtures.canvas import Window
from demo_fixtures.damage import Damage
from demo_fixtures.painting import BAND_PX, MOSAIC_PX_PER_IN, WHOLE_WALL, paint
from demo_fixtures.plaster import grid_in, sample, tile
from demo_fixtures.treatments import facings_on
from demo_fixtures.truth import all_damage
from demo_fixtures.weathering import PAINTERS, Surface, patch_of, weather

NORMAL, RAKING = "normal", "raking"
MOSAIC, DETAIL = "mosaic", "detail"
BAY_IN = 48.0  # the raking lamp is set up anew every 4 ft
RAKING_GAIN = 0.013  # brightness per mil per inch of slope across the light
JPEG_QUALITY, FLOOR_QUALITY = 82, 70
STRETCH_IN, SEAM_IN = 252.0, 8.0  # a mosaic is made in four stretches


@dataclass(frozen=True)
class Picture:
    """A photograph: its bytes, and where, when, how and by whom it was taken."""

    key: str
    survey: str
    mode: str
    taken_at: datetime
    bounds_in: Window
    width_px: int
    height_px: int
    jpeg: bytes = field(repr=False)
    purpose: str = MOSAIC
    lamp: str = ""
    lamp_side: str = ""
    taken_by: str = "Priya Lund"
    note: str = "invented demo data"


@dataclass(frozen=True)
class Mosaic:
    """When a mosaic of the whole wall was taken, and in which light."""

    survey: str
    mode: str
    taken_at: datetime
    lamp: str


def _at(year: int, month: int, day: int, hour: int) -> datetime:
    return datetime(year, month, day, hour, 0, tzinfo=UTC)


FRONT, LEFT = "two flash heads, left and right at 45°", "one lamp from the left at 8°"
MOSAICS: tuple[Mosaic, ...] = (
    Mosaic("F0", NORMAL, _at(2026, 2, 9, 11), "hall lights, from the floor"),
    Mosaic("B1", NORMAL, _at(2026, 3, 3, 10), FRONT),
    Mosaic("B1", RAKING, _at(2026, 3, 4, 18), LEFT),
    Mosaic("P1", NORMAL, _at(2026, 6, 15, 10), FRONT),
    Mosaic("P1", RAKING, _at(2026, 6, 16, 18), LEFT),
    Mosaic("P2", NORMAL, _at(2026, 10, 19, 10), FRONT),
    Mosaic("P2", RAKING, _at(2026, 10, 20, 18), LEFT),
)


@dataclass(frozen=True)
class Detail:
    """A single frame: which place it shows, when, in which light."""

    key: str
    survey: str
    mode: str
    taken_at: datetime
    centre_in: tuple[float, float]


def details() -> tuple[Detail, ...]:
    """Return the frames of details, in pairs of like light before and after."""
    places = {damage.key: damage.place() for damage in all_damage()}
    tests = (_at(2026, 6, 22, 9), _at(2026, 6, 26, 15))
    pairs: Sequence[tuple[str, tuple[float, float], str, tuple[tuple[str, datetime], ...]]] = (
        (
            "c17",
            places["told-c17"],
            NORMAL,
            (("B1", _at(2026, 3, 5, 11)), ("P1", _at(2026, 6, 17, 11))),
        ),
        (
            "e05",
            places["told-e05"],
            NORMAL,
            (("B1", _at(2026, 3, 3, 14)), ("P1", _at(2026, 6, 15, 14))),
        ),
        (
            "kerb",
            places["shaken-plaster"],
            NORMAL,
            (("P1", _at(2026, 6, 17, 12)), ("P2", _at(2026, 10, 20, 12))),
        ),
        (
            "kerb-raking",
            places["shaken-plaster"],
            RAKING,
            (("P1", _at(2026, 6, 17, 18)), ("P2", _at(2026, 10, 20, 18))),
        ),
        (
            "salts",
            places["leak-salt-0"],
            NORMAL,
            (
                ("P1", _at(2026, 6, 19, 10)),
                ("P2", _at(2026, 10, 22, 10)),
                ("W1", _at(2026, 11, 17, 10)),
            ),
        ),
        ("smoke", (190.0, 140.0), NORMAL, (("P1", tests[0]), ("P1", tests[1]))),
    )
    return tuple(
        Detail(f"{key}-{number}", survey, mode, when, centre)
        for key, centre, mode, shots in pairs
        for number, (survey, when) in enumerate(shots, start=1)
    )


@lru_cache(maxsize=8)
def _sound_wall(window: Window, px_per_in: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the undamaged wall; colour in bytes, because all of it is kept from day to day."""
    colour, heights = paint(window, px_per_in)
    return np.rint(colour).astype(np.uint8), heights


def surface_on(
    day: date, damages: Sequence[Damage], *, window: Window, px_per_in: float
) -> Surface:
    """Return the wall as a day finds it: the sound painting with that day's damage and facings."""
    colour, heights = _sound_wall(window, px_per_in)
    surface = Surface(colour.astype(np.float32), heights.copy(), window, px_per_in)
    weather(surface, damages, day)
    for number, ring in enumerate(facings_on(day)):
        patch = patch_of(surface, ring, line_in=None, salt=900 + number)
        if patch is not None:
            PAINTERS["facing"](patch)
    return surface


def light(surface: Surface, mode: str, *, salt: int) -> np.ndarray:
    """Return what the sensor sees, 0..255 float32, before lens and noise."""
    if mode == RAKING:
        return _raking(surface, salt)
    return _normal(surface, salt)


def _slopes(heights: np.ndarray, px_per_in: float) -> np.ndarray:
    """Return the fall of the surface along x, in mils per inch."""
    slope = np.empty_like(heights)
    slope[:, 1:-1] = (heights[:, 2:] - heights[:, :-2]) * (px_per_in / 2)
    slope[:, 0], slope[:, -1] = slope[:, 1], slope[:, -2]
    return slope


def _normal(surface: Surface, salt: int) -> np.ndarray:
    x, y = _axes(surface)
    fall = 1.0 + 0.035 * sample(tile(6, 50, 300), x * 0.55 + salt * 13, y * 0.55)
    vignette = 1 - 0.05 * (np.mod(x + salt * 7, 84.0) / 42.0 - 1) ** 2
    relief = np.clip(1 + 0.0011 * _slopes(surface.heights, surface.px_per_in), 0.85, 1.15)
    cast = np.array([1.0 + 0.004 * (salt % 5), 1.0, 1.0 - 0.004 * (salt % 4)], np.float32)
    seen = surface.colour * (fall * vignette * relief)[..., None]
    seen *= cast
    return seen


def _raking(surface: Surface, salt: int) -> np.ndarray:
    """Return a warm, nearly grey picture: the lamp stands left of each bay and falls off across it."""
    x, y = _axes(surface)
    grey = surface.colour @ np.array([0.30, 0.59, 0.11], np.float32)
    flat = 0.50 * grey + 74.0
    shade = np.tanh(RAKING_GAIN * _slopes(surface.heights, surface.px_per_in) * 0.8)
    # Frames overlap, so that the lamp's fall-off across a bay is blended away at its ends.
    across = np.mod(x + 5.0 * (salt % 7), BAY_IN) / BAY_IN
    fall = (
        1.03
        - 0.13 * np.where(across < 0.8, across, 4 * (1 - across))
        + 0.04 * sample(tile(6, 50, 300), x * 0.6 + salt * 17, y * 0.6)
    )
    lit = flat * fall * (1 + 0.70 * shade)
    seen = surface.colour * (0.30 * 0.78 * fall * (1 + 0.5 * shade))[..., None]
    for channel, warmth in enumerate((1.06, 0.97, 0.83)):
        seen[..., channel] += 0.70 * warmth * lit
    return seen


def _axes(surface: Surface) -> tuple[np.ndarray, np.ndarray]:
    return grid_in(surface.window, surface.px_per_in)


def _expose(
    surface: Surface,
    mode: str,
    *,
    salt: int,
    seed: Sequence[int],
    noise: float,
    corners: float = 0.0,
) -> np.ndarray:
    """Return the picture in bytes with sensor noise, band by band; `corners` is how dark a lens leaves them."""
    rng = np.random.default_rng(list(seed))
    rows, columns = surface.heights.shape
    out = np.empty((rows, columns, 3), np.uint8)
    u = (np.arange(columns, dtype=np.float32) / columns - 0.5)[None, :]
    for first in range(0, rows, BAND_PX):
        band = _band(surface, slice(first, min(first + BAND_PX, rows)))
        v = (np.arange(first, first + len(band.heights), dtype=np.float32) / rows - 0.5)[:, None]
        seen = light(band, mode, salt=salt) * (1 - corners * (u**2 + v**2))[..., None]
        seen += rng.standard_normal(band.heights.shape, dtype=np.float32)[..., None] * noise
        out[first : first + len(band.heights)] = np.clip(seen, 0, 255)
    return out


def _band(surface: Surface, rows: slice) -> Surface:
    x0, _, x1, y1 = surface.window
    scale = surface.px_per_in
    window = (x0, y1 - rows.stop / scale, x1, y1 - rows.start / scale)
    return Surface(surface.colour[rows], surface.heights[rows], window, scale)


def _jpeg(image: Image.Image, quality: int = JPEG_QUALITY) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, optimize=False)
    return out.getvalue()


def mosaic(
    plan: Mosaic, damages: Sequence[Damage], *, px_per_in: float = MOSAIC_PX_PER_IN
) -> Picture:
    """Return one mosaic of the whole wall, put together from stretches on two threads."""
    _, y0, width_in, y1 = WHOLE_WALL
    day, number = plan.taken_at.date(), MOSAICS.index(plan)
    out = np.empty((round((y1 - y0) * px_per_in), round(width_in * px_per_in), 3), np.uint8)

    def fill(first_in: float) -> None:
        # A margin on both sides, so that damage across a seam is whole on either side of it.
        left, right = max(0.0, first_in - SEAM_IN), min(width_in, first_in + STRETCH_IN + SEAM_IN)
        window = (left, y0, right, y1)
        surface = surface_on(day, damages, window=window, px_per_in=px_per_in)
        seed = (1936, 70, number, round(first_in))
        seen = _expose(surface, plan.mode, salt=number, seed=seed, noise=1.6)
        skip, start = (round((first_in - x) * px_per_in) for x in (left, 0.0))
        count = round(STRETCH_IN * px_per_in)
        out[:, start : start + count] = seen[:, skip : skip + count]

    with ThreadPoolExecutor(max_workers=2) as pool:
        list(pool.map(fill, np.arange(0.0, width_in, STRETCH_IN).tolist()))
    image = Image.fromarray(out)
    if plan.survey == "F0":
        # From the floor with a long lens: half the sharpness, and the picture says so.
        image = image.reduce(2).resize(image.size, Image.Resampling.BILINEAR)
    quality = FLOOR_QUALITY if plan.survey == "F0" else JPEG_QUALITY
    return Picture(
        mosaic_key(plan), plan.survey, plan.mode, plan.taken_at, WHOLE_WALL, image.width, image.height,
        _jpeg(image, quality), lamp=plan.lamp, lamp_side=_side(plan.mode),
    )  # fmt: skip


def mosaic_pictures(
    *, skip: Container[str] = (), px_per_in: float = MOSAIC_PX_PER_IN
) -> Iterator[Picture]:
    """Take the mosaics one after another, but those whose key is to be skipped."""
    damages = all_damage()
    for plan in MOSAICS:
        if mosaic_key(plan) not in skip:
            yield mosaic(plan, damages, px_per_in=px_per_in)


def mosaic_key(plan: Mosaic) -> str:
    """Return a mosaic's name, such as mosaic-B1-raking."""
    return f"mosaic-{plan.survey}-{plan.mode}"


def _side(mode: str) -> str:
    return "left, 8°" if mode == RAKING else ""


FRAME_PX, FRAME_IN, FRAME_PX_PER_IN = (1200, 900), (32.0, 24.0), 32.0


def frame(plan: Detail, damages: Sequence[Damage]) -> Picture:
    """Return one frame of a detail: a little askew, darker at its corners, with sensor noise."""
    number = [shot.key for shot in details()].index(plan.key)
    window = _window_round(plan.centre_in)
    surface = surface_on(plan.taken_at.date(), damages, window=window, px_per_in=FRAME_PX_PER_IN)
    seen = _expose(
        surface, plan.mode, salt=number + 20, seed=(1936, 80, number), noise=2.6, corners=0.32
    )
    askew = _askew(Image.fromarray(seen), np.random.default_rng([1936, 81, number]))
    lamp = LEFT if plan.mode == RAKING else "ring flash, hand-held"
    return Picture(
        detail_key(plan), plan.survey, plan.mode, plan.taken_at, window, *askew.size,
        _jpeg(askew, 84), purpose=DETAIL, lamp=lamp, lamp_side=_side(plan.mode), taken_by="Tomas Sedge",
    )  # fmt: skip


def _window_round(centre_in: tuple[float, float]) -> Window:
    """Return a frame's window, moved where it would leave the wall."""
    half_x, half_y = FRAME_IN[0] / 2, FRAME_IN[1] / 2
    x = float(np.clip(round(centre_in[0]), half_x, WHOLE_WALL[2] - half_x))
    y = float(np.clip(round(centre_in[1]), half_y, WHOLE_WALL[3] - half_y))
    return (x - half_x, y - half_y, x + half_x, y + half_y)


def _askew(image: Image.Image, rng: np.random.Generator) -> Image.Image:
    """Return the frame as a hand-held camera sees it, its corners pulled in by up to 3 %."""
    w, h = image.size
    pull = rng.uniform(0.005, 0.03, 8) * np.array([w, h] * 4)
    corners = [
        (pull[0], pull[1]), (pull[2], h - pull[3]), (w - pull[4], h - pull[5]), (w - pull[6], pull[7]),
    ]  # fmt: skip
    quad = [float(value) for corner in corners for value in corner]
    return image.transform(FRAME_PX, Image.Transform.QUAD, quad, Image.Resampling.BICUBIC)


def detail_pictures(*, skip: Container[str] = ()) -> Iterator[Picture]:
    """Take the frames of details one after another, but those whose key is to be skipped."""
    damages = all_damage()
    for plan in details():
        if detail_key(plan) not in skip:
            yield frame(plan, damages)


def detail_key(plan: Detail) -> str:
    """Return a frame's name, such as detail-c17-1."""
    return f"detail-{plan.key}"
