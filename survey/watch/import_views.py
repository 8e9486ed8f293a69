"""Pages on which readings come in: a logger's file with its preview, and readings by hand."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import numpy as np
from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import InvalidInput, NotFound, PontataError
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.blobs import has_arrived, keep_blob, read_blob
from survey.ledger.desk import writer_at_desk
from survey.ledger.drafts import new_id, read_uuid
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.record.notices import notices_of
from survey.walls.form_fields import NamedForm, refuse
from survey.watch.blocks import moment_of_us
from survey.watch.column_heads import suggested
from survey.watch.field_table import LARGEST_FILE_BYTES, FieldTable, field_table
from survey.watch.field_times import Unclear, stamp_columns
from survey.watch.importing import (
    MIME,
    Preview,
    import_file,
    import_readings,
    preview,
    usual_how,
    withdraw_import,
)
from survey.watch.instrument_forms import HandForm
from survey.watch.instruments import instrument_of_wall
from survey.watch.logger_text import How, read_logger
from survey.watch.models import Instrument, ReadingsImport
from survey.watch.quantities import shown, to_canonical
from survey.watch.reading_kinds import FILE, HAND

SAMPLE_ROWS = 4
LISTED = 50
ORDERS = [("", "as the file shows, else ask"), ("day", "day first"), ("month", "month first")]
DECIMALS = [("", "as the file shows, else ask"), (".", "a point"), (",", "a comma")]


class FileForm(NamedForm):
    """The file of a logger."""

    file = forms.FileField(
        label="The logger's file", help_text="Delimited text, as the logger wrote it"
    )


@dataclass(frozen=True)
class Asked:
    """What the preview's form says: the file that is kept, how to read it, what it replaces."""

    digest: str
    file_name: str
    how: How
    replaces: UUID | None
    sure: bool


@require_http_methods(["GET", "POST"])
def import_page(request: HttpRequest, wall: str, instrument: UUID) -> HttpResponse:
    """Choose a file, look at what it says, match its columns, and take its readings in."""
    opened = open_page(request, wall, Action.RECORD)
    found = instrument_of_wall(opened, instrument)
    if request.method == "GET":
        return _choose_page(request, found, FileForm())
    if "digest" not in request.POST:
        form = FileForm(request.POST, request.FILES)
        if not form.is_valid():
            return _choose_page(request, found, form, status=400)
        return _received(request, found, form)
    asked = _asked(request.POST, opened)
    data = read_blob(asked.digest)
    if request.POST.get("do") != "take":
        return _preview_page(request, found, data, asked)
    try:
        made = import_file(
            found, data, file_name=asked.file_name, how=asked.how,
            writer=writer_at_desk(request.user), replaces=asked.replaces, sure=asked.sure,
        )  # fmt: skip
    except PontataError as error:
        return _preview_page(request, found, data, asked, error=error)
    if made.new:
        messages.success(request, f"{made.row.accepted:,} readings are on record.")
    else:
        messages.info(request, "This file is on record already. Nothing was changed.")
    return redirect("watch:instrument", opened.slug, found.object_id)


def _received(request: HttpRequest, found: Instrument, form: FileForm) -> HttpResponse:
    """Keep the file's bytes, which is no import yet, and show what they say."""
    file = form.cleaned_data["file"]
    try:
        if file.size > LARGEST_FILE_BYTES:
            raise InvalidInput(
                f"{file.name} has {file.size:,} bytes; the limit is {LARGEST_FILE_BYTES:,}.",
                field="file",
            )
        data = file.read()
        field_table(data)
    except PontataError as error:
        refuse(form, error)
        return _choose_page(request, found, form, status=400)
    digest = keep_blob(data, mime=MIME, wall=found.wall).digest
    replaces = request.GET.get("replaces")
    asked = Asked(
        digest=digest,
        file_name=str(file.name),
        how=_fitting(usual_how(found), field_table(data)),
        replaces=read_uuid(replaces, field="replaces") if replaces else None,
        sure=False,
    )
    return _preview_page(request, found, data, asked)


def _fitting(how: How, table: FieldTable) -> How:
    """Return how the last file was read, without columns that this one does not have."""
    columns = {head: name for head, name in how.columns.items() if head in table.heads}
    return How(columns, how.day_first, how.decimal, how.zone, how.offset_min)


def _asked(said: Mapping[str, Any], wall: Wall) -> Asked:
    digest = str(said["digest"])
    if not has_arrived(digest, wall):
        raise NotFound("The file is not here any more; choose it again.")
    heads = [key for key in said if key.startswith("head_")]
    columns = {
        str(said[key]): str(said.get(f"channel_{key[5:]}"))
        for key in heads
        if said.get(f"channel_{key[5:]}")
    }
    order = {"day": True, "month": False}.get(str(said.get("day_first")))
    replaces = said.get("replaces")
    return Asked(
        digest=digest,
        file_name=str(said.get("file_name", ""))[-300:],
        how=How(columns, order, str(said.get("decimal") or "") or None),
        replaces=read_uuid(replaces, field="replaces") if replaces else None,
        sure=bool(said.get("sure")),
    )


def _choose_page(
    request: HttpRequest, found: Instrument, form: FileForm, *, status: int = 200
) -> HttpResponse:
    context = {
        "wall": found.wall,
        "notices": notices_of(found.wall, request.user),
        "instrument": found,
        "form": form,
        "replaces": request.GET.get("replaces", ""),
    }
    return render(request, "watch/import_choose.html", context, status=status)


