"""Which marked points do the tests of rectification stand on? Those of the trade's values, and a known camera."""

import numpy as np

from gridmap.homography import through
from gridmap.rectify import MarkedPoint

# source: trade/values.md §11 "Rectification": own DLT, OpenCV and scikit-image agree on each
UNIT_SQUARE = [(0, 0), (1, 0), (1, 1), (0, 1)]
TRAPEZOID = [(0, 0), (2, 0), (3, 2), (0, 1)]
FOUR_PX = [(212, 148), (3820, 96), (3905, 2710), (160, 2635)]
FOUR_IN = [(0, 96), (120, 96), (120, 0), (0, 0)]
EIGHT_PX = [
    (212, 148), (2010, 118), (3820, 96), (3868, 1398),
    (3905, 2710), (2042, 2672), (160, 2635), (185, 1390),
]  # fmt: skip
EIGHT_IN = [(0, 96), (60, 96), (120, 96), (120, 48), (120, 0), (60, 0), (0, 0), (0, 48)]

PICTURE_PX = (4000, 3000)


def camera_at(tilt, lean):
    """Return pixels to wall of a camera about 148 px/in fine, its middle at 394 in, 110 in."""
    to_wall = np.array([[1, 0, 394.0], [0, 1, 110.0], [0, 0, 1]])
    turned = np.array([[0.0068, 0.0002, 0], [0.0001, -0.0067, 0], [tilt, lean, 1]])
    to_middle = np.array([[1, 0, -2000.0], [0, 1, -1500.0], [0, 0, 1]])
    whole = to_wall @ turned @ to_middle
    return whole / whole[2, 2]


CAMERA = camera_at(1e-5, -2e-5)


def marked(px, wall):
    return [
        MarkedPoint(str(k), (float(u), float(v)), (float(x), float(y)))
        for k, ((u, v), (x, y)) in enumerate(zip(px, wall, strict=True), start=1)
    ]


def array(points):
    return np.array(points, float)


def grid_px(columns, rows):
    return array(
        [(u, v) for v in np.linspace(300, 2700, rows) for u in np.linspace(300, 3700, columns)]
    )


def seen(px, camera=CAMERA):
    return through(camera, array(px))
