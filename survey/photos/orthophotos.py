"""How does a finished picture of the whole wall become a mosaic: checked, tiled, put on record?

The file is decoded once, from top to bottom, while its tiles are made; a file that turns out to be
damaged leaves nothing behind.
"""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pyvips

from gridmap.errors import InvalidInput
from survey.ledger.blobs import blob_path, digest_of_file
from survey.ledger.drafts import Writer
from survey.photos.file_formats import MIME_OF, read_facts
from survey.photos.formats.source import FileFacts
from survey.photos.looking import (
    LARGEST_HELD_BYTES,
    LARGEST_SIDE_PX,
    decoder_said,
    open_rows,
    opened,
)
from survey.photos.models import Mosaic, Photograph
from survey.photos.mosaic_kind import (
    IMPORTED,
    LARGEST_ERROR_IN,
    LARGEST_MOSAIC_PX,
    read_bounds,
    refuse_oblong_pixels,
    too_many_pixels,
)
from survey.photos.mosaics import MosaicStatement, inputs_digest, keep_version, version_made_from
from survey.photos.taking_in import plain_name
from survey.photos.tile_writing import Made, Tell, write_pyramid
from survey.record.models import Survey

LARGEST_FILE_BYTES = 16 * 1024**3
_SIDES = {"jpeg": LARGEST_SIDE_PX}  # no side of a JPEG can be longer


def import_orthophoto(
    survey: Survey,
    path: Path,
    name: str,
    *,
    statement: MosaicStatement,
    writer: Writer,
    tell: Tell | None = None,
) -> Mosaic:
    """Make a mosaic of a finished picture whose place on the wall is known.

    The file is kept as it came beside the tiles. The same file, stated the same, is taken once.
    Raises InvalidInput naming the file, why it is refused and what to do; then nothing is kept.
    """
    name = plain_name(name)
    facts = look_at_orthophoto(path, name)
    original = {
        "digest": digest_of_file(path),
        "name": name,
        "size_bytes": path.stat().st_size,
        "mime": MIME_OF[facts.kind],
    }
    said = replace(statement, source=IMPORTED, original=original)
    return _imported(survey, path, facts, said, writer=writer, tell=tell, keep_original=True)


def mosaic_from_picture(
    survey: Survey,
    photograph: Photograph,
    operator: str,
    *,
    error_in: float | None = None,
    tell: Tell | None = None,
) -> Mosaic:
    """Make a mosaic of a photograph of the whole wall whose place was known from the beginning.

    Without a stated error, that of one of its pixels is taken: no picture is surer than that.
    """
    if photograph.role == "historic":
        raise InvalidInput(
            f"{photograph.name} is a historical picture: it shows what was present or absent then, "
            "and nothing is measured on it. It becomes no mosaic.",
            field="photograph",
        )
    if not (photograph.rectified and photograph.bounds_in):
        raise InvalidInput(
            f"{photograph.name} is not square to the wall, so it is no mosaic. Place it, and lay "
            "its rectified copy together with others.",
            field="photograph",
        )
    x0, y0, x1, y1 = photograph.bounds_in
    path = Path(blob_path(photograph.blob_id))
    facts = look_at_orthophoto(path, photograph.name)
    statement = MosaicStatement(
        mode=photograph.mode,
        lamp_side=photograph.lamp_side,
        bounds_in=(x0, y0, x1, y1),
        error_in=error_in or (x1 - x0) / photograph.width_px,
        source=IMPORTED,
        taken_on=photograph.taken_at.date() if photograph.taken_at else None,
        operator=photograph.operator,
        note=photograph.note,
        original={
            "digest": photograph.blob_id,
            "name": photograph.name,
            "photograph": str(photograph.pk),
        },
    )
    writer = Writer(name=operator, device="desk")
    return _imported(survey, path, facts, statement, writer=writer, tell=tell)


