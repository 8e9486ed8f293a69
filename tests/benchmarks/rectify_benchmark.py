"""How much does rectifying cost beyond the bare warp that it cannot do without?

A photograph of 24 megapixels is drawn to a 2 ft cell at 300 px/in: 7,200 px square, cubic. The peer
is one bare `cv2.warpPerspective` of the same picture with the same matrix and interpolation; ours
adds the mask of where the photograph reaches, and the checks. Alternating pairs in one process, the
median of each is compared; peak memory is that of a process of its own for each side.

Run: python tests/benchmarks/rectify_benchmark.py
"""

import subprocess
import sys
import time
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import cv2  # noqa: E402
import numpy as np  # noqa: E402
import pytest  # noqa: E402

from gridmap.rectify import MarkedPoint, fit_homography, rectify  # noqa: E402

PHOTOGRAPH_PX = (6000, 4000)
CELL_IN = (384.0, 96.0, 408.0, 120.0)
PX_PER_IN = 300
PAIRS = 7
AT_MOST = 1.2  # times one bare warp
# The cell's corners on the photograph: about 150 px/in, a little askew.
CORNERS_PX = ((1180.0, 190.0), (4830.0, 230.0), (4790.0, 3820.0), (1215.0, 3790.0))


def test_rectifying_costs_little_more_than_a_bare_warp():
    told = measure()

    print(f"\n{told['text']}")
    assert told["ratio"] <= AT_MOST


def photograph():
    """Return pixels with texture: what a warp reads must not lie in a cache by chance."""
    rng = np.random.default_rng(1936)
    coarse = rng.integers(0, 255, (500, 750, 3), np.uint8)
    return cv2.resize(coarse, PHOTOGRAPH_PX, interpolation=cv2.INTER_CUBIC)


def placed():
    x0, y0, x1, y1 = CELL_IN
    corners = ((x0, y1), (x1, y1), (x1, y0), (x0, y0))
    pairs = zip(CORNERS_PX, corners, strict=True)
    return fit_homography([MarkedPoint(str(k), *pair) for k, pair in enumerate(pairs)])


def ours(image, fit):
    return rectify(image, fit, bounds_in=CELL_IN, px_per_in=PX_PER_IN).pixels


def bare(image, fit):
    side = round((CELL_IN[2] - CELL_IN[0]) * PX_PER_IN)
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])
    to_wall = np.array([[1 / PX_PER_IN, 0, CELL_IN[0]], [0, -1 / PX_PER_IN, CELL_IN[3]], [0, 0, 1]])
    matrix = np.linalg.inv(half) @ np.linalg.inv(fit.matrix) @ to_wall @ half
    flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    return cv2.warpPerspective(image, matrix, (side, side), flags=flags)


SIDES = {"ours": ours, "bare": bare}


def measure():
    """Time both sides in turn, and return the figures."""
    image, fit = photograph(), placed()
    assert np.array_equal(ours(image, fit), bare(image, fit))  # a fast answer must be the same one
    times = {name: [] for name in SIDES}
    for _ in range(PAIRS):
        for name, side in SIDES.items():
            began = time.perf_counter()
            side(image, fit)
            times[name].append(time.perf_counter() - began)
    ratio = median(times["ours"]) / median(times["bare"])
    peaks = {name: peak_mb(name) for name in SIDES}
    return {
        "ratio": ratio,
        "text": (
            f"24 megapixels to 7,200 px square, cubic: {median(times['ours']):.3f} s, one bare "
            f"warp {median(times['bare']):.3f} s: {ratio:.2f} times (at most {AT_MOST:g}). Peak "
            f"memory {peaks['ours']:.0f} MB, bare {peaks['bare']:.0f} MB."
        ),
    }


def peak_mb(name):
    """Return the peak memory of a process that does one side once, its picture included."""
    done = subprocess.run(
        [sys.executable, __file__, "--once", name], capture_output=True, text=True, check=True
    )
    return float(done.stdout)


def once(name):
    SIDES[name](photograph(), placed())
    # The kernel's own count of this program: getrusage would hand on the peak of whoever began it.
    status = Path("/proc/self/status").read_text(encoding="ascii")
    print(int(status.split("VmHWM:")[1].split()[0]) / 1024)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--once"]:
        once(sys.argv[2])
    else:
        sys.exit(pytest.main(["-q", "-s", "-p", "no:cacheprovider", __file__]))
