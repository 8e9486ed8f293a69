"""How does a photograph come on record: checked whole, kept as it came, named by one entry?

Whatever is refused is refused before a byte is kept.
"""

import os
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

from django.conf import settings
from django.db import transaction

from gridmap.errors import Clash, InvalidInput
from survey.clock import moment
from survey.ledger.blobs import digest_of_file, keep_file
from survey.ledger.drafts import STORED, Draft, Receipt, Writer
from survey.ledger.models import Logbook
from survey.ledger.selectors import head_ids
from survey.photos.file_formats import check_raw_file, raw_mime, stem_of
from survey.photos.formats.source import HeldBytes
from survey.photos.looking import Looked, look, opened, refuse_large_file
from survey.photos.models import Photograph
from survey.photos.projection import check_statement
from survey.photos.said import RAKING
from survey.photos.testimony import Testimony, read_testimony
from survey.record.models import Survey
from survey.record.services import append_to_survey

LONGEST_NAME = 120
ALREADY_TAKEN = "already there"


@dataclass(frozen=True)
class Statement:
    """What a person says of the photographs that are taken in: light, place, role.

    `clock_zone` is the zone that the camera's clock was set to, where the file states none.
    """

    mode: str
    lamp_side: str = ""
    lamp: str = ""
    angle_deg: float | None = None
    scale_bar: bool = False
    colour_target: bool = False
    cells: tuple[str, ...] = ()
    role: str = "record"
    operator: str = ""  # who took it, where that is not who takes it in
    note: str = ""
    historic: Mapping[str, Any] = field(default_factory=dict)
    rectified: bool = False
    bounds_in: tuple[float, float, float, float] | None = None
    clock_zone: timezone | None = None
    taken_at: datetime | None = None


@dataclass(frozen=True)
class Taken:
    """What became of a file: the photograph, whether it is new, and what a page should say."""

    photograph: Photograph
    status: str
    remarks: tuple[str, ...] = ()
    receipt: Receipt | None = None


def take_in(
    survey: Survey, data: bytes | Path, name: str, *, statement: Statement, writer: Writer
) -> Taken:
    """Check a picture whole, keep its bytes and write its entry; the same bytes are taken once.

    Raises InvalidInput naming the file, why it is refused and what to do; then nothing is kept.
    """
    name = plain_name(name)
    with _as_file(data) as path:
        digest = digest_of_file(path)
        there = survey.photographs.filter(blob_id=digest).first()
        if there is not None:
            return Taken(there, ALREADY_TAKEN)
        looked = look(path, name)
        testimony = _testimony(path, looked)
        body = {
            "digest": digest,
            "size_bytes": path.stat().st_size,
            "mime": looked.mime,
            "name": name,
            "width_px": looked.width_px,
            "height_px": looked.height_px,
            "operator": statement.operator or writer.name,
            **_said(statement, testimony, survey),
        }
        check_statement(body, survey)
        return _keep(survey, path, body, looked=looked, testimony=testimony, writer=writer)


def take_in_raw(
    survey: Survey, data: bytes | Path, name: str, *, writer: Writer, beside: UUID | None = None
) -> Taken:
    """Keep a camera's raw file, unopened, beside its rendering of the same name.

    Raises InvalidInput where no rendering is there yet, or a rendering has another raw file.
    """
    name = plain_name(name)
    with _as_file(data) as path, transaction.atomic():
        raw = _looked_at_raw(path, name)
        photograph = _rendering(survey, name, beside)
        if photograph.raw_blob_id == raw["digest"]:
            return Taken(photograph, ALREADY_TAKEN)
        if photograph.raw_blob_id:
            raise Clash(
                f"{photograph.name} has another raw file already. Nothing was kept.", field="name"
            )
        keep_file(path, digest=raw["digest"], mime=raw["mime"], wall=survey.wall)
        receipt = restate(photograph, {"raw": raw}, writer=writer)
    photograph.refresh_from_db()
    return Taken(photograph, STORED, receipt=receipt)


