"""Which mosaics of the whole wall are there, and how does a new version come on record?

A new picture is always a new version beside the earlier ones. The same pictures laid together once
more in the same way make none.
"""

import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction

from gridmap.errors import NotFound
from gridmap.models import Wall
from gridmap.tiles import TILE_PX, Bounds
from survey.clock import moment
from survey.ledger.blobs import digest_of_file, keep_file
from survey.ledger.canonical import canonical_bytes, digest_of
from survey.ledger.drafts import Draft, Writer
from survey.ledger.models import Logbook
from survey.photos.models import Mosaic
from survey.photos.mosaic_kind import mosaic_id
from survey.photos.tile_writing import MIME, Made
from survey.record.models import Survey
from survey.record.services import append_to_survey


@dataclass(frozen=True)
class MosaicStatement:
    """What is said of a mosaic besides its pixels. `error_in` is the standard error of a place."""

    mode: str
    bounds_in: Bounds
    error_in: float
    source: str
    lamp_side: str = ""
    taken_on: date | None = None
    operator: str = ""
    note: str = ""
    pieces: tuple[Mapping[str, Any], ...] = ()
    missing: tuple[str, ...] = ()
    original: Mapping[str, Any] | None = None


def mosaics_of(survey: Survey) -> list[Mosaic]:
    """Return a survey's mosaics by light, the newest version of each first."""
    rows = survey.mosaics.select_related("head", "pyramid", "survey__wall")
    return list(rows.order_by("mode", "lamp_side", "-version"))


def newest_mosaics(survey: Survey) -> list[Mosaic]:
    """Return the newest version in each light, leaving out what contradicts itself."""
    newest: dict[tuple[str, str], Mosaic] = {}
    for row in mosaics_of(survey):
        if not row.conflict:
            newest.setdefault((row.mode, row.lamp_side), row)
    return list(newest.values())


def mosaic_of_wall(wall: Wall, mosaic: UUID) -> Mosaic:
    """Return a mosaic of the wall; raises NotFound."""
    rows = Mosaic.objects.select_related("head", "pyramid", "survey__wall", "survey__layout")
    found = rows.filter(pk=mosaic, survey__wall=wall).first()
    if found is None:
        raise NotFound(f"There is no such mosaic on {wall.name}.")
    return found


def inputs_digest(said: Mapping[str, Any]) -> str:
    """Return a digest of what a mosaic is made from: the same makes no second version."""
    return digest_of(canonical_bytes(dict(said)))


def version_made_from(survey: Survey, mode: str, lamp_side: str, inputs: str) -> Mosaic | None:
    """Return the version that was made from these very inputs."""
    rows = survey.mosaics.filter(mode=mode, lamp_side=lamp_side).select_related("head")
    return next((row for row in rows if row.head.content.get("inputs") == inputs), None)


def keep_version(
    survey: Survey,
    statement: MosaicStatement,
    write: Callable[[Path], Made],
    *,
    inputs: str,
    writer: Writer,
    original: Path | None = None,
) -> Mosaic:
    """Write the tiles, keep them as one file, and put the version on record.

    `write` makes the tiles under a path; whatever it raises leaves nothing behind. `original` is
    the file that the picture came as; it is kept as it is.
    """
    with work_folder() as folder:
        path = folder / "tiles.zip"
        made = write(path)
        digest = digest_of_file(path)
        with transaction.atomic():
            Logbook.objects.select_for_update().get(pk=survey.logbook_id)
            there = version_made_from(survey, statement.mode, statement.lamp_side, inputs)
            if there is not None:  # asked for twice at the same time
                return there
            keep_file(path, digest=digest, mime=MIME, wall=survey.wall)
            if original is not None and statement.original:
                keep_file(
                    original,
                    digest=statement.original["digest"],
                    mime=statement.original["mime"],
                    wall=survey.wall,
                )
            body = {**_body(statement, made), "pyramid": digest, "inputs": inputs}
            return _append(survey, body, writer)


def _append(survey: Survey, body: dict[str, Any], writer: Writer) -> Mosaic:
    mode, lamp_side = body["mode"], body["lamp_side"]
    rows = survey.mosaics.filter(mode=mode, lamp_side=lamp_side).order_by("-version")
    last = rows.values_list("version", flat=True).first() or 0
    object_id = mosaic_id(survey, mode, lamp_side, last + 1)
    draft = Draft(
        kind="mosaic",
        body={**body, "version": last + 1},
        object_id=object_id,
        made_at=moment(),
        observed_by=writer.name,
    )
    append_to_survey(survey, [draft], writer=writer)
    return Mosaic.objects.select_related("survey__wall", "head").get(pk=object_id)


def _body(statement: MosaicStatement, made: Made) -> dict[str, Any]:
    x0, _, x1, _ = statement.bounds_in
    optional = {
        "operator": statement.operator,
        "note": statement.note,
        "taken_on": statement.taken_on.isoformat() if statement.taken_on else None,
        "original": dict(statement.original) if statement.original else None,
    }
    return {
        "mode": statement.mode,
        "lamp_side": statement.lamp_side,
        "source": statement.source,
        "bounds_in": list(statement.bounds_in),
        "px_per_in": made.width_px / (x1 - x0),
        "width_px": made.width_px,
        "height_px": made.height_px,
        "tile_px": TILE_PX,
        "levels": made.levels,
        "error_in": statement.error_in,
        "pieces": [dict(piece) for piece in statement.pieces],
        "missing": list(statement.missing),
        **{key: value for key, value in optional.items() if value},
    }


@contextmanager
def work_folder() -> Iterator[Path]:
    """Yield an empty folder beside the store; it is gone at the end with all that is in it."""
    parent = settings.DATA_FOLDER / "arriving"
    parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=parent, prefix="mosaic-") as folder:
        yield Path(folder)
