"""In which sizes does a base picture go up to the deck?"""

from typing import Any

from survey.photos.models import Photograph

WIDTHS_PX = (2048, 4096, 8192)
BYTES_PER_PX = 0.3  # of a JPEG at that quality, measured on photographs of plaster; an estimate


def picture_sizes(photograph: Photograph) -> list[dict[str, Any]]:
    """Return the widths in which a picture can be had, coarse first, none wider than it is."""
    widths = [width for width in WIDTHS_PX if width < photograph.width_px]
    widths = (widths or [photograph.width_px])[: len(WIDTHS_PX)]
    if photograph.width_px <= WIDTHS_PX[-1] and photograph.width_px not in widths:
        widths = [*widths[: len(WIDTHS_PX) - 1], photograph.width_px]
    x0_in, _, x1_in, _ = photograph.bounds_in or (0.0, 0.0, float(photograph.width_px), 0.0)
    ratio = photograph.height_px / photograph.width_px
    return [
        {
            "width_px": width,
            "bytes_estimate": int(width * width * ratio * BYTES_PER_PX),
            "px_per_in": round(width / (x1_in - x0_in), 2),
        }
        for width in widths
    ]
