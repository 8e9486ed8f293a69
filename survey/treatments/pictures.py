"""How pictures before, during and after a treatment are kept: whole, by their content."""

import tempfile
from collections.abc import Iterable
from pathlib import Path

from django.core.files.uploadedfile import UploadedFile

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.ledger.blobs import keep_blob
from survey.record.picture_check import checked_mime

MOMENTS = ("before", "during", "after")
MOST_PICTURES = 12  # of one moment
LARGEST_PICTURE_BYTES = 40 * 1024 * 1024
MIMES = ("image/jpeg", "image/png")  # a page of the treatment shows them as they are


def check_pictures(files: Iterable[UploadedFile], *, field: str) -> list[tuple[UploadedFile, str]]:
    """Return each file with its MIME type; raises InvalidInput for what is no whole JPEG or PNG."""
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
    size_bytes, name = file.size or 0, str(file.name)
    if size_bytes > LARGEST_PICTURE_BYTES:
        raise InvalidInput(
            f"{name} has {size_bytes / 1024**2:,.1f} MB; the limit is "
            f"{LARGEST_PICTURE_BYTES / 1024**2:,.0f} MB.",
            field=field,
        )
    with tempfile.NamedTemporaryFile(delete=False) as copy:
        for piece in file.chunks():
            copy.write(piece)
    try:
        mime = checked_mime(Path(copy.name), name)
    except InvalidInput as refusal:
        raise InvalidInput(refusal.message, field=field) from refusal
    finally:
        Path(copy.name).unlink(missing_ok=True)
    if mime not in MIMES:
        raise InvalidInput(
            f"{name} is a {mime.removeprefix('image/').upper()} file, which browsers do not show; "
            "choose a JPEG or PNG. Nothing was kept.",
            field=field,
        )
    return mime
