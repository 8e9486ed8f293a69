"""How sharp is a picture, as one number to compare frames of one set by? No Django, no I/O.

Fine detail is set against coarse: the painting's own contrast falls out, focus and shake remain.
It says which frames somebody should look at, no more.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

# [px] widths of the blurs between which fine and coarse detail lie; below the first lies noise.
FINE_PX = (1.0, 2.0)
COARSE_PX = (4.0, 8.0)


def sharpness(grey: NDArray[np.uint8]) -> float:
    """Return fine detail as a share of coarse detail [-]; 0 for a picture without detail."""
    picture = grey.astype(np.float32)
    coarse = _detail(picture, COARSE_PX)
    return float(_detail(picture, FINE_PX) / coarse) if coarse > 0.05 else 0.0


def _detail(picture: NDArray[np.float32], widths_px: tuple[float, float]) -> float:
    finer, wider = (cv2.GaussianBlur(picture, (0, 0), width_px) for width_px in widths_px)
    return float(np.sqrt(np.mean((finer - wider) ** 2)))
