"""How a photograph comes on record: its bytes first, then the entry that names them."""

import io
from datetime import datetime
from uuid import uuid5

from PIL import Image, UnidentifiedImageError

from gridmap.errors import InvalidInput
from survey.clock import moment
from survey.ledger.blobs import keep_blob
from survey.ledger.drafts import Draft, Receipt, Writer
from survey.record.models import Survey
from survey.record.services import append_to_survey

LARGEST_PICTURE_PX = 400_000_000
MIMES = {"JPEG": "image/jpeg", "PNG": "image/png"}


def add_photograph(
    *,
    survey: Survey,
    data: bytes,
    name: str,
    mode: str,
    operator: str,
    bounds_in: tuple[float, float, float, float] | None = None,
    rectified: bool = False,
    role: str = "record",
    lamp_side: str = "",
    taken_at: datetime | None = None,
    note: str = "",
) -> Receipt:
    """Keep a JPEG or PNG and write its entry; the original bytes are never altered."""
    mime, width_px, height_px = _look_at(data, name)
    blob = keep_blob(data, mime=mime, wall=survey.wall)
    body = {
        "digest": blob.digest,
        "size_bytes": blob.size_bytes,
        "mime": mime,
        "name": name,
        "mode": mode,
        "role": role,
        "rectified": rectified,
        "width_px": width_px,
        "height_px": height_px,
        "operator": operator,
    }
    optional = {
        "lamp_side": lamp_side,
        "note": note,
        "bounds_in": list(bounds_in) if bounds_in else None,
        "taken_at": taken_at.isoformat() if taken_at else None,
    }
    body |= {key: value for key, value in optional.items() if value}
    draft = Draft(
        kind="photograph",
        body=body,
        object_id=uuid5(survey.id, f"photograph:{blob.digest}:{name}"),
        made_at=taken_at or moment(),
        observed_by=operator,
    )
    return append_to_survey(survey, [draft], writer=Writer(name=operator, device="desk"))[0]


def _look_at(data: bytes, name: str) -> tuple[str, int, int]:
    Image.MAX_IMAGE_PIXELS = LARGEST_PICTURE_PX
    try:
        with Image.open(io.BytesIO(data), formats=list(MIMES)) as picture:
            return MIMES[str(picture.format)], picture.width, picture.height
    except (UnidentifiedImageError, OSError, Image.DecompressionBombError) as error:
        raise InvalidInput(f"{name} is no JPEG or PNG that can be read.", field="data") from error
