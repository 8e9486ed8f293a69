"""Which part of a photograph belongs on a plate, and at which size is it embedded?

Crops are cut once, reduced to what paper can show, and stored as JPEG; nothing is tinted,
sharpened or enhanced.
"""

import math
from dataclasses import dataclass
from io import BytesIO

from PIL import Image, UnidentifiedImageError

from gridmap.errors import InvalidInput
from survey.report.content import BasePicture, Region

PRINT_PX_PER_IN = 220  # on paper; above this the eye gains nothing
JPEG_QUALITY = 82
BoundsIn = tuple[float, float, float, float]


@dataclass(frozen=True)
class Crop:
    """An encoded piece of a photograph and the wall rectangle that its whole pixels cover."""

    jpeg: bytes
    bounds_in: BoundsIn


class Darkroom:
    """Cuts crops; keeps the photograph last used open, since neighbours come one after another."""

    def __init__(self) -> None:
        self._name: object = None
        self._image: Image.Image | None = None

    def crop(self, picture: BasePicture, bounds_in: BoundsIn, *, width_pt: float) -> Crop | None:
        """Return the part of a picture within `bounds_in`, or None where they do not meet."""
        if callable(picture.source):
            return _of_region(picture, picture.source, bounds_in, width_pt)
        image = self._opened(picture)
        x0, y0, x1, y1 = picture.bounds_in
        across, up = image.width / (x1 - x0), image.height / (y1 - y0)  # px/in
        left = max(0, int((bounds_in[0] - x0) * across))
        right = min(image.width, -int(-(bounds_in[2] - x0) * across // 1))
        top = max(0, int((y1 - bounds_in[3]) * up))
        bottom = min(image.height, -int(-(y1 - bounds_in[1]) * up // 1))
        if right <= left or bottom <= top:
            return None
        piece = image.crop((left, top, right, bottom))
        covered = (x0 + left / across, y1 - bottom / up, x0 + right / across, y1 - top / up)
        share = (covered[2] - covered[0]) / (bounds_in[2] - bounds_in[0])
        return Crop(_encoded(piece, width_pt * share / 72 * PRINT_PX_PER_IN), covered)

    def _opened(self, picture: BasePicture) -> Image.Image:
        source = picture.source
        assert not callable(source)
        if self._image is None or self._name is not source:
            try:
                image = Image.open(BytesIO(source) if isinstance(source, bytes) else source)
                image.load()
            except (OSError, UnidentifiedImageError, Image.DecompressionBombError) as error:
                raise InvalidInput(
                    f"The photograph “{picture.name}” cannot be read: {error}.", field="picture"
                ) from error
            self._image = image if image.mode in ("RGB", "L") else image.convert("RGB")
            self._name = source
        return self._image


def _of_region(
    picture: BasePicture, region: Region, bounds_in: BoundsIn, width_pt: float
) -> Crop | None:
    """Return a part of a picture that is had in any size: no finer than it is, nor than paper."""
    (x0, y0, x1, y1), (left, low, right, high) = bounds_in, picture.bounds_in
    part = (max(x0, left), max(y0, low), min(x1, right), min(y1, high))
    if part[0] >= part[2] or part[1] >= part[3]:
        return None
    most_px = width_pt * (part[2] - part[0]) / (x1 - x0) / 72 * PRINT_PX_PER_IN
    own = picture.px_per_in or most_px / (part[2] - part[0])
    width_px = math.ceil((part[2] - left) * own) - math.floor((part[0] - left) * own)
    if width_px <= most_px:  # its own pixels, whole ones
        part = (
            left + math.floor((part[0] - left) * own) / own,
            high - math.ceil((high - part[1]) * own) / own,
            left + math.ceil((part[2] - left) * own) / own,
            high - math.floor((high - part[3]) * own) / own,
        )
    piece = Image.fromarray(region(part, max(1, round(min(width_px, most_px)))))
    return Crop(_encoded(piece, math.inf), part)


def _encoded(piece: Image.Image, most_px: float) -> bytes:
    if piece.width > most_px:
        height = max(1, round(piece.height * most_px / piece.width))
        piece = piece.resize((max(1, round(most_px)), height), Image.Resampling.LANCZOS)
    kept = BytesIO()
    piece.save(kept, "JPEG", quality=JPEG_QUALITY)
    return kept.getvalue()
