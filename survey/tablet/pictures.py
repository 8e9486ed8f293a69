"""In which sizes does a base picture go up to the deck, and how is one made?

A rendition is for looking only: it is a JPEG without any data of the original's file, made once
and kept beside the database. The original stays as it came.
"""

import io
import os
import tempfile
from pathlib import Path
from typing import Any

from django.conf import settings
from PIL import Image, UnidentifiedImageError

from gridmap.errors import InvalidInput
from survey.ledger.blobs import blob_path
from survey.photos.models import Photograph
from survey.photos.services import LARGEST_PICTURE_PX

WIDTHS_PX = (2048, 4096, 8192)
JPEG_QUALITY = 85
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


def rendition(photograph: Photograph, width_px: int) -> bytes:
    """Return the picture as a JPEG of that width [px]; raises InvalidInput for what is none."""
    kept = settings.DATA_FOLDER / "renditions" / f"{photograph.blob_id}-{width_px}.jpg"
    if kept.exists():
        return kept.read_bytes()
    try:
        data = _made(Path(blob_path(photograph.blob_id)), width_px)
    except (UnidentifiedImageError, OSError, Image.DecompressionBombError) as error:
        raise InvalidInput(
            f"{photograph.name} cannot be read as a picture; the tablet goes up without it."
        ) from error
    kept.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=kept.parent, delete=False) as file:
        file.write(data)
    os.replace(file.name, kept)
    return data


def _made(original: Path, width_px: int) -> bytes:
    Image.MAX_IMAGE_PIXELS = LARGEST_PICTURE_PX
    with Image.open(original, formats=["JPEG", "PNG"]) as picture:
        height_px = max(1, round(picture.height * width_px / picture.width))
        picture.draft("RGB", (width_px, height_px))  # a JPEG is read in the size that is needed
        small = picture.convert("RGB").resize((width_px, height_px), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    small.save(out, "JPEG", quality=JPEG_QUALITY)
    return out.getvalue()