def _looked_at_raw(path: Path, name: str) -> dict[str, Any]:
    """Return what is stated of a raw file; raises InvalidInput for what does not begin as one."""
    with opened(path) as source:
        refuse_large_file(source.size_bytes, name)
        check_raw_file(source, name)
        size_bytes = source.size_bytes
    return {
        "digest": digest_of_file(path),
        "name": name,
        "size_bytes": size_bytes,
        "mime": raw_mime(name),
    }


def restate(photograph: Photograph, changes: Mapping[str, Any], *, writer: Writer) -> Receipt:
    """Write a correction of a photograph's statement: its heads, with the changes, as one entry.

    A change to None takes a key away. Bytes, size and name of the picture cannot be changed.
    """
    return restate_all(photograph.survey, [(photograph, changes)], writer=writer)[0]


def restate_all(
    survey: Survey,
    changes: list[tuple[Photograph, Mapping[str, Any]]],
    *,
    writer: Writer,
) -> list[Receipt]:
    """Write the corrections of several photographs of a survey: all, or none."""
    drafts = [_correction(photograph, change) for photograph, change in changes]
    return append_to_survey(survey, drafts, writer=writer) if drafts else []


def _correction(photograph: Photograph, change: Mapping[str, Any]) -> Draft:
    fixed = {"digest", "size_bytes", "mime", "width_px", "height_px"} & set(change)
    if fixed:
        raise InvalidInput(
            f"{fixed.pop()} of a photograph cannot be changed; take the other file in as its own.",
            field="digest",
        )
    body = {**photograph.head.content, **change}
    return Draft(
        kind="photograph",
        body={key: value for key, value in body.items() if value is not None},
        object_id=photograph.object_id,
        made_at=moment(),
        observed_by=photograph.head.observed_by,
        parents=head_ids(photograph.survey.logbook, photograph.object_id),
    )


