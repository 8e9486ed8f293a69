"""How far do two colours differ for the eye, and how is a picture brought to a colour target?

sRGB (IEC 61966-2-1), CIE L*a*b* under D65 with the 2° observer, and the difference CIEDE2000
(Sharma, Wu & Dalal 2005). All take arrays whose last axis holds the three values. A difference of
pictures without a colour target is a hint at most: cameras see otherwise than eyes.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gridmap.errors import InvalidInput

Floats = NDArray[np.floating]

# sRGB primaries to CIE XYZ, white D65.  # source: IEC 61966-2-1:1999, from memory
_TO_XYZ: Final = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750],
     [0.0193339, 0.1191920, 0.9503041]]
)  # fmt: skip
_WHITE: Final = _TO_XYZ.sum(axis=1)  # so that white is exactly a* = b* = 0
_KAPPA, _EPSILON = 24389 / 27, 216 / 24389  # CIE 15:2004, from memory
_25_TO_7 = 25.0**7
LEAST_TARGET_LIGHT, MOST_TARGET_LIGHT = 0.02, 0.98  # linear; beyond, a patch is lost or burnt out


def _to_linear(encoded: Floats) -> Floats:
    low = encoded / 12.92
    return np.asarray(np.where(encoded <= 0.04045, low, ((encoded + 0.055) / 1.055) ** 2.4))


_LINEAR_OF_BYTE: Final = _to_linear(np.arange(256) / 255).astype(np.float32)


def srgb_to_linear(rgb: ArrayLike) -> Floats:
    """Return linear light, 0 to 1, of sRGB bytes, or of numbers from 0 to 1."""
    values = np.asarray(rgb)
    if values.dtype == np.uint8:
        return np.asarray(_LINEAR_OF_BYTE[values])
    return _to_linear(values.astype(float))


def linear_to_srgb(light: Floats) -> Floats:
    """Return sRGB numbers from 0 to 1 of linear light; what is beyond is clipped."""
    held = np.clip(light, 0.0, 1.0)
    return np.asarray(np.where(held <= 0.0031308, held * 12.92, 1.055 * held ** (1 / 2.4) - 0.055))


def linear_to_lab(light: Floats) -> Floats:
    """Return L*, a*, b* of linear light in sRGB's primaries."""
    scaled = (light @ (_TO_XYZ / _WHITE[:, None]).T.astype(light.dtype)).astype(light.dtype)
    bent = np.where(scaled > _EPSILON, np.cbrt(scaled), (_KAPPA * scaled + 16) / 116)
    x, y, z = bent[..., 0], bent[..., 1], bent[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def srgb_to_lab(rgb: ArrayLike) -> Floats:
    """Return L*, a*, b* of sRGB bytes, or of numbers from 0 to 1.

    >>> [round(float(value), 1) for value in srgb_to_lab([1.0, 1.0, 1.0])]
    [100.0, 0.0, 0.0]
    """
    return linear_to_lab(srgb_to_linear(rgb))


def lab_to_srgb(lab: ArrayLike) -> Floats:
    """Return sRGB numbers from 0 to 1 of L*, a*, b*; what sRGB cannot show is clipped."""
    values = np.asarray(lab, float)
    y = (values[..., 0] + 16) / 116
    bent = np.stack([y + values[..., 1] / 500, y, y - values[..., 2] / 200], axis=-1)
    cubes = bent**3
    scaled = np.where(cubes > _EPSILON, cubes, (116 * bent - 16) / _KAPPA)
    return linear_to_srgb((scaled * _WHITE) @ np.linalg.inv(_TO_XYZ).T)


def ciede2000(lab_1: ArrayLike, lab_2: ArrayLike) -> Floats:
    """Return the colour difference CIEDE2000, with all parametric factors 1.

    >>> round(float(ciede2000([50.0, 2.5, 0.0], [73.0, 25.0, -18.0])), 4)
    27.1492
    """
    first, second = _as_floats(lab_1), _as_floats(lab_2)
    l_1, a_1, b_1 = first[..., 0], first[..., 1], first[..., 2]
    l_2, a_2, b_2 = second[..., 0], second[..., 1], second[..., 2]
    stretch = _stretch((np.hypot(a_1, b_1) + np.hypot(a_2, b_2)) / 2)
    a_1, a_2 = a_1 * stretch, a_2 * stretch
    c_1, c_2 = np.hypot(a_1, b_1), np.hypot(a_2, b_2)
    hue_1, hue_2 = (np.arctan2(b, a) % (2 * np.pi) for a, b in ((a_1, b_1), (a_2, b_2)))
    grey = c_1 * c_2 == 0
    turn = hue_2 - hue_1
    turn = np.where(turn > np.pi, turn - 2 * np.pi, np.where(turn < -np.pi, turn + 2 * np.pi, turn))
    turn = np.where(grey, 0.0, turn).astype(first.dtype)
    delta_l, delta_c = l_2 - l_1, c_2 - c_1
    delta_h = 2 * np.sqrt(c_1 * c_2) * np.sin(turn / 2)
    mean_c = (c_1 + c_2) / 2
    hue = _mean_hue(hue_1, hue_2, grey)
    off_middle = ((l_1 + l_2) / 2 - 50) ** 2
    in_l = delta_l / (1 + 0.015 * off_middle / np.sqrt(20 + off_middle))
    in_c = delta_c / (1 + 0.045 * mean_c)
    in_h = delta_h / (1 + 0.015 * mean_c * _hue_weight(hue))
    squares = in_l**2 + in_c**2 + in_h**2 + _rotation(hue, mean_c) * in_c * in_h
    return np.asarray(np.sqrt(np.maximum(squares, 0)))


def _as_floats(lab: ArrayLike) -> Floats:
    values = np.asarray(lab)
    return values if values.dtype == np.float32 else values.astype(float)


def _stretch(mean_chroma: Floats) -> Floats:
    """Return the factor of a* that makes greys even."""
    power = mean_chroma**7
    return np.asarray(1.5 - 0.5 * np.sqrt(power / (power + _25_TO_7)))


def _mean_hue(hue_1: Floats, hue_2: Floats, grey: NDArray[np.bool_]) -> Floats:
    total, apart = hue_1 + hue_2, np.abs(hue_1 - hue_2)
    round_the_back = np.where(total < 2 * np.pi, total + 2 * np.pi, total - 2 * np.pi)
    doubled = np.where(apart > np.pi, round_the_back, total)
    return np.asarray(np.where(grey, total, doubled / 2).astype(hue_1.dtype))


def _hue_weight(hue: Floats) -> Floats:
    degree = np.pi / 180
    return np.asarray(
        1
        - 0.17 * np.cos(hue - 30 * degree)
        + 0.24 * np.cos(2 * hue)
        + 0.32 * np.cos(3 * hue + 6 * degree)
        - 0.20 * np.cos(4 * hue - 63 * degree)
    )


def _rotation(hue: Floats, mean_chroma: Floats) -> Floats:
    """Return the term by which blue differences turn."""
    turn = np.pi / 6 * np.exp(-(((np.degrees(hue) - 275) / 25) ** 2))
    power = mean_chroma**7
    return np.asarray(-np.sin(2 * turn) * 2 * np.sqrt(power / (power + _25_TO_7)))


def target_gain(seen_rgb: ArrayLike, true_rgb: ArrayLike) -> Floats:
    """Return one gain per channel, in linear light, that brings a target's patch to its true value.

    Both are sRGB bytes of a neutral patch. Raises InvalidInput for one too dark or burnt out.
    """
    seen, true = (
        srgb_to_linear(np.asarray(seen_rgb, np.uint8)),
        srgb_to_linear(np.asarray(true_rgb, np.uint8)),
    )
    if seen.min() < LEAST_TARGET_LIGHT or seen.max() > MOST_TARGET_LIGHT:
        raise InvalidInput(
            f"The target's patch is seen as {np.asarray(seen_rgb).tolist()}: too dark or burnt "
            "out. Choose a grey patch between black and white.",
            field="target",
        )
    return np.asarray(true / seen)


def scaled_to_target(picture: NDArray[np.uint8], gain: Floats) -> NDArray[np.uint8]:
    """Return a picture with its light scaled per channel."""
    light = srgb_to_linear(picture) * np.asarray(gain, np.float32)
    return np.asarray(np.rint(linear_to_srgb(light) * 255), np.uint8)
