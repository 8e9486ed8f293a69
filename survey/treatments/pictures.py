"""How pictures before, during and after a treatment are kept: whole, by their content."""

from collections.abc import Iterable

from django.core.files.uploadedfile import UploadedFile
from PIL import Image, UnidentifiedImageError

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.ledger.blobs import keep_blob

MOMENTS = ("before", "during", "after")
MOST_PICTURES = 12  # of one moment
LARGEST_PICTURE_BYTES = 40 * 1024 * 1024
LARGEST_PICTURE_PX = 400_000_000
MIMES = {"JPEG": "image/jpeg", "PNG": "image/png"}


def check_pictures(files: Iterable[UploadedFile], *, field: str) -> list[tuple[UploadedFile, str]]:
    """Return each file with its MIME type; raises InvalidInput for what is no JPEG or PNG."""
    chosen = list(files)
    if len(chosen) > MOST_PICTURES:
        raise InvalidInput(
            f"{len(chosen)} pictures; the limit is {MOST_PICTURES} of one moment.", field=field
        )
    return [(file, _mime_of(file, field)) for file in chosen]


def keep_pictures(checked: Iterable[tuple[UploadedFile, str]], wall: Wall) -> list[str]:
    """Keep checked pictures and return their digests."""
    digests = []
    for file, mime in checked:
        file.seek(0)
        digests.append(keep_blob(file.read(), mime=mime, wall=wall).digest)
    return digests


def _mime_of(file: UploadedFile, field: str) -> str:
    size_bytes = file.size or 0
    if size_bytes > LARGEST_PICTURE_BYTES:
        raise InvalidInput(
            f"{file.name} has {size_bytes / 1024**2:,.1f} MB; the limit is "
            f"{LARGEST_PICTURE_BYTES / 1024**2:,.0f} MB.",
            field=field,
        )
    try:
        with Image.open(file, formats=list(MIMES)) as picture:
            if picture.width * picture.height > LARGEST_PICTURE_PX:
                raise InvalidInput(
                    f"{file.name} has {picture.width:,} by {picture.height:,} pixels; the limit "
                    f"is {LARGEST_PICTURE_PX:,} in all.",
                    field=field,
                )
            return MIMES[str(picture.format)]
    except (UnidentifiedImageError, OSError, Image.DecompressionBombError) as error:
        raise InvalidInput(
            f"{file.name} is no JPEG or PNG that can be read.", field=field
        ) from error
