"""Where on the wall does a photograph lie, how surely, and how does it look drawn square to it?

A photograph is placed by points that a person marked. Pixels count from the outer corner of the
upright picture's upper left pixel, whose centre is at (0.5, 0.5); the wall is in inches. It is a
plane here: a bulge shows as a pattern of residuals, and the fit says so. This module must not open
files.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from gridmap.disagreement import Marked, leave_one_out, statements
from gridmap.errors import InvalidInput
from gridmap.homography import (
    Array,
    covariance,
    depths,
    estimate,
    inverse,
    jacobian_by_point,
    place_covariance,
    through,
)
from gridmap.lens import Lens
from gridmap.marked_points import MarkedPoint, check_points, check_sense, check_view

__all__ = ["Fit", "Lens", "MarkedPoint", "Rectified", "Sight", "fit_homography", "rectify"]

Bounds = tuple[float, float, float, float]
Matrix = tuple[tuple[float, float, float], ...]
Interpolation = Literal["linear", "cubic"]

MARKING_ERROR_PX = 1.0  # one standard deviation of a mark in each direction, with a magnifier
LARGEST_MARKING_ERROR_PX = 100.0
MOST_PX = 100_000_000  # of a rectified picture: 300 MB
LONGEST_SIDE_PX = 32_000  # OpenCV's warp counts pixels in 16 bits
LEAST_PX_PER_IN, MOST_PX_PER_IN = 1.0, 1_200.0
EDGE_PX = 1.0  # nearer to the photograph's edge, interpolation takes in what is beyond it
SUBPIXEL_BITS = 4  # sixteenths of a pixel
EDGE_STEPS = 16  # of a side of the picture, where a lens bends it
_FLAGS = {"linear": cv2.INTER_LINEAR, "cubic": cv2.INTER_CUBIC}
_HALF_PX = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])  # pixel centres to pixel corners


@dataclass(frozen=True)
class Sight:
    """A photograph's place: straightened upright pixels to wall inches, and its lens."""

    homography: Matrix
    lens: Lens | None

    @property
    def matrix(self) -> Array:
        return np.array(self.homography)


@dataclass(frozen=True)
class Fit(Sight):
    """A place found from marked points, and how well they agree.

    `error_in` is one standard deviation, in one direction, of a place among the points. From four
    points it rests on the stated marking error alone, and `leave_one_out` is None.
    """

    points: tuple[MarkedPoint, ...]
    residuals_in: tuple[tuple[float, float], ...]
    radial_rms_in: float
    sigma0_in: float | None
    leave_one_out: tuple[float | None, ...] | None
    worst_point: str | None
    marking_error_px: float
    error_in: float
    statements: tuple[str, ...]

    @property
    def checked(self) -> bool:
        """Whether more points than four say anything about the error."""
        return self.sigma0_in is not None

    def error_over(self, bounds_in: Bounds) -> float:
        """Return one standard deviation [in] of a place within bounds, in the mean over them."""
        x0, y0, x1, y1 = bounds_in
        across, up = np.linspace(x0, x1, 7), np.linspace(y0, y1, 7)
        return self.error_at([(float(x), float(y)) for x in across for y in up])

    def error_at(self, places_in: Sequence[tuple[float, float]]) -> float:
        """Return one standard deviation [in] of places on the wall, in the mean of squares.

        Raises InvalidInput for places that the camera cannot have seen.
        """
        h, marked = self.matrix, _marked(self.points, self.lens, self.marking_error_px)
        _refuse_unseen(h, marked, np.array(places_in))
        marks = marked.variance_sq_in(h)
        seen = max(marks, (self.sigma0_in or 0.0) ** 2)
        spread = marked.spread(h) * (seen / marks)
        px = _straight_px(h, np.array(places_in))
        of_places = place_covariance(h, covariance(h, marked.px, spread), px)
        # What the marks do not explain is the wall's or the lens's, and no mean takes it away.
        variance = float(np.trace(of_places, axis1=1, axis2=2).mean() / 2) + seen - marks
        return math.sqrt(variance)

    def to_json(self) -> dict[str, Any]:
        """Return the figures for the record; the points and the place are kept beside them."""
        left_out = [length for length in self.leave_one_out or () if length is not None]
        return {
            "residuals_in": [list(pair) for pair in self.residuals_in],
            "radial_rms_in": self.radial_rms_in,
            "sigma0_in": self.sigma0_in,
            "leave_one_out_in": None if self.leave_one_out is None else list(self.leave_one_out),
            "leave_one_out_rms_in": _root_mean_square(left_out) if left_out else None,
            "worst_point": self.worst_point,
            "marking_error_px": self.marking_error_px,
            "error_in": self.error_in,
            "checked": self.checked,
            "statements": list(self.statements),
        }