def plain_name(name: str) -> str:
    """Return a file's name without folders and without what no page could show."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    shown = "".join(letter for letter in last if letter.isprintable()).strip()
    if not shown or shown.strip(".") == "":
        raise InvalidInput("name is empty; send the file's name.", field="name")
    if len(shown) > LONGEST_NAME:
        raise InvalidInput(
            f"name has {len(shown)} characters; the limit is {LONGEST_NAME}. Shorten it.",
            field="name",
        )
    return shown


def _rendering(survey: Survey, name: str, beside: UUID | None) -> Photograph:
    """Return the photograph that a raw file belongs to, locked against a second raw file."""
    Logbook.objects.select_for_update().get(pk=survey.logbook_id)
    rows = survey.photographs.exclude(role="note").select_related("head", "survey__logbook")
    found = (
        list(rows.filter(pk=beside))
        if beside
        else [row for row in rows.exclude(name="") if stem_of(row.name) == stem_of(name)]
    )
    if not found:
        raise InvalidInput(
            f"{name} is a raw file, and the survey has no photograph of the same name. Take its "
            "rendering (JPEG, TIFF or HEIC) in first. Nothing was kept.",
            field="name",
        )
    if len(found) > 1:
        raise InvalidInput(
            f"{name} fits {len(found)} photographs of the same name. Say to which it belongs on "
            "the page of that photograph. Nothing was kept.",
            field="name",
        )
    if found[0].conflict:
        raise Clash(
            f"Two statements of {found[0].name} contradict each other; decide between them before "
            "its raw file is taken in. Nothing was kept.",
            field="name",
        )
    return found[0]


def _keep(
    survey: Survey,
    path: Path,
    body: dict[str, Any],
    *,
    looked: Looked,
    testimony: Testimony,
    writer: Writer,
) -> Taken:
    object_id = uuid5(survey.id, f"photograph:{body['digest']}:{body['name']}")
    with transaction.atomic():
        Logbook.objects.select_for_update().get(pk=survey.logbook_id)
        there = survey.photographs.filter(blob_id=body["digest"]).first()
        if there is not None:  # sent twice at the same time
            return Taken(there, ALREADY_TAKEN)
        keep_file(path, digest=body["digest"], mime=looked.mime, wall=survey.wall)
        draft = Draft(
            kind="photograph",
            body=body,
            object_id=object_id,
            made_at=moment(),
            observed_by=writer.name,
        )
        receipt = append_to_survey(survey, [draft], writer=writer)[0]
    photograph = Photograph.objects.get(pk=object_id)
    return Taken(photograph, STORED, (*looked.remarks, *_remarks(testimony, body, survey)), receipt)


def _testimony(path: Path, looked: Looked) -> Testimony:
    if looked.facts.kind == "tiff":
        with opened(path) as source:
            return read_testimony(source)
    return read_testimony(HeldBytes(looked.exif) if looked.exif else None)


def _said(statement: Statement, testimony: Testimony, survey: Survey) -> dict[str, Any]:
    """Return what person and file say, without what nobody says."""
    light = {
        "lamp": statement.lamp,
        "angle_deg": statement.angle_deg,
        "scale_bar": statement.scale_bar,
        "colour_target": statement.colour_target,
    }
    grid = survey.layout.grid
    taken_at = _moment(statement, testimony)
    optional = {
        "rectified": statement.rectified,
        "bounds_in": list(statement.bounds_in) if statement.bounds_in else None,
        "lamp_side": statement.lamp_side,
        "note": statement.note,
        "cells": [grid.label(*grid.position(label)) for label in statement.cells],
        "light": {key: value for key, value in light.items() if value not in (None, "", False)},
        "testimony": dict(testimony.said),
        "historic": dict(statement.historic),
        "taken_at": taken_at.astimezone(UTC).isoformat() if taken_at else None,
    }
    told = {key: value for key, value in optional.items() if value}
    return {"mode": statement.mode, "role": statement.role, **told}


def _moment(statement: Statement, testimony: Testimony) -> datetime | None:
    """Return when it was taken, where person or file says so with a time zone."""
    if statement.taken_at or testimony.taken_at:
        return statement.taken_at or testimony.taken_at
    if testimony.clock and statement.clock_zone:
        return testimony.clock.replace(tzinfo=statement.clock_zone)
    return None


def _remarks(testimony: Testimony, body: Mapping[str, Any], survey: Survey) -> tuple[str, ...]:
    """Return what whoever takes a photograph in should look at."""
    if body["role"] == "historic":
        return ()
    said = [_time_words(testimony, body), _day_words(testimony, body, survey)]
    if body["mode"] == RAKING and not body.get("lamp_side"):
        said.append(
            "Raking light, and the lamp's side is not stated: it cannot be compared. A slate or "
            "its page may say it."
        )
    return tuple(words for words in said if words)


def _time_words(testimony: Testimony, body: Mapping[str, Any]) -> str:
    if body.get("taken_at"):
        return ""
    if testimony.clock is None:
        return "The file does not say when it was taken."
    return "The file's time names no time zone; a slate will put it right."


def _day_words(testimony: Testimony, body: Mapping[str, Any], survey: Survey) -> str:
    """Say where the camera's day lies before the survey began; zones may shift it by one."""
    at = datetime.fromisoformat(body["taken_at"]) if body.get("taken_at") else testimony.clock
    if at is None or at.date() + timedelta(days=1) >= survey.starts_on:
        return ""
    return (
        f"Taken on {at:%-d %b %Y} by its camera, before survey {survey.code} began on "
        f"{survey.starts_on:%-d %b %Y}: is it in the right survey?"
    )


@contextmanager
def _as_file(data: bytes | Path) -> Iterator[Path]:
    """Yield the bytes as a file: decoders read it piece by piece."""
    if isinstance(data, Path):
        yield data
        return
    with arriving_file() as path:
        path.write_bytes(data)
        yield path


@contextmanager
def arriving_file() -> Iterator[Path]:
    """Yield the path of an empty file beside the store; it is gone at the end, unless kept."""
    folder = settings.DATA_FOLDER / "arriving"
    folder.mkdir(parents=True, exist_ok=True)
    handle, text = tempfile.mkstemp(dir=folder, prefix="photograph-")
    os.close(handle)
    path = Path(text)
    try:
        yield path
    finally:
        path.unlink(missing_ok=True)