def _preview_page(
    request: HttpRequest,
    found: Instrument,
    data: bytes,
    asked: Asked,
    *,
    error: PontataError | None = None,
) -> HttpResponse:
    """Show what the file says, read as asked; a question or refusal stands above it."""
    table = field_table(data)
    looked = None
    try:
        looked = preview(found, data, how=asked.how, replaces=asked.replaces)
    except PontataError as refused:
        error = refused
    columns = looked.how.columns if looked else asked.how.columns
    context = {
        "wall": found.wall,
        "notices": notices_of(found.wall, request.user),
        "instrument": found,
        "asked": asked,
        "error": error,
        "question": isinstance(error, Unclear),
        "table": table,
        "columns": _columns(table, columns, found),
        "orders": ORDERS,
        "order": {True: "day", False: "month"}.get(asked.how.day_first, ""),  # type: ignore[arg-type]
        "decimals": DECIMALS,
        "looked": looked,
        "summary": _summary(looked, found) if looked else [],
        "refused": looked.read.refused[:LISTED] if looked else [],
        "imports": ReadingsImport.objects.filter(
            instrument_id=found.object_id, replaced_by__isnull=True, source=FILE
        ).order_by("-head__seq")[:50],
    }
    status = 400 if error and request.POST.get("do") == "take" else 200
    return render(request, "watch/import_preview.html", context, status=status)


def _columns(
    table: FieldTable, matched: Mapping[str, str], found: Instrument
) -> list[dict[str, Any]]:
    stamps = stamp_columns(table)
    others = [head for place, head in enumerate(table.heads) if place not in stamps]
    filled = matched or suggested(others, found.channels)
    rows = range(min(table.rows, SAMPLE_ROWS))
    return [
        {
            "place": place,
            "head": head,
            "stamp": place in stamps,
            "channel": filled.get(head, ""),
            "sample": [table.text(row, place) for row in rows],
        }
        for place, head in enumerate(table.heads)
    ]


def _summary(looked: Preview, found: Instrument) -> list[dict[str, Any]]:
    quantities = {one["name"]: (one["quantity"], one["unit"]) for one in found.channels}
    rows = []
    for column in looked.read.columns:
        times, values = looked.read.channels[column.channel]
        quantity, unit = quantities[column.channel]
        heard = values[~np.isnan(values)]
        least, most = (
            (shown(float(to_canonical(end, quantity, unit)), quantity) for end in _ends(heard))
            if heard.size
            else ("", "")
        )
        rows.append(
            {
                "column": column, "count": int(heard.size), "least": least, "most": most,
                "first": moment_of_us(int(times[0])) if times.size else None,
                "last": moment_of_us(int(times[-1])) if times.size else None,
            }
        )  # fmt: skip
    return rows


def _ends(heard: np.ndarray[Any, Any]) -> tuple[float, float]:
    return float(heard.min()), float(heard.max())


@require_http_methods(["GET", "POST"])
def hand_readings(request: HttpRequest, wall: str, instrument: UUID) -> HttpResponse:
    """Write down what was read by eye or with an instrument that keeps no file."""
    opened = open_page(request, wall, Action.RECORD)
    found = instrument_of_wall(opened, instrument)
    form = HandForm(request.POST or None, instrument=found, initial={"at": moment()})
    sent = request.POST.get("object_id")
    object_id = read_uuid(sent, field="object_id") if sent else new_id()
    if request.method == "POST" and form.is_valid():
        try:
            import_readings(
                found,
                form.readings(),
                source=HAND,
                writer=writer_at_desk(request.user),
                note=form.cleaned_data["note"],
                object_id=object_id,
            )
        except PontataError as error:
            refuse(form, error)
        else:
            messages.success(request, "The readings are on record.")
            return redirect("watch:instrument", opened.slug, found.object_id)
    context = {"wall": opened, "instrument": found, "form": form, "object_id": object_id}
    status = 400 if form.errors else 200
    return render(request, "watch/hand_readings.html", context, status=status)


def import_of(found: Instrument, object_id: UUID) -> ReadingsImport:
    """Return an import of an instrument; raises NotFound."""
    row = ReadingsImport.objects.filter(instrument_id=found.object_id, object_id=object_id).first()
    if row is None:
        raise NotFound(f"Instrument {found.code} has no such import.")
    return row


@require_GET
def refused_lines(
    request: HttpRequest, wall: str, instrument: UUID, readings: UUID
) -> HttpResponse:
    """Hand over everything that an import refused, as CSV, with line and reason."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    found = instrument_of_wall(opened, instrument)
    row = import_of(found, readings)
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    name = f"refused-{found.code}-{row.head.made_at:%Y-%m-%d}.csv"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    write = csv.writer(response)
    write.writerow(["line", "column", "text", "reason"])
    for one in _refused_of(row, found):
        write.writerow([one["line"], one["column"], one["text"], one["reason"]])
    return response


def _refused_of(row: ReadingsImport, found: Instrument) -> list[dict[str, Any]]:
    if row.source != FILE:
        return list(row.content.get("refused_lines", []))
    read = read_logger(
        read_blob(row.content["digest"]),
        channels=found.channels,
        clock=found.content["time"],
        how=How.from_json(row.content["mapping"]),
    )
    return [vars(one) for one in read.refused]


@require_POST
def import_withdrawal(
    request: HttpRequest, wall: str, instrument: UUID, readings: UUID
) -> HttpResponse:
    """Take an import back, with the reason; it stays in the record and counts no more."""
    opened = open_page(request, wall, Action.RECORD)
    found = instrument_of_wall(opened, instrument)
    reason = request.POST.get("reason", "").strip()
    if not reason:
        raise InvalidInput("Say in a few words why the import is taken back.", field="reason")
    withdraw_import(import_of(found, readings), reason=reason, writer=writer_at_desk(request.user))
    messages.success(request, "The import counts no more; it stays in the record.")
    return redirect("watch:instrument", opened.slug, found.object_id)