@dataclass(frozen=True)
class Rectified:
    """A photograph square to the wall; row 0 is the top. `valid` is 255 where it reaches."""

    pixels: NDArray[np.uint8]
    valid: NDArray[np.uint8]


def fit_homography(
    points: Sequence[MarkedPoint],
    *,
    lens: Lens | None = None,
    marking_error_px: float = MARKING_ERROR_PX,
) -> Fit:
    """Return the place of least squared residuals on the wall, with what the points say of it.

    Raises InvalidInput, naming the points, where they cannot place a photograph.
    """
    if not 0 < marking_error_px <= LARGEST_MARKING_ERROR_PX:
        raise InvalidInput(
            f"marking error: {marking_error_px:g} px must lie above 0 and up to "
            f"{LARGEST_MARKING_ERROR_PX:g} px.",
            field="marking_error_px",
        )
    check_points(points)
    marked = _marked(points, lens, marking_error_px)
    try:
        h = estimate(marked.px, marked.wall)
    except np.linalg.LinAlgError as error:
        raise InvalidInput(
            "These points do not determine the picture's place. Mark more, well apart.",
            field="points",
        ) from error
    check_sense(points, h, marked.px)
    check_view(points, h)
    return _fit(points, marked, h, lens)


def _fit(points: Sequence[MarkedPoint], marked: Marked, h: Array, lens: Lens | None) -> Fit:
    residuals = through(h, marked.px) - marked.wall
    left_out = leave_one_out(marked)
    known = [(length, k) for k, length in enumerate(left_out or ()) if length is not None]
    squares = marked.squares_sq_in(h)
    bare = Fit(
        homography=_rows(h),
        lens=lens,
        points=tuple(points),
        residuals_in=tuple((float(dx), float(dy)) for dx, dy in residuals),
        radial_rms_in=math.sqrt(squares / len(points)),
        sigma0_in=math.sqrt(squares / marked.redundancy) if marked.redundancy else None,
        leave_one_out=None if left_out is None else tuple(left_out),
        worst_point=points[max(known)[1]].name if known else None,
        marking_error_px=marked.marking_error_px,
        error_in=0.0,
        statements=statements(points, marked, h, left_out),
    )
    (x0, y0), (x1, y1) = marked.wall.min(axis=0), marked.wall.max(axis=0)
    error_in = bare.error_over((float(x0), float(y0), float(x1), float(y1)))
    return Fit(**{**vars(bare), "error_in": error_in})


def to_wall_in(sight: Sight, px: Sequence[tuple[float, float]] | Array) -> Array:
    """Return where pixels (n, 2) of the upright picture lie on the wall [in]."""
    straight = np.asarray(px, float)
    if sight.lens is not None:
        straight = sight.lens.straighten(straight)
    return through(sight.matrix, straight)


def to_px(sight: Sight, wall_in: Sequence[tuple[float, float]] | Array) -> Array:
    """Return where places on the wall (n, 2) [in] lie on the upright picture."""
    straight = _straight_px(sight.matrix, np.asarray(wall_in, float))
    return straight if sight.lens is None else sight.lens.bend(straight)


def covered_bounds(sight: Sight, width_px: int, height_px: int) -> Bounds:
    """Return the box on the wall [in] that the whole picture lies in.

    Raises InvalidInput where the picture would reach to the wall's horizon.
    """
    outline = _outline_px(width_px, height_px, inset_px=0)
    straight = outline if sight.lens is None else sight.lens.straighten(outline)
    seen = depths(sight.matrix, straight)
    if not (np.all(seen > 0) or np.all(seen < 0)):
        raise InvalidInput(
            "Placed like this, a part of the picture would lie beyond the wall's horizon. One of "
            "the points is far off, or the picture was taken at too flat an angle.",
            field="points",
        )
    wall = through(sight.matrix, straight)
    (x0, y0), (x1, y1) = wall.min(axis=0), wall.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def own_px_per_in(sight: Sight, bounds_in: Bounds) -> float:
    """Return the photograph's own resolution [px/in] at the middle of bounds on the wall."""
    x0, y0, x1, y1 = bounds_in
    middle = _straight_px(sight.matrix, np.array([((x0 + x1) / 2, (y0 + y1) / 2)]))
    return 1 / math.sqrt(abs(float(np.linalg.det(jacobian_by_point(sight.matrix, middle)[0]))))


