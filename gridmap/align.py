"""Where on the later picture does each pixel of the earlier one lie, and how surely?

Features at half size give a start; a grid of windows, each laid on its like by phase correlation
and then by least squares, gives the rest; a smooth warp is fitted to them. Light alone may differ
between the pictures. Where light and detail do not allow an answer, `NotComparable` says why.
Pixels count from the outer corner of the upper left pixel. This module must not judge what changed.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from gridmap.errors import InvalidInput, PontataError
from gridmap.warp import Warp, fit_warp
from gridmap.windows import Detail, measure, measure_finely, window_corners

Picture = NDArray[np.uint8]
Mask = NDArray[np.uint8]
Array = NDArray[np.float64]

SMALLEST_PX, LARGEST_PX = 256, 16_000
FEATURES = 2500
RATIO = 0.8  # of the best to the second-best match of a feature (Lowe 2004, from memory)
MATCHED_WITHIN_PX = 5.0
LEAST_CONTRAST = 0.02  # of a feature, of the range of grey
FEWEST_MATCHES = 14
FLAT_DEVIATION = 1.0  # grey levels of 255 that are left when the grain is smoothed away
DETAIL_PX = 12.0  # detail finer than this counts, broader light and shade does not
# Sides of a window that OpenCV transforms as they are; it pads others, to an odd side too.
WINDOW_SIDES_PX = (128, 96, 80, 64, 48, 40, 32)
FINE_PX = 60  # of a window for the last fraction, in a picture of 900 px and more
FULL_SIZE_PX, SMALLEST_FINE_PX = 900, 24
FINE_ROUNDS = 3
FEWEST_WINDOWS = 20
LEAST_COVERAGE = 0.35  # of the earlier picture that the later one shows
LEAST_LIKENESS = 0.4  # median correlation of the windows' detail
LEAST_AGREEING = 0.5  # of the windows with detail
LARGEST_ERROR_PX = 3.0
WHOLLY = 250  # of 255: the weights of a warp do not add up to the last bit
FLOOR_PX = 0.01  # resampling by 1/32 px
LARGEST_ZOOM = 3.0


class NotComparable(PontataError):
    """Two pictures cannot be laid on each other well enough to be compared."""


@dataclass(frozen=True)
class Registration:
    """How the later picture lies on the earlier one.

    `error_px` is the root mean square over the picture of the distance that a place may be off.
    """

    warp: Warp
    error_px: float
    windows: int
    agreeing: int
    coverage: float
    likeness: float

    @property
    def words(self) -> str:
        """Say what the registration rests on."""
        return (
            f"{self.agreeing} of {self.windows} windows agree; {self.coverage:.0%} of the picture "
            f"is seen in both; likeness of detail {self.likeness:.2f}."
        )


def register(
    before: Picture,
    after: Picture,
    *,
    valid_before: Mask | None = None,
    valid_after: Mask | None = None,
) -> Registration:
    """Lay the later picture on the earlier one. A mask is 0 where its picture shows nothing.

    Raises NotComparable with the reason, InvalidInput for a picture of a wrong size or kind.
    """
    _check(before, "before", "The earlier picture")
    _check(after, "after", "The later picture")
    reach_before, reach_after = _reach(before, valid_before), _reach(after, valid_after)
    _refuse_flat(before, reach_before, "earlier")
    _refuse_flat(after, reach_after, "later")
    detail_before, detail_after = detail_of(before), detail_of(after)
    found = _start(detail_before, detail_after, reach_before, reach_after)
    for finely in (False, *(True,) * FINE_ROUNDS):
        measured = _measured(
            found,
            detail_before,
            detail_after,
            reach_before=reach_before,
            reach_after=reach_after,
            finely=finely,
        )
        found = measured.warp
    _refuse_unlike(measured)
    return measured


def apply(
    registration: Registration, after: Picture, *, valid_after: Mask | None = None
) -> tuple[Picture, Mask]:
    """Return the later picture drawn on the earlier one's frame, and where it reaches."""
    pixels = registration.warp.draw(after, flags=cv2.INTER_CUBIC)
    reach = _drawn_reach(registration.warp, _reach(after, valid_after))
    return np.asarray(pixels, np.uint8), reach


