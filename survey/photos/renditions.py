"""In which form does a photograph leave the store for looking: smaller, in sRGB, without metadata?

A rendition is a JPEG made anew from the pixels alone: no place, no camera, no owner's name, no
profile goes with it. It is made once per width and kept beside the database; the original stays
as it came.
"""

import os
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyvips
from django.conf import settings
from numpy.typing import NDArray

from gridmap.errors import InvalidInput, NotFound
from gridmap.models import Wall
from survey.ledger.blobs import blob_path
from survey.photos.file_formats import read_content
from survey.photos.heic_decoding import decoded_heic
from survey.photos.looking import (
    LARGEST_SIDE_PX,
    open_rows,
    opened,
    refuse_large_picture,
)
from survey.photos.models import Mosaic, Photograph
from survey.photos.pyramids import frame_of, read_region

JPEG_QUALITY = 85
WIDEST_PX = 8192
NARROWEST_PX = 64


def rendition(digest: str, *, width_px: int, name: str = "The photograph") -> bytes:
    """Return the upright picture as a JPEG of that width [px], never wider than it is.

    Raises InvalidInput for bytes that are no picture that can be opened here.
    """
    width_px = min(max(width_px, NARROWEST_PX), WIDEST_PX)
    return _kept(
        digest,
        width_px,
        lambda: make_rendition(Path(blob_path(digest)), width_px=width_px, name=name),
    )


def picture_of_wall(wall: Wall, digest: str, *, width_px: int) -> bytes:
    """Return a photograph or a mosaic of the wall as one JPEG, never wider than it is.

    Raises NotFound where the wall has no such picture.
    """
    photograph = Photograph.objects.filter(survey__wall=wall, blob_id=digest).first()
    if photograph is not None:
        width_px = min(width_px, photograph.width_px)
        return rendition(digest, width_px=width_px, name=photograph.name)
    mosaic = Mosaic.objects.filter(survey__wall=wall, pyramid_id=digest).first()
    if mosaic is None:
        raise NotFound("This wall has no such picture.")
    width_px = min(max(width_px, NARROWEST_PX), WIDEST_PX, mosaic.width_px)
    return _kept(digest, width_px, lambda: _whole_mosaic(mosaic, width_px))


def _whole_mosaic(mosaic: Mosaic, width_px: int) -> bytes:
    pixels = read_region(mosaic, frame_of(mosaic).bounds_in, width_px)
    return bytes(pyvips.Image.new_from_array(pixels).jpegsave_buffer(Q=JPEG_QUALITY, keep="none"))


def _kept(digest: str, width_px: int, make: Callable[[], bytes]) -> bytes:
    """Return the picture of that width, which is made once."""
    kept = settings.DATA_FOLDER / "renditions" / f"{digest}-{width_px}.jpg"
    if kept.exists():
        return bytes(kept.read_bytes())
    data = make()
    kept.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=kept.parent, delete=False) as file:
        file.write(data)
    os.replace(file.name, kept)
    return data


def make_rendition(path: Path, *, width_px: int, name: str) -> bytes:
    """Return a JPEG of the picture in a file, made from its pixels alone."""
    try:
        small = open_small(path, width_px=width_px, name=name)
        return bytes(small.jpegsave_buffer(Q=JPEG_QUALITY, keep="none"))
    except (pyvips.Error, ValueError, OSError) as error:
        raise InvalidInput(
            f"{name} cannot be opened as a picture; its original is kept as it came.", field="data"
        ) from error


def open_small(path: Path, *, width_px: int, name: str) -> pyvips.Image:
    """Return the upright picture in 8-bit sRGB, at most `width_px` wide."""
    with opened(path) as source:
        facts = read_content(source, name)
    refuse_large_picture(facts, name)
    if facts.kind == "heic":
        with decoded_heic(path, name) as decoded:
            return _in_srgb(decoded.image, width_px=width_px, orientation=1).copy_memory()
    upright_width_px = facts.upright_px[0]
    shrink = 1
    while shrink < 8 and upright_width_px // (2 * shrink) >= width_px:
        shrink *= 2
    image = open_rows(path, facts.kind, shrink=shrink, strict=False)
    return _in_srgb(image, width_px=width_px, orientation=facts.orientation)


def _in_srgb(image: pyvips.Image, *, width_px: int, orientation: int) -> pyvips.Image:
    """Return the picture smaller, then in sRGB, then upright: few pixels are held at any time."""
    across_px = image.height if orientation >= 5 else image.width
    scale = min(1.0, width_px / across_px)
    if scale == 1.0 and _is_plain(image):
        small = image  # nothing to convert: the pixels as they are, and three times as fast
    else:
        small = image.thumbnail_image(
            max(1, round(image.width * scale)),
            height=max(1, round(image.height * scale)),
            size="force",
            no_rotate=True,
            export_profile="srgb",
        )
    if small.hasalpha():
        small = small.flatten(background=[255, 255, 255])
    if small.bands == 1:
        small = small.colourspace("srgb")
    # Rows come from top to bottom only; a turned picture needs all of them at once.
    return small if orientation == 1 else _upright(small.copy_memory(), orientation)


def _is_plain(image: pyvips.Image) -> bool:
    """Say whether an image is in 8-bit sRGB already, with no profile of its own."""
    return (
        image.bands == 3
        and image.format == "uchar"
        and image.interpretation == "srgb"
        and image.get_typeof("icc-profile-data") == 0
    )


def _upright(image: pyvips.Image, orientation: int) -> pyvips.Image:
    """Return the picture turned and mirrored as its orientation says (Exif 2.32, tag 0x0112)."""
    if orientation in {2, 5, 7}:
        image = image.fliphor()
    if orientation == 4:
        image = image.flipver()
    turns = {3: "rot180", 5: "rot270", 6: "rot90", 7: "rot90", 8: "rot270"}
    turn = turns.get(orientation)
    return getattr(image, turn)() if turn else image


def upright_pixels(digest: str, *, name: str = "The photograph") -> NDArray[np.uint8]:
    """Return the whole upright picture as sRGB rows from the top [height, width, 3]."""
    image = open_small(Path(blob_path(digest)), width_px=LARGEST_SIDE_PX, name=name)
    return np.asarray(image)
