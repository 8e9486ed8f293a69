"""Which cells have something to show, and how each item stands in the schedule of a report."""

from collections import defaultdict
from functools import partial
from pathlib import Path

from survey.compare.model import Comparison, NoiseModel
from survey.compare.uncertainty import area_sd_sq_in, drawn_error_in, length_sd_in
from survey.ledger.blobs import blob_path
from survey.photos.base_pictures import BasePicture, base_pictures
from survey.photos.models import Mosaic
from survey.photos.pyramids import frame_of, read_region
from survey.record.models import Observation, Survey
from survey.record.said import error_said
from survey.record.selectors import standing_observations
from survey.report import content as says

NOISE = NoiseModel()
ENDS_OF_A_LINE = 2
LINE_IN = 0.5  # a mosaic of whole pixels may end so much before the wall does


def size_of(row: Observation) -> says.Size:
    """Return an outline's size with the standard error of its drawing."""
    error_in = drawn_error_in(
        row.boundary_error_in or NOISE.default_boundary_error_in, row.picture_error_in
    )
    if row.geometry_kind == "area":
        sd = area_sd_sq_in(
            boundary_error_in=error_in,
            perimeter_in=row.perimeter_in,
            correlation_length_in=NOISE.correlation_length_in,
        )
        return says.Size(row.area_sq_in, "sq in", sd)
    if row.geometry_kind == "line":
        sd = length_sd_in(boundary_error_in=error_in, ends=ENDS_OF_A_LINE)
        return says.Size(row.length_in, "in", sd)
    return says.Size(1.0, "count")


def findings_by_id(found: Comparison | None) -> dict[str, says.Finding]:
    """Return the finding of every outline that a comparison speaks of."""
    findings: dict[str, says.Finding] = {}
    for item in found.items if found else ():
        for object_id in (*item.before_ids, *item.after_ids):
            findings[object_id] = says.Finding(item.finding)
    return findings


def cell_plates(
    survey: Survey, against: Survey | None, found: Comparison | None
) -> tuple[says.CellPlate, ...]:
    """Return a plate for each cell with an outline of the survey, in reading order."""
    findings = findings_by_id(found)
    by_cell: dict[str, list[says.PlateOutline]] = defaultdict(list)
    for row in standing_observations(survey):
        for cell in row.cells:
            by_cell[cell].append(_outline(row, findings.get(str(row.pk))))
    shown = set(by_cell)
    for row in standing_observations(against) if against else ():
        for cell in shown.intersection(row.cells):
            by_cell[cell].insert(0, _outline(row, None, earlier=True))
    pictures = [(row, _picture(row)) for row in _pictures(survey, against)]
    grid = survey.layout.grid
    return tuple(
        says.CellPlate(
            cell=cell,
            bounds_in=grid.bounds(cell),
            outlines=tuple(by_cell[cell]),
            picture=_under(cell, grid.bounds(cell), pictures),
        )
        for cell in grid.labels()
        if cell in shown
    )


def _outline(
    row: Observation, finding: says.Finding | None, *, earlier: bool = False
) -> says.PlateOutline:
    return says.PlateOutline(
        item=row.item,
        term=row.term,
        kind=row.geometry_kind,
        shape=row.shape,
        size=size_of(row),
        finding=finding,
        note=row.details.get("note", ""),
        earlier=earlier,
    )


def _pictures(survey: Survey, against: Survey | None) -> list[BasePicture]:
    """Return the survey's pictures in normal light first, then the others, then earlier ones."""
    found = sorted(base_pictures(survey), key=lambda row: row.mode != "normal")
    return found or (base_pictures(against) if against else [])


def _picture(row: BasePicture) -> says.BasePicture:
    if isinstance(row, Mosaic):
        return says.BasePicture(
            name=mosaic_name(row),
            bounds_in=frame_of(row).bounds_in,
            mode=row.get_mode_display(),
            source=partial(read_region, row),
            taken_on=row.taken_on,
            digest=row.pyramid_id,
            error_in=row.error_in,
            px_per_in=row.px_per_in,
        )
    x0, y0, x1, y1 = row.bounds_in or (0.0, 0.0, 0.0, 0.0)
    return says.BasePicture(
        name=row.name,
        bounds_in=(x0, y0, x1, y1),
        mode=row.get_mode_display(),
        source=Path(blob_path(row.blob_id)),
        taken_on=row.taken_at.date() if row.taken_at else None,
        digest=row.blob_id,
    )


def mosaic_name(mosaic: Mosaic) -> str:
    """Return how a report names a mosaic: with its survey and version."""
    side = f", lamp {mosaic.lamp_side}" if mosaic.lamp_side else ""
    return f"mosaic of {mosaic.survey.code}{side}, version {mosaic.version}"


def _under(
    cell: str,
    bounds_in: tuple[float, float, float, float],
    pictures: list[tuple[BasePicture, says.BasePicture]],
) -> says.BasePicture | None:
    """Return the first picture that shows the whole cell."""
    x0, y0, x1, y1 = bounds_in
    for row, picture in pictures:
        left, low, right, high = picture.bounds_in
        inside = left <= x0 and low <= y0 + LINE_IN and right >= x1 - LINE_IN and high >= y1
        if inside and cell not in getattr(row, "missing", ()):
            return picture
    return None


def schedule_rows(
    survey: Survey, found: Comparison | None, first_seen: dict[str, str]
) -> tuple[says.ScheduleRow, ...]:
    """Return every standing item by cell and label."""
    findings = findings_by_id(found)
    order = {cell: place for place, cell in enumerate(survey.layout.grid.labels())}
    rows = sorted(
        standing_observations(survey),
        key=lambda row: (order.get(row.cells[0], 0) if row.cells else 0, row.item),
    )
    return tuple(
        says.ScheduleRow(
            item=row.item,
            cells=tuple(row.cells),
            term=row.term,
            size=size_of(row),
            condition=row.condition,
            urgency=row.urgency,
            first_seen=first_seen.get(str(row.pk), survey.code),
            finding=findings.get(str(row.pk)),
            note=row.details.get("note", ""),
            drawn_error=_drawn_error(row),
        )
        for row in rows
    )


def _drawn_error(row: Observation) -> str:
    """Say the errors apart where an outline was drawn over a picture of known place."""
    if row.picture_error_in is None:
        return ""
    stated = row.boundary_error_in or NOISE.default_boundary_error_in
    return error_said(stated, row.picture_error_in)