def _measured(
    warp: Warp,
    before: Detail,
    after: Detail,
    *,
    reach_before: Mask,
    reach_after: Mask,
    finely: bool,
) -> Registration:
    """Return a better registration, from where the windows of one lie on the other."""
    both = np.asarray(cv2.bitwise_and(_drawn_reach(warp, reach_after), reach_before), np.uint8)
    coverage = float((both > 0).sum() / max(int((reach_before > 0).sum()), 1))
    _refuse_little_overlap(coverage)
    seen = np.asarray(warp.draw(after, flags=cv2.INTER_CUBIC), np.float32)
    if finely:
        window_px = max(SMALLEST_FINE_PX, round(FINE_PX * _size_share(before)))
        windows = measure_finely(before, seen, both, window_px=window_px)
    else:
        share_px = WINDOW_SIDES_PX[0] * _size_share(before)
        window_px = next(
            (side for side in WINDOW_SIDES_PX if side <= share_px), WINDOW_SIDES_PX[-1]
        )
        windows = measure(before, seen, window_corners(both, window_px), window_px=window_px)
    _refuse_few(len(windows.likeness))
    places = windows.middles_px
    fit = fit_warp(places, warp.through(places + windows.offsets_px), windows.hold, start=warp)
    return Registration(
        warp=fit.warp,
        error_px=float(np.hypot(fit.error_px, FLOOR_PX)),
        windows=len(windows.likeness),
        agreeing=int((fit.weights > 0).sum()),
        coverage=coverage,
        likeness=float(np.median(windows.likeness)),
    )


def _size_share(picture: Detail) -> float:
    """Return by how much windows shrink in a small picture."""
    return min(1.0, min(picture.shape[:2]) / FULL_SIZE_PX)


def detail_of(picture: Picture) -> Detail:
    """Return a picture's fine detail, of even contrast, free from broad light and shade."""
    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY).astype(np.float32)
    fine = cv2.GaussianBlur(grey, (0, 0), 0.8) - _broad(grey, DETAIL_PX)
    spread = cv2.sqrt(_broad(fine * fine, 2 * DETAIL_PX))
    return np.asarray(np.clip(fine / (spread + 1.0), -3, 3), np.float32)