def best_px_per_in(sight: Sight, bounds_in: Bounds) -> float:
    """Return the largest round resolution [px/in] that the photograph itself holds."""
    own = min(own_px_per_in(sight, bounds_in), MOST_PX_PER_IN)
    x0, y0, x1, y1 = bounds_in
    own = min(own, math.sqrt(MOST_PX / ((x1 - x0) * (y1 - y0))))
    step = 1.0 if own < 20 else 5.0 if own < 100 else 10.0
    return max(LEAST_PX_PER_IN, math.floor(own / step) * step)


def rectify(
    image_rgb: NDArray[np.uint8],
    sight: Sight,
    *,
    bounds_in: Bounds,
    px_per_in: float,
    interpolation: Interpolation = "cubic",
) -> Rectified:
    """Return the photograph drawn square to the wall within bounds [in], at a resolution.

    The picture covers the bounds exactly; as its sides are whole pixels, its scale may differ
    from the resolution by half a pixel over a whole side. Where the photograph is finer than
    twice the resolution it is averaged first, so that no fine texture turns into waves.
    Raises InvalidInput for a size beyond what can be made.
    """
    width, height = rectified_size_px(bounds_in, px_per_in)
    if max(image_rgb.shape[:2]) > LONGEST_SIDE_PX:
        raise InvalidInput(
            f"The photograph is {image_rgb.shape[1]:,} by {image_rgb.shape[0]:,} px; the limit is "
            f"{LONGEST_SIDE_PX:,} px along a side. Make it smaller and take it in again.",
            field="photograph",
        )
    out_to_px = inverse(sight.matrix) @ _copy_to_wall(bounds_in, (width, height))
    photograph_px = (image_rgb.shape[1], image_rgb.shape[0])
    valid = reach(sight, photograph_px=photograph_px, bounds_in=bounds_in, copy_px=(width, height))
    image, shrunk = _averaged(image_rgb, own_px_per_in(sight, bounds_in) / px_per_in)
    flags = _FLAGS[interpolation]
    if sight.lens is None:
        matrix = np.linalg.inv(_HALF_PX) @ shrunk @ out_to_px @ _HALF_PX
        pixels = cv2.warpPerspective(
            image, matrix, (width, height), flags=flags | cv2.WARP_INVERSE_MAP
        )
    else:
        pixels = _through_lens(
            image, shrunk, sight.lens, out_to_px, size=(width, height), flags=flags
        )
    return Rectified(np.asarray(pixels, np.uint8), valid)


def reach(
    sight: Sight, *, photograph_px: tuple[int, int], bounds_in: Bounds, copy_px: tuple[int, int]
) -> NDArray[np.uint8]:
    """Return 255 where a photograph reaches in its copy drawn square to the wall, 0 elsewhere."""
    outline = _outline_px(*photograph_px, inset_px=EDGE_PX)
    straight = outline if sight.lens is None else sight.lens.straighten(outline)
    to_copy = inverse(_copy_to_wall(bounds_in, copy_px)) @ sight.matrix
    valid = np.zeros((copy_px[1], copy_px[0]), np.uint8)
    limit = 2.0**24  # of OpenCV's fixed point; an outline so far away covers all
    places = (through(to_copy, straight) - 0.5) * 2**SUBPIXEL_BITS
    fixed = np.rint(np.clip(places, -limit, limit)).astype(np.int32)
    cv2.fillPoly(valid, [fixed], 255, shift=SUBPIXEL_BITS)
    return valid


