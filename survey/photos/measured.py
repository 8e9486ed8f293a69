"""What was measured once in a photograph's pixels, and is kept beside the renditions by digest?

Derived: it can be thrown away and is measured again. No evidence.
"""

import json
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
from django.conf import settings

from gridmap.errors import InvalidInput
from survey.ledger.blobs import blob_path
from survey.photos.file_formats import read_content
from survey.photos.heic_decoding import decoded_heic
from survey.photos.looking import open_rows, opened
from survey.photos.models import Photograph
from survey.photos.renditions import open_small
from survey.photos.sharpness import sharpness
from survey.photos.slates import texts_in

# At this width a tablet's pattern of 5 in has about 9 pixels a square in a frame of 40 in.
LOOKING_WIDTH_PX = 3000
MIDDLE_PX = 1536  # side of the square in the middle in which sharpness is measured
SLATES, SHARPNESS = "slates-1", "sharpness-1"  # another number when it is measured in another way


def slate_texts(photograph: Photograph) -> tuple[str, ...]:
    """Return the texts of the square patterns that a photograph shows."""
    return tuple(_once(photograph.blob_id, SLATES, lambda: _read_texts(photograph)))


def measured_sharpness(photograph: Photograph) -> float | None:
    """Return how sharp the middle of a photograph is, None for what cannot be opened."""
    value = _once(photograph.blob_id, SHARPNESS, lambda: _measure(photograph))
    return None if value is None else float(value)


def kept_sharpness(digest: str) -> float | None:
    """Return the sharpness if it was measured before, None where it was not."""
    value = _kept(_place(digest, SHARPNESS), None)
    return None if value is None else float(value)


def _once(digest: str, what: str, measure: Callable[[], Any]) -> Any:
    place = _place(digest, what)
    missing = object()
    value = _kept(place, missing)
    if value is not missing:
        return value
    value = measure()
    place.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile("w", dir=place.parent, delete=False, encoding="utf-8") as file:
        json.dump(value, file)
    os.replace(file.name, place)
    return value


def _place(digest: str, what: str) -> Path:
    return settings.DATA_FOLDER / "renditions" / f"{digest}-{what}.json"


def _kept(place: Path, otherwise: Any) -> Any:
    try:
        return json.loads(place.read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return otherwise


def _read_texts(photograph: Photograph) -> list[str]:
    path = Path(blob_path(photograph.blob_id))
    try:
        small = open_small(path, width_px=LOOKING_WIDTH_PX, name=photograph.name)
        return list(texts_in(np.asarray(small.colourspace("b-w").extract_band(0))))
    except (InvalidInput, FileNotFoundError, pyvips.Error, ValueError):
        return []  # a tablet's note that is no picture: it shows no slate


def _measure(photograph: Photograph) -> float | None:
    path = Path(blob_path(photograph.blob_id))
    try:
        with opened(path) as source:
            kind = read_content(source, photograph.name).kind
        if kind != "heic":
            return _sharpness_of(open_rows(path, kind, strict=False))
        with decoded_heic(path, photograph.name) as decoded:
            return _sharpness_of(decoded.image)
    except (InvalidInput, FileNotFoundError, pyvips.Error, ValueError):
        return None


def _sharpness_of(image: pyvips.Image) -> float:
    width, height = min(MIDDLE_PX, image.width), min(MIDDLE_PX, image.height)
    middle = image.crop((image.width - width) // 2, (image.height - height) // 2, width, height)
    grey = middle.colourspace("b-w").extract_band(0).cast("uchar")
    return round(sharpness(np.asarray(grey)), 4)
