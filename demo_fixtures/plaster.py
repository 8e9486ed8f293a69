"""How do trowelled lime plaster and a brush full of lime colour look, close to and from afar?

Texture is a fixed function of the place on the wall, so that a detail agrees with the whole.
Heights are in mils (thousandths of an inch).
"""

from functools import cache

import numpy as np

from demo_fixtures.canvas import Window

TILE = 1024
SEED = 1936


def grid_in(window: Window, px_per_in: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the wall coordinates of pixel centres: x as a row, y as a column, float32."""
    columns = round((window[2] - window[0]) * px_per_in)
    rows = round((window[3] - window[1]) * px_per_in)
    x = window[0] + (np.arange(columns, dtype=np.float32) + 0.5) / px_per_in
    y = window[3] - (np.arange(rows, dtype=np.float32) + 0.5) / px_per_in
    return x[None, :].astype(np.float32), y[:, None].astype(np.float32)


@cache
def tile(salt: int, finest_px: float, coarsest_px: float) -> np.ndarray:
    """Return a seamless noise tile, mean 0 and deviation 1, with a band of wavelengths in pixels."""
    noise = np.random.default_rng([SEED, salt]).standard_normal((TILE, TILE))
    fy, fx = np.fft.fftfreq(TILE)[:, None], np.fft.rfftfreq(TILE)[None, :]
    wavelength = 1 / np.maximum(np.hypot(fx, fy), 1e-6)
    band = np.exp(-((finest_px / wavelength) ** 2)) * (
        1 - np.exp(-((coarsest_px / wavelength) ** 2))
    )
    smooth = np.fft.irfft2(np.fft.rfft2(noise) * band, s=(TILE, TILE))
    return ((smooth - smooth.mean()) / smooth.std()).astype(np.float32)


def sample(noise: np.ndarray, u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """Return the tile's value between its pixels, repeated without seam."""
    left, low = np.floor(u), np.floor(v)
    du, dv = u - left, v - low
    i, j = left.astype(np.int32) & (TILE - 1), low.astype(np.int32) & (TILE - 1)
    i1, j1 = (i + 1) & (TILE - 1), (j + 1) & (TILE - 1)
    flat = noise.ravel()
    j, j1 = j * TILE, j1 * TILE
    lower = flat[j + i] * (1 - du) + flat[j + i1] * du
    upper = flat[j1 + i] * (1 - du) + flat[j1 + i1] * du
    return lower * (1 - dv) + upper * dv


def relief_mil(window: Window, px_per_in: float) -> np.ndarray:
    """Return the height of the sound plaster: broad swell, trowel sweeps, grain, the lift join."""
    x, y = grid_in(window, px_per_in)
    swell = sample(tile(1, 60, 400), x * 4.0, y * 4.0)
    bend = y + 7.0 * np.sin(x * 0.045 + 0.02 * y) + 4.0 * np.sin(x * 0.021)
    trowel = sample(tile(2, 16, 90), (x + 0.25 * y) * 3.6, bend * 9.0)
    grain = sample(tile(3, 3, 14), x * 12.0, y * 12.0)
    heights = 26.0 * swell + 6.5 * trowel + 1.6 * grain
    join_y = 83.5 + 0.7 * np.sin(x / 21)
    return (heights + 16.0 / (1 + np.exp(np.clip((y - join_y) * 5.0, -30, 30)))).astype(np.float32)


def brushed(
    colour: np.ndarray,
    stroke_rad: np.ndarray,
    *,
    heights_mil: np.ndarray,
    window: Window,
    px_per_in: float,
) -> np.ndarray:
    """Return flat colour as lime colour laid with a brush: bristle streaks, thin places, bloom."""
    x, y = grid_in(window, px_per_in)
    cos, sin = np.cos(stroke_rad), np.sin(stroke_rad)
    along, across = x * cos + y * sin, y * cos - x * sin
    bristle = sample(tile(4, 2, 12), along * 2.2, across * 22.0)
    load = sample(tile(5, 12, 90), along * 3.0, across * 9.0)
    cloud = sample(tile(6, 50, 300), x * 5.0, y * 5.0)
    thin = np.clip(heights_mil - 24.0 * sample(tile(1, 60, 400), x * 4.0, y * 4.0), 0, 22) / 22.0
    gain = 1 + 0.028 * bristle + 0.030 * load + 0.022 * cloud
    out = colour * gain[..., None]
    lime = np.array([238, 229, 208], np.float32)
    veil = np.clip(0.035 + 0.035 * load + 0.05 * thin + 0.02 * cloud, 0, 0.25)[..., None]
    return np.clip(out * (1 - veil) + lime * veil, 0, 255).astype(np.float32)