def rectified_size_px(bounds_in: Bounds, px_per_in: float) -> tuple[int, int]:
    """Return width and height of a rectified picture [px].

    Raises InvalidInput for a resolution or a size beyond the limits.
    """
    if not LEAST_PX_PER_IN <= px_per_in <= MOST_PX_PER_IN:
        raise InvalidInput(
            f"resolution: {px_per_in:g} px/in must lie between {LEAST_PX_PER_IN:g} and "
            f"{MOST_PX_PER_IN:,.0f} px/in.",
            field="px_per_in",
        )
    x0, y0, x1, y1 = bounds_in
    width, height = round((x1 - x0) * px_per_in), round((y1 - y0) * px_per_in)
    if min(width, height) < 1 or max(width, height) > LONGEST_SIDE_PX or width * height > MOST_PX:
        most = min(
            LONGEST_SIDE_PX / max(x1 - x0, y1 - y0, 1e-9),
            math.sqrt(MOST_PX / max((x1 - x0) * (y1 - y0), 1e-9)),
        )
        raise InvalidInput(
            f"resolution: {px_per_in:g} px/in would make a picture of {width:,} by {height:,} px; "
            f"the limit here is {math.floor(most):,} px/in.",
            field="px_per_in",
        )
    return width, height


def _marked(points: Sequence[MarkedPoint], lens: Lens | None, marking_error_px: float) -> Marked:
    px = np.array([point.px for point in points], float)
    straight = px if lens is None else lens.straighten(px)
    return Marked(straight, np.array([point.wall_in for point in points], float), marking_error_px)


def _straight_px(homography: Array, wall_in: Array) -> Array:
    return through(inverse(homography), wall_in)


def _refuse_unseen(homography: Array, marked: Marked, wall_in: Array) -> None:
    back = inverse(homography)
    seen = depths(back, wall_in) * depths(back, marked.wall)[0]
    if not np.all(seen > 0):
        raise InvalidInput(
            "A place on the wall lies behind the camera as the points have it. Look at the points.",
            field="points",
        )


def _copy_to_wall(bounds_in: Bounds, copy_px: tuple[int, int]) -> Array:
    """Return the map from pixels of a copy, its first row at the top, to wall inches."""
    x0, y0, x1, y1 = bounds_in
    across, up = (x1 - x0) / copy_px[0], (y1 - y0) / copy_px[1]
    return np.array([[across, 0, x0], [0, -up, y1], [0, 0, 1.0]])


def _rows(homography: Array) -> Matrix:
    return tuple((float(a), float(b), float(c)) for a, b, c in homography)


def _root_mean_square(lengths: Sequence[float]) -> float:
    return math.sqrt(sum(length**2 for length in lengths) / len(lengths))


def _outline_px(width_px: int, height_px: int, *, inset_px: float) -> Array:
    share = np.arange(EDGE_STEPS) / EDGE_STEPS
    near, far = np.zeros(EDGE_STEPS), np.ones(EDGE_STEPS)
    x = np.concatenate([share, far, 1 - share, near])
    y = np.concatenate([near, share, far, 1 - share])
    return inset_px + np.c_[x * (width_px - 2 * inset_px), y * (height_px - 2 * inset_px)]


def _averaged(image: NDArray[np.uint8], ratio: float) -> tuple[NDArray[np.uint8], Array]:
    """Return the photograph no finer than needed, and the matrix to its pixels."""
    times = math.floor(ratio)
    if times < 2:
        return image, np.eye(3)
    height, width = image.shape[:2]
    size = (math.ceil(width / times), math.ceil(height / times))
    small = cv2.resize(image, size, interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8), np.diag([size[0] / width, size[1] / height, 1.0])


def _through_lens(
    image: NDArray[np.uint8],
    shrunk: Array,
    lens: Lens,
    out_to_px: Array,
    *,
    size: tuple[int, int],
    flags: int,
) -> NDArray[np.uint8]:
    """Return the picture with a bent lens, by strips, so that the map of places stays small."""
    width, height = size
    out = np.empty((height, width, image.shape[2]), np.uint8)
    strip = max(1, 2_000_000 // width)
    for top in range(0, height, strip):
        rows = np.arange(top, min(top + strip, height)) + 0.5
        x, y = np.meshgrid(np.arange(width) + 0.5, rows)
        bent = lens.bend(through(out_to_px, np.c_[x.ravel(), y.ravel()]))
        places = (bent * np.diag(shrunk)[:2] - 0.5).astype(np.float32)
        x_px, y_px = (places[:, axis].reshape(len(rows), width) for axis in (0, 1))
        out[top : top + len(rows)] = cv2.remap(image, x_px, y_px, flags)
    return out