def look_at_orthophoto(path: Path, name: str) -> FileFacts:
    """Return what a file says of itself; raises InvalidInput for what cannot become a mosaic."""
    with opened(path) as source:
        if source.size_bytes > LARGEST_FILE_BYTES:
            raise InvalidInput(
                f"{name} has {source.size_bytes / 1024**3:,.1f} GB; the limit is "
                f"{LARGEST_FILE_BYTES / 1024**3:,.0f} GB. Nothing was kept.",
                field="file",
            )
        facts = read_facts(source, name)
    if facts.kind == "heic":
        raise InvalidInput(
            f"{name} is HEIC, which is opened as a whole; save the mosaic as TIFF, JPEG or PNG. "
            "Nothing was kept.",
            field="file",
        )
    if facts.width_px * facts.height_px > LARGEST_MOSAIC_PX:
        raise too_many_pixels(facts.width_px, facts.height_px)
    if facts.orientation != 1:
        raise InvalidInput(
            f"{name} lies turned in its file. Save it upright, as it hangs on the wall. Nothing "
            "was kept.",
            field="file",
        )
    if facts.held_bytes > LARGEST_HELD_BYTES:
        raise InvalidInput(
            f"{name} can only be opened with {facts.held_bytes / 1024**2:,.0f} MB at once; the "
            f"limit is {LARGEST_HELD_BYTES / 1024**2:,.0f} MB. Save it without “progressive” or "
            "“interlaced”, a TIFF in strips of few rows or in tiles of 256 px. Nothing was kept.",
            field="file",
        )
    return facts


def open_orthophoto(path: Path, facts: FileFacts, name: str) -> pyvips.Image:
    """Return the picture in 8-bit sRGB, read from top to bottom and never held whole."""
    image = open_rows(path, facts.kind)
    if (image.width, image.height) != (facts.width_px, facts.height_px):
        raise InvalidInput(
            f"{name} says that it is {facts.width_px:,} by {facts.height_px:,} pixels, and holds "
            f"{image.width:,} by {image.height:,}. Nothing was kept.",
            field="file",
        )
    if image.get_typeof("icc-profile-data"):
        image = image.icc_transform("srgb", embedded=True)
    elif image.interpretation != "srgb" or image.format != "uchar":
        image = image.colourspace("srgb")
    if image.hasalpha():
        image = image.flatten(background=[255, 255, 255])
    if image.bands == 1:
        image = image.bandjoin([image, image])
    if image.bands != 3:
        raise InvalidInput(
            f"{name} has {image.bands} channels, of which none tells the colour. Save it in RGB. "
            "Nothing was kept.",
            field="file",
        )
    return image.cast("uchar").copy(interpretation="srgb")


def check_statement(survey: Survey, statement: MosaicStatement, size_px: tuple[int, int]) -> None:
    """Refuse a place on the wall that the picture's own pixels contradict."""
    bounds = read_bounds(list(statement.bounds_in), survey)
    error_in = statement.error_in
    if not math.isfinite(error_in) or not 0 < error_in <= LARGEST_ERROR_IN:
        raise InvalidInput(
            f"The error is {error_in:g} in; it lies above 0 and up to {LARGEST_ERROR_IN:g} in.",
            field="error_in",
        )
    refuse_oblong_pixels(bounds, size_px, error_in=error_in)


def _imported(
    survey: Survey,
    path: Path,
    facts: FileFacts,
    statement: MosaicStatement,
    *,
    writer: Writer,
    tell: Tell | None,
    keep_original: bool = False,
) -> Mosaic:
    check_statement(survey, statement, (facts.width_px, facts.height_px))
    name = (statement.original or {}).get("name", path.name)
    inputs = inputs_digest(_inputs(statement))
    there = version_made_from(survey, statement.mode, statement.lamp_side, inputs)
    if there is not None:
        return there

    def write(tiles: Path) -> Made:
        try:
            return write_pyramid(open_orthophoto(path, facts, name), tiles, tell=tell)
        except pyvips.Error as error:
            raise InvalidInput(
                f"{name} cannot be decoded to its end ({decoder_said(error)}). Copy it again from "
                "where it was made. Nothing was kept.",
                field="file",
            ) from error

    return keep_version(
        survey,
        statement,
        write,
        inputs=inputs,
        writer=writer,
        original=path if keep_original else None,
    )


def _inputs(statement: MosaicStatement) -> dict[str, Any]:
    return {
        "source": statement.source,
        "original": (statement.original or {}).get("digest", ""),
        "mode": statement.mode,
        "lamp_side": statement.lamp_side,
        "bounds_in": list(statement.bounds_in),
        "error_in": statement.error_in,
        "taken_on": statement.taken_on.isoformat() if statement.taken_on else "",
    }
