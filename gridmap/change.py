"""Where may the wall have changed between two pictures that lie on each other?

The later picture is brought to the earlier one's light, broad part by broad part; what then differs
for the eye (CIEDE2000) beyond the usual spread of the difference becomes a hint: a place to look
at, never a finding. Faint losses are missed about a third of the time. Rings are in pixels of the
earlier picture, from the outer corner of its upper left one. Nothing here knows the record.
"""

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from gridmap.colour import ciede2000, linear_to_lab, srgb_to_linear
from gridmap.errors import InvalidInput

Picture = NDArray[np.uint8]
Mask = NDArray[np.uint8]
Floats = NDArray[np.float32]

SEARCHED_PX_PER_IN = 32.0  # no finer: grain averages away, and 1/4 in still has 8 px
LIGHT_IN = 1.5  # deviation of the Gaussian that follows the light
LEAST_LIGHT = 0.004  # linear; darker pixels say nothing about light
SMOOTH_IN = 0.03
DEVIATIONS = 8.0  # beyond the median difference
LEAST_DELTA_E = 2.5  # "1 to 2 for the expert only", colour-science documentation
FULL_DELTA_E = 25.0  # a strength of 1
NORMAL_MAD = 1.4826  # of a normal distribution's deviation in its median absolute deviation
EDGE_PX = 0.12  # of the searched scale: what lens and grain let an edge stray
EDGE_ERRORS = 3.0  # registration errors that an edge is allowed to stray
SOFT_IN, SOFT_PX = 0.06, 2.0  # reach of the blur at an edge
HALF = 0.5
OPENED_IN = 0.06
JOINED_IN = 0.06
SMALLEST_IN = 0.1  # across; smaller specks are grain
SMALLEST_PX = 5.0  # across; smaller specks are grain, or waves that a JPEG file adds at edges
MOST_HINTS = 200


@dataclass(frozen=True)
class Hint:
    """A candidate change: its ring and size in pixels of the earlier picture.

    `strength` is 0 to 1, full at a mean difference of 25. `below_error` marks one that is smaller
    than what the registration may be off.
    """

    ring_px: tuple[tuple[float, float], ...]
    area_px: float
    strength: float
    mean_delta_e: float
    longest_px: float
    below_error: bool

    @property
    def across_px(self) -> float:
        """Return the diameter of a disc of its size."""
        return 2 * math.sqrt(self.area_px / math.pi)


