"""What a photograph entry must say, and how photographs become rows."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.ledger.blobs import has_arrived
from survey.ledger.drafts import read_moment
from survey.ledger.kinds import History, Projection
from survey.ledger.models import BlobArrival, Entry, Logbook
from survey.ledger.selectors import histories_of
from survey.photos import said
from survey.photos.models import Photograph
from survey.record import fields
from survey.record.bodies import survey_of
from survey.record.models import Mode, Survey

_KEYS = frozenset(
    {
        "digest",
        "size_bytes",
        "mime",
        "name",
        "mode",
        "lamp_side",
        "role",
        "rectified",
        "bounds_in",
        "width_px",
        "height_px",
        "taken_at",
        "operator",
        "note",
        "cells",
        "light",
        "testimony",
        "raw",
        "slate",
        "historic",
    }
)
LARGEST_SIDE_PX = 200_000


def check_photograph(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a photograph whose bytes are not in the store."""
    check_statement(body, survey_of(logbook))
    # A tablet's note may come before its bytes: it is shown as soon as they have arrived.
    named = [] if body["role"] == "note" else [body["digest"]]
    if body.get("raw"):
        named.append(body["raw"]["digest"])
    for digest in named:
        if not has_arrived(digest, logbook.wall):
            raise InvalidInput(
                f"The store has no bytes with digest {digest[:12]}….", field="digest"
            )


def check_statement(body: Mapping[str, Any], survey: Survey) -> None:
    """Refuse what cannot be said of a photograph, whether or not its bytes are here."""
    fields.refuse_unknown_keys(body, _KEYS)
    said.check_digest(body)
    fields.needed_text(body, "name", longest=120)
    fields.choice(body, "mode", Mode.values)
    fields.choice(body, "role", said.ROLES)
    fields.text(body, "lamp_side", longest=20)
    fields.text(body, "operator", longest=150)
    fields.text(body, "note", longest=fields.LONGEST_NOTE)
    if body.get("taken_at") not in (None, ""):
        read_moment(body["taken_at"], field="taken_at")
    for side in ("width_px", "height_px"):
        fields.whole_number(body, side, least=1, most=LARGEST_SIDE_PX)
    for label in fields.texts(body, "cells", most=said.MOST_CELLS):
        survey.layout.grid.position(label)
    said.check_light(body)
    said.check_testimony(body)
    said.check_raw(body)
    said.check_slate(body)
    said.check_historic(body)
    if fields.optional_flag(body, "rectified") or body.get("bounds_in") is not None:
        _check_bounds(body.get("bounds_in"), survey.layout.width_in, survey.layout.height_in)


def _check_bounds(bounds: Any, width_in: float, height_in: float) -> None:
    numbers = isinstance(bounds, list) and len(bounds) == 4
    if not numbers or not all(isinstance(n, int | float) for n in bounds):
        raise InvalidInput("bounds_in must be [x0, y0, x1, y1] in wall inches.", field="bounds_in")
    x0, y0, x1, y1 = bounds
    if not (x0 < x1 and y0 < y1 and x1 > 0 and y1 > 0 and x0 < width_in and y0 < height_in):
        raise InvalidInput(f"bounds_in {bounds} lie off the wall.", field="bounds_in")


def project_photographs(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the photograph of each history anew."""
    survey = survey_of(logbook)
    Photograph.objects.filter(object_id__in=[h.object_id for h in histories]).delete()
    contents = {h.object_id: h.heads[-1].content for h in histories}
    arrived = set(
        BlobArrival.objects.filter(
            wall=survey.wall, blob__in={content["digest"] for content in contents.values()}
        ).values_list("blob_id", flat=True)
    )
    rows = []
    for history in histories:
        content = contents[history.object_id]
        if content["digest"] not in arrived:
            continue
        taken_at = content.get("taken_at")
        rows.append(
            Photograph(
                object_id=history.object_id,
                survey=survey,
                head=history.heads[-1],
                conflict=history.conflict,
                blob_id=content["digest"],
                raw_blob_id=content["raw"]["digest"] if content.get("raw") else None,
                name=content["name"],
                mode=content["mode"],
                lamp_side=content.get("lamp_side", ""),
                role=content["role"],
                rectified=content.get("rectified", False),
                bounds_in=content.get("bounds_in"),
                cells=content.get("cells", []),
                width_px=content["width_px"],
                height_px=content["height_px"],
                taken_at=datetime.fromisoformat(taken_at) if taken_at else None,
                operator=content.get("operator", ""),
                light=content.get("light", {}),
                testimony=content.get("testimony", {}),
                slate=content.get("slate", {}),
                historic=content.get("historic", {}),
                note=content.get("note", ""),
            )
        )
    Photograph.objects.bulk_create(rows)


def show_arrived(digest: str, wall: Wall) -> None:
    """Show the photographs of the wall that waited for these bytes."""
    shown = Photograph.objects.filter(survey__wall=wall).values("object_id")
    waiting = Entry.objects.filter(kind="photograph", logbook__wall=wall).exclude(
        object_id__in=shown
    )
    for logbook in Logbook.objects.filter(pk__in=waiting.values("logbook")):
        named = {
            entry.object_id
            for entry in waiting.filter(logbook=logbook)
            if entry.content.get("digest") == digest
        }
        for projection, histories in histories_of(logbook, named):
            projection.project(logbook, histories)


PROJECTION = Projection(
    "photograph",
    {"photograph": check_photograph},
    project_photographs,
    lambda logbook: Photograph.objects.filter(survey__logbook=logbook).delete() and None,
)
