"""Which part of a photograph belongs on a plate, and at which size is it embedded?

Crops are cut once, reduced to what paper can show, and stored as JPEG; nothing is tinted,
sharpened or enhanced.
"""

from dataclasses import dataclass
from io import BytesIO

from PIL import Image, UnidentifiedImageError

from gridmap.errors import InvalidInput
from survey.report.content import BasePicture

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
        if self._image is None or self._name is not picture.source:
            source = picture.source
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


def _encoded(piece: Image.Image, most_px: float) -> bytes:
    if piece.width > most_px:
        height = max(1, round(piece.height * most_px / piece.width))
        piece = piece.resize((max(1, round(most_px)), height), Image.Resampling.LANCZOS)
    kept = BytesIO()
    piece.save(kept, "JPEG", quality=JPEG_QUALITY)
    return kept.getvalue()