def find_changes(
    before: Picture,
    after_on_before: Picture,
    *,
    valid: Mask,
    px_per_in: float,
    registration_error_px: float,
    own_px_per_in: float | None = None,
) -> list[Hint]:
    """Return hints, the strongest first; `valid` is 0 where the pictures do not both show the wall.

    `own_px_per_in` is the resolution of the coarser picture where it was drawn finer than it is.
    Raises InvalidInput for pictures that do not lie on each other.
    """
    scale = _searched_scale(before, after_on_before, valid, px_per_in)
    delta_e, usable = _difference(before, after_on_before, valid, scale, px_per_in * scale)
    if not usable.any():
        return []
    stray_px = math.hypot(EDGE_PX, EDGE_ERRORS * registration_error_px * scale)
    strayed = _strayed(before, scale, stray_px)
    own = min(own_px_per_in or px_per_in, px_per_in * scale)
    soft_px = max(SOFT_IN, SOFT_PX / own) * px_per_in * scale
    shown = _beyond_spread(delta_e, strayed, usable, px_per_in=px_per_in * scale, soft_px=soft_px)
    rings, _ = cv2.findContours(shown, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    smallest_px = max(SMALLEST_IN, SMALLEST_PX / own) * px_per_in
    found = [_hint(np.asarray(ring, np.int32), delta_e, scale) for ring in rings]
    kept = [
        replace(hint, below_error=hint.across_px < 2 * registration_error_px)
        for hint in found
        if hint.across_px >= smallest_px
    ]
    return sorted(kept, key=lambda hint: (-hint.strength, hint.ring_px))[:MOST_HINTS]


def difference_picture(
    before: Picture, after_on_before: Picture, *, valid: Mask, px_per_in: float
) -> Picture:
    """Return the difference as grey: white where nothing differs, black at a difference of 25."""
    scale = _searched_scale(before, after_on_before, valid, px_per_in)
    delta_e, usable = _difference(before, after_on_before, valid, scale, px_per_in * scale)
    shade = np.where(usable, 255 - np.clip(delta_e / FULL_DELTA_E, 0, 1) * 255, 128)
    size = (before.shape[1], before.shape[0])
    grey = cv2.resize(shade.astype(np.uint8), size, interpolation=cv2.INTER_LINEAR)
    return np.asarray(cv2.cvtColor(grey, cv2.COLOR_GRAY2RGB), np.uint8)


def _searched_scale(before: Picture, after: Picture, valid: Mask, px_per_in: float) -> float:
    """Return by how much pictures shrink before they are searched."""
    if before.shape != after.shape or before.shape[:2] != valid.shape:
        raise InvalidInput("The two pictures and their mask must have one size.", field="after")
    if not px_per_in > 0:
        raise InvalidInput(f"px_per_in is {px_per_in!r}; it must be above 0.", field="px_per_in")
    return min(1.0, SEARCHED_PX_PER_IN / px_per_in)


def _difference(
    before: Picture, after: Picture, valid: Mask, scale: float, px_per_in: float
) -> tuple[Floats, NDArray[np.bool_]]:
    """Return CIEDE2000 by pixel at the searched scale, in one light, and where it can be used."""
    light_before, light_after = (_light(picture, scale) for picture in (before, after))
    size = light_before.shape[1::-1]
    seen = cv2.resize(
        np.where(valid > 0, 255, 0).astype(np.uint8), size, interpolation=cv2.INTER_AREA
    )
    usable = seen == 255
    quiet = usable.astype(np.float32)
    for _ in range(2):
        gain = _light_gain(light_before, light_after, quiet, LIGHT_IN * px_per_in)
        delta_e = _delta_e(light_before, light_after * gain, px_per_in)
        limit = _limit(delta_e[usable]) if usable.any() else 0.0
        quiet = (usable & (delta_e < limit)).astype(np.float32)
    return delta_e, usable


def _light(picture: Picture, scale: float) -> Floats:
    size = (max(round(picture.shape[1] * scale), 1), max(round(picture.shape[0] * scale), 1))
    small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
    return np.asarray(srgb_to_linear(np.asarray(small, np.uint8)), np.float32)


def _light_gain(before: Floats, after: Floats, quiet: Floats, sigma_px: float) -> Floats:
    """Return by how much the light differs, broadly, per channel, from what has not changed."""
    step = max(1, math.floor(sigma_px / 6))
    size = (max(before.shape[1] // step, 1), max(before.shape[0] // step, 1))
    means = []
    for light in (before, after):
        small = cv2.resize(light * quiet[..., None], size, interpolation=cv2.INTER_AREA)
        means.append(cv2.GaussianBlur(small, (0, 0), sigma_px / step))
    gain = (means[0] + 1e-6) / (means[1] + 1e-6)
    return np.asarray(cv2.resize(gain, before.shape[1::-1], interpolation=cv2.INTER_LINEAR))


def _delta_e(before: Floats, after: Floats, px_per_in: float) -> Floats:
    sigma = SMOOTH_IN * px_per_in
    labs = [linear_to_lab(_blurred(light, sigma)) for light in (before, after)]
    return np.asarray(ciede2000(*labs), np.float32)


def _blurred(light: Floats, sigma_px: float) -> Floats:
    return np.asarray(cv2.GaussianBlur(light, (0, 0), sigma_px), np.float32)


def _strayed(before: Picture, scale: float, stray_px: float) -> Floats:
    """Return by how much the colour may differ where all lies astray by so much: L*, a*, b*.

    No more than the slope gives, and no more than there is within reach.
    """
    lab = np.asarray(linear_to_lab(_blurred(_light(before, scale), 0.7)), np.float32)
    steps = [cv2.Sobel(lab, cv2.CV_32F, dx, 1 - dx, ksize=3, scale=1 / 8) for dx in (0, 1)]
    slope = np.sqrt((steps[0] ** 2 + steps[1] ** 2).sum(axis=-1)) * stray_px
    near = _disc(2 * math.ceil(stray_px))
    reach = np.sqrt(((cv2.dilate(lab, near) - cv2.erode(lab, near)) ** 2).sum(axis=-1))
    return np.asarray(np.minimum(slope, reach), np.float32)


def _limit(delta_e: Floats) -> float:
    """Return the difference beyond which a pixel is out of the usual."""
    middle = float(np.median(delta_e))
    spread = NORMAL_MAD * float(np.median(np.abs(delta_e - middle)))
    return max(LEAST_DELTA_E, middle + DEVIATIONS * spread)


def _beyond_spread(
    delta_e: Floats,
    strayed: Floats,
    usable: NDArray[np.bool_],
    *,
    px_per_in: float,
    soft_px: float,
) -> Mask:
    """Return 255 where the difference is out of the usual over more than a thin line.

    A picture is soft: a change's edge lies where the difference falls to half of what it is beside.
    """
    unusual = delta_e - strayed
    beside = cv2.dilate(delta_e, _disc(2 * soft_px))
    changed = usable & (unusual > _limit(unusual[usable])) & (delta_e > HALF * beside)
    mask = changed.astype(np.uint8) * 255
    opened = cv2.morphologyEx(mask, cv2.MORPH_OPEN, _disc(OPENED_IN * px_per_in))
    return np.asarray(cv2.morphologyEx(opened, cv2.MORPH_CLOSE, _disc(JOINED_IN * px_per_in)))


def _disc(across_px: float) -> Mask:
    side = max(1, 2 * round(across_px / 2) + 1)
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side)), np.uint8)


def _hint(ring: NDArray[np.int32], delta_e: Floats, scale: float) -> Hint:
    x, y, width, height = cv2.boundingRect(ring)
    inside = np.zeros((height, width), np.uint8)
    cv2.drawContours(inside, [ring], -1, 1, cv2.FILLED, offset=(-x, -y))
    mean = float(delta_e[y : y + height, x : x + width][inside > 0].mean())
    fine = cv2.resize(inside, None, fx=3, fy=3, interpolation=cv2.INTER_NEAREST)
    edges, _ = cv2.findContours(fine, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    edge = cv2.approxPolyDP(max(edges, key=len), 1.5, True)[:, 0]
    places = ((edge + 0.5) / 3 + (x, y)) / scale
    (_, _), sides, _ = cv2.minAreaRect(ring)
    return Hint(
        ring_px=tuple((round(float(a), 2), round(float(b), 2)) for a, b in places),
        area_px=float(inside.sum()) / scale**2,
        strength=min(1.0, mean / FULL_DELTA_E),
        mean_delta_e=mean,
        longest_px=(max(sides) + 1) / scale,
        below_error=False,
    )
