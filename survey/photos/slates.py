"""Does a picture show a slate, and what does its pattern say? No Django, no I/O.

The pattern is a QR code (ISO/IEC 18004) that holds one line of text; `slate_text.js` writes it.
Nothing of it is trusted: a text that is not ours is passed over.
"""

import re
from collections.abc import Iterable
from datetime import UTC, datetime
from urllib.parse import unquote

import numpy as np
import zxingcpp
from numpy.typing import NDArray

from survey.photos.sorting import Slate

SLATE_MARK = "PONTATA1"
LONGEST_TEXT = 600
EARLIEST_YEAR, LATEST_YEAR = 1990, 2200
_FIELDS = 8
_LONGEST_FIELD = 80
_PATTERNS = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])


def read_slate_text(text: str) -> Slate | None:
    """Return what a pattern's text says, None when it is none of ours."""
    parts = text.split("|") if len(text) <= LONGEST_TEXT else []
    if len(parts) != _FIELDS or parts[0] != SLATE_MARK or not re.fullmatch(r"[0-9]{1,6}", parts[7]):
        return None
    wall, survey, cell, mode, side, at = (unquote(part) for part in parts[1:7])
    if any(len(part) > _LONGEST_FIELD for part in (wall, survey, cell, mode, side, at)):
        return None
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        return None
    if moment.tzinfo is None or not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
        return None
    moment = moment.astimezone(UTC)
    return Slate(int(parts[7]), cell, mode, side, moment, wall, survey)


def texts_in(grey: NDArray[np.uint8]) -> tuple[str, ...]:
    """Return the texts of the square patterns that a grey picture shows."""
    found = zxingcpp.read_barcodes(np.ascontiguousarray(grey), formats=_PATTERNS, try_invert=False)
    return tuple(one.text for one in found)


def slates_of(texts: Iterable[str]) -> tuple[Slate, ...]:
    """Return the slates among the texts of patterns, each once."""
    slates = (read_slate_text(text) for text in texts)
    return tuple(dict.fromkeys(slate for slate in slates if slate is not None))
