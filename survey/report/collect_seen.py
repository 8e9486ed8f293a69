"""What a survey saw and did not see, and the photographs that it rests on, as a report says it."""

from collections import defaultdict

import shapely
from shapely.geometry.base import BaseGeometry

from survey.photos.base_pictures import shown_pct
from survey.photos.mosaics import mosaics_of
from survey.record.models import Mode, Survey
from survey.record.overview import mode_coverages
from survey.record.projection import wall_shape
from survey.record.selectors import coverage_by_mode, painted_area, touch_by_mode
from survey.report import content as says

LEAST_AREA_SQ_IN = 1e-6  # below this a leftover of cutting is rounding, not a place


def coverages(survey: Survey) -> tuple[says.Coverage, ...]:
    """Return per mode what was seen, within touch and hidden, openings subtracted."""
    examinations = list(survey.examinations.all())
    seen, touch = coverage_by_mode(examinations), touch_by_mode(examinations)
    painted = painted_area(survey.layout)
    nothing = shapely.Polygon()
    return tuple(
        says.Coverage(
            mode=Mode(row.mode).label,
            painted_sq_in=row.painted_sq_in,
            seen_sq_in=row.seen_sq_in,
            touch_sq_in=row.touch_sq_in,
            seen=shapely.intersection(seen.get(row.mode, nothing), painted),
            touch=shapely.intersection(touch.get(row.mode, nothing), painted),
            hidden=_hidden(survey, row.mode, seen.get(row.mode, nothing), painted),
        )
        for row in mode_coverages(survey)
    )


def _hidden(
    survey: Survey, mode: str, seen: BaseGeometry, painted: BaseGeometry
) -> tuple[says.HiddenArea, ...]:
    """Group what was hidden by cause; what is left unseen has no entry and is named so."""
    pieces: dict[str, list[BaseGeometry]] = defaultdict(list)
    for row in survey.examinations.filter(mode=mode):
        box = shapely.box(*survey.layout.grid.bounds(row.cell))
        if row.state == "not-examined":
            pieces[row.cause or "not examined"].append(box)
        for area in row.hidden:
            shape = wall_shape(area["geometry"], survey.layout)
            pieces[area["cause"]].append(shapely.intersection(shape, box))
    areas = []
    left = shapely.difference(painted, seen)
    for cause, parts in sorted(pieces.items()):
        shape = shapely.intersection(shapely.union_all(parts), left)
        if shape.area > LEAST_AREA_SQ_IN:
            areas.append(says.HiddenArea(cause, shape, shape.area))
            left = shapely.difference(left, shape)
    if left.area > LEAST_AREA_SQ_IN:
        areas.append(says.HiddenArea("no examination on record", left, left.area))
    return tuple(areas)


def not_seen_cells(survey: Survey) -> tuple[says.CellNote, ...]:
    """Return the cells that a mode of the survey did not see whole, each with its cause."""
    examined = {(row.cell, row.mode): row for row in survey.examinations.all()}
    notes = []
    for cell in survey.layout.grid.labels():
        for mode in survey.modes:
            row = examined.get((cell, mode))
            if row is None:
                cause = "no examination on record"
            elif row.state == "not-examined":
                cause = row.cause
            elif row.hidden:
                cause = "partly hidden: " + ", ".join(sorted({a["cause"] for a in row.hidden}))
            else:
                continue
            notes.append(says.CellNote(cell, cause, Mode(mode).label))
    return tuple(notes)


def images(survey: Survey) -> tuple[says.ImageRow, ...]:
    """Return the survey's photographs with digest, time, operator and place."""
    grid = survey.layout.grid
    rows = []
    for row in survey.photographs.all():
        place = ""
        if row.bounds_in:
            x0, y0, x1, y1 = row.bounds_in
            first, last = grid.cell_at(x0, y1 - 1e-3), grid.cell_at(x1 - 1e-3, y0)
            place = first or "" if first == last else f"{first} to {last}"
        rows.append(
            says.ImageRow(
                name=row.name,
                digest=row.blob_id,
                taken_at=row.taken_at,
                operator=row.operator,
                mode=row.get_mode_display() + (f", {row.lamp_side}" if row.lamp_side else ""),
                place=place or ", ".join(row.cells),
                survey=survey.code,
            )
        )
    rows += [
        says.ImageRow(
            name=f"Mosaic {row.version}" + (f", {row.taken_on}" if row.taken_on else ""),
            digest=row.pyramid_id,
            operator=row.head.content.get("operator") or row.head.observed_by,
            mode=row.get_mode_display(),
            place=f"{shown_pct(row, survey)} % of wall",
            survey=survey.code,
        )
        for row in mosaics_of(survey)
    ]
    return tuple(rows)
