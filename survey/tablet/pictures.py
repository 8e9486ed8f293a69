"""In which sizes does a base picture go up to the deck?"""

from collections.abc import Mapping, Sequence
from typing import Any

WIDTHS_PX = (2048, 4096, 8192)
BYTES_PER_PX = 0.3  # of a JPEG at that quality, measured on photographs of plaster; an estimate


def pictures_to_take(shown: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Return the one picture of each mode that goes up: the first that the survey page names."""
    first: dict[str, Mapping[str, Any]] = {}
    for picture in shown:
        first.setdefault(picture["mode"], picture)
    return list(first.values())


def picture_sizes(picture: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the widths in which a picture can be had, coarse first, none wider than it is."""
    width_px, height_px = picture["width_px"], picture["height_px"]
    widths = [width for width in WIDTHS_PX if width < width_px]
    widths = (widths or [width_px])[: len(WIDTHS_PX)]
    if width_px <= WIDTHS_PX[-1] and width_px not in widths:
        widths = [*widths[: len(WIDTHS_PX) - 1], width_px]
    x0_in, _, x1_in, _ = picture["bounds_in"] or (0.0, 0.0, float(width_px), 0.0)
    ratio = height_px / width_px
    return [
        {
            "width_px": width,
            "bytes_estimate": int(width * width * ratio * BYTES_PER_PX),
            "px_per_in": round(width / (x1_in - x0_in), 2),
        }
        for width in widths
    ]