def _broad(values: Detail, sigma_px: float) -> Detail:
    """Return a wide Gaussian mean, reckoned at a quarter of the size."""
    height, width = values.shape
    quarter = (max(width // 4, 1), max(height // 4, 1))
    small = cv2.resize(values, quarter, interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), sigma_px / 4)
    return np.asarray(cv2.resize(small, (width, height), interpolation=cv2.INTER_LINEAR))


def _start(before: Detail, after: Detail, reach_before: Mask, reach_after: Mask) -> Warp:
    """Return a first homography from features at half size."""
    places, marks = _features(before, reach_before)
    other_places, other_marks = _features(after, reach_after)
    good: list[cv2.DMatch] = []
    if min(len(places), len(other_places)) >= FEWEST_MATCHES:
        pairs = cv2.BFMatcher(cv2.NORM_L2).knnMatch(marks, other_marks, k=2)
        good = [best for best, second in pairs if best.distance < RATIO * second.distance]
    if len(good) >= FEWEST_MATCHES:
        source = places[[match.queryIdx for match in good]]
        target = other_places[[match.trainIdx for match in good]]
        found, inside = cv2.findHomography(source, target, cv2.USAC_MAGSAC, MATCHED_WITHIN_PX)
        if found is not None and int(inside.sum()) >= FEWEST_MATCHES:
            h = np.asarray(found, np.float64)
            if _plausible(h, before.shape):
                return Warp(h, (before.shape[1], before.shape[0]))
    raise NotComparable(
        "No common detail was found: the pictures show different places, or the light differs too "
        "much. Check the cell and the lamp's side of both."
    )


def _features(detail: Detail, reach: Mask) -> tuple[Array, NDArray[np.float32]]:
    """Return the places [px] of features, found at half size, and their marks."""
    height, width = detail.shape
    half = (width // 2, height // 2)
    small = cv2.resize(detail, half, interpolation=cv2.INTER_AREA)
    grey = np.clip(small * 42 + 128, 0, 255).astype(np.uint8)
    mask = cv2.resize(reach, half, interpolation=cv2.INTER_NEAREST)
    finder = cv2.SIFT.create(nfeatures=FEATURES, contrastThreshold=LEAST_CONTRAST)
    points, marks = finder.detectAndCompute(grey, mask)
    places = np.array([point.pt for point in points], float).reshape(-1, 2) + 0.5
    return places * (width / half[0], height / half[1]), np.asarray(marks)


def _plausible(h: Array, shape: tuple[int, ...]) -> bool:
    height, width = shape[:2]
    corners = np.array([(0, 0, 1), (width, 0, 1), (width, height, 1), (0, height, 1.0)]) @ h.T
    if not (corners[:, 2] > 0).all():
        return False
    ends = (corners[:, :2] / corners[:, 2:]).astype(np.float32)
    area = float(cv2.contourArea(ends, oriented=True)) / (width * height)
    return 1 / LARGEST_ZOOM**2 < area < LARGEST_ZOOM**2 and bool(cv2.isContourConvex(ends))


def _reach(picture: Picture, valid: Mask | None) -> Mask:
    if valid is None:
        return np.full(picture.shape[:2], 255, np.uint8)
    return np.asarray(np.where(valid > 0, 255, 0), np.uint8)


def _drawn_reach(warp: Warp, reach: Mask) -> Mask:
    drawn = warp.draw(reach, flags=cv2.INTER_LINEAR)
    return np.asarray(np.where(np.asarray(drawn) >= WHOLLY, 255, 0), np.uint8)


def _check(picture: Picture, field: str, name: str) -> None:
    if picture.ndim != 3 or picture.shape[2] != 3 or picture.dtype != np.uint8:
        raise InvalidInput(f"{name} must have three colours of 8 bits each.", field=field)
    if min(picture.shape[:2]) < SMALLEST_PX or max(picture.shape[:2]) > LARGEST_PX:
        raise InvalidInput(
            f"{name} is {picture.shape[1]} by {picture.shape[0]} px; each side must have from "
            f"{SMALLEST_PX} to {LARGEST_PX:,} px.",
            field=field,
        )


def _refuse_flat(picture: Picture, reach: Mask, name: str) -> None:
    grey = cv2.GaussianBlur(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY), (0, 0), 3)
    seen = grey[reach > 0]
    if not seen.size or float(seen.std()) < FLAT_DEVIATION:
        raise NotComparable(
            f"The {name} picture shows one flat colour: there is no detail to hold on to."
        )


def _refuse_little_overlap(coverage: float) -> None:
    if coverage < LEAST_COVERAGE:
        raise NotComparable(
            f"The pictures share {coverage:.0%} of the earlier one; at least {LEAST_COVERAGE:.0%} "
            "is needed. Choose pictures of the same place."
        )


def _refuse_few(windows: int) -> None:
    if windows < FEWEST_WINDOWS:
        raise NotComparable(
            f"Only {windows} windows show detail in both pictures; {FEWEST_WINDOWS} are needed. "
            "Choose sharper pictures or a larger piece of wall."
        )


def _refuse_unlike(found: Registration) -> None:
    share = found.agreeing / found.windows
    if found.likeness < LEAST_LIKENESS or share < LEAST_AGREEING:
        raise NotComparable(
            f"The pictures do not show the same detail (likeness {found.likeness:.2f}, "
            f"{share:.0%} of the windows agree): the light comes from another side, or the "
            "surface differs all over. Compare pictures taken in the same light."
        )
    if found.error_px > LARGEST_ERROR_PX:
        raise NotComparable(
            f"The pictures can be laid on each other to {found.error_px:.2f} px only; the limit "
            f"is {LARGEST_ERROR_PX} px. Choose sharper pictures."
        )
