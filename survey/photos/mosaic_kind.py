"""What a mosaic entry must say, and how mosaics become rows.

A version is never replaced: what is said of one may be corrected, its picture may not.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID, uuid5

from gridmap.errors import InvalidInput
from gridmap.grid import Grid
from gridmap.lengths import format_feet_inches
from gridmap.tiles import TILE_PX, level_sizes
from survey.ledger.blobs import has_arrived
from survey.ledger.kinds import History, Projection
from survey.ledger.models import Logbook
from survey.photos.models import Mosaic
from survey.photos.said import check_digest
from survey.record import fields
from survey.record.bodies import survey_of
from survey.record.models import Mode, Survey

PHOTOGRAPHS, IMPORTED = "photographs", "imported"
SOURCES = (PHOTOGRAPHS, IMPORTED)
LARGEST_MOSAIC_PX = 2_000_000_000
LARGEST_ERROR_IN = 120.0
BESIDE_PAINTING_IN = 120.0
MOST_PIECES = 20_000
LONGEST_NAME = 120
LARGEST_FILE_BYTES = 2**40
MOST_VERSIONS = 9_999
_KEYS = frozenset(
    {
        "mode",
        "lamp_side",
        "version",
        "source",
        "pyramid",
        "bounds_in",
        "px_per_in",
        "width_px",
        "height_px",
        "tile_px",
        "levels",
        "error_in",
        "taken_on",
        "pieces",
        "missing",
        "note",
        "original",
        "inputs",
        "operator",
    }
)
_PIECE_KEYS = frozenset({"cell", "photograph", "placement", "gain", "error_in", "share"})
_ORIGINAL_KEYS = frozenset({"digest", "name", "size_bytes", "mime", "photograph"})
_FIXED = ("pyramid", "bounds_in", "px_per_in", "width_px", "height_px", "tile_px", "levels")


def mosaic_id(survey: Survey, mode: str, lamp_side: str, version: int) -> UUID:
    """Return the object id of one version of a survey's mosaic in one light."""
    return uuid5(survey.id, f"mosaic:{mode}:{lamp_side}:{version}")


def check_mosaic(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a mosaic that its own figures, its survey or the store contradict."""
    fields.refuse_unknown_keys(body, _KEYS)
    survey = survey_of(logbook)
    fields.choice(body, "mode", Mode.values)
    fields.text(body, "lamp_side", longest=20)
    fields.whole_number(body, "version", least=1, most=MOST_VERSIONS)
    fields.choice(body, "source", SOURCES)
    fields.text(body, "note", longest=fields.LONGEST_NOTE)
    fields.text(body, "operator", longest=150)
    fields.optional_day(body, "taken_on")
    error_in = _number(body, "error_in")
    if not 0 < error_in <= LARGEST_ERROR_IN:
        raise InvalidInput(
            f"error_in is {error_in:g} in; it lies above 0 and up to {LARGEST_ERROR_IN:g} in.",
            field="error_in",
        )
    check_digest(body, "pyramid")
    check_extent(body, survey)
    _check_pieces(body.get("pieces", []), survey.layout.grid)
    _refuse_historical(body.get("pieces", []), survey)
    _check_cells(fields.texts(body, "missing", most=MOST_PIECES), survey.layout.grid)
    if body.get("inputs"):
        check_digest(body, "inputs")
    _check_original(body.get("original"))
    if not has_arrived(body["pyramid"], logbook.wall):
        raise InvalidInput(
            f"The store has no tiles with digest {body['pyramid'][:12]}….", field="pyramid"
        )
    _refuse_another_picture(body, survey)


def check_extent(body: Mapping[str, Any], survey: Survey) -> None:
    """Refuse a picture whose pixels do not fit the part of the wall that it is said to show."""
    bounds = read_bounds(body.get("bounds_in"), survey)
    width_in = bounds[2] - bounds[0]
    width_px = fields.whole_number(body, "width_px", least=1, most=LARGEST_MOSAIC_PX)
    height_px = fields.whole_number(body, "height_px", least=1, most=LARGEST_MOSAIC_PX)
    if width_px * height_px > LARGEST_MOSAIC_PX:
        raise too_many_pixels(width_px, height_px)
    px_per_in = _number(body, "px_per_in")
    if px_per_in <= 0 or abs(width_px - width_in * px_per_in) > 1.0:
        raise InvalidInput(
            f"px_per_in is {px_per_in:g}; {width_px:,} px over {format_feet_inches(width_in)} are "
            f"{width_px / width_in:.4g}.",
            field="px_per_in",
        )
    refuse_oblong_pixels(bounds, (width_px, height_px), error_in=_number(body, "error_in"))
    levels = len(level_sizes(width_px, height_px))
    if (body.get("tile_px"), body.get("levels")) != (TILE_PX, levels):
        raise InvalidInput(
            f"tile_px and levels must be {TILE_PX} and {levels} for {width_px:,} by "
            f"{height_px:,} px.",
            field="levels",
        )


def refuse_oblong_pixels(
    bounds_in: tuple[float, float, float, float], size_px: tuple[int, int], *, error_in: float
) -> None:
    """Refuse bounds that would stretch the picture by more than its own error of place."""
    x0, y0, x1, y1 = bounds_in
    width_px, height_px = size_px
    px_per_in = width_px / (x1 - x0)
    away_in = abs(height_px / px_per_in - (y1 - y0))
    if away_in > max(1.0 / px_per_in, error_in):
        raise InvalidInput(
            f"{width_px:,} px across {format_feet_inches(x1 - x0)} are {px_per_in:.4g} px/in, but "
            f"{height_px:,} px up {format_feet_inches(y1 - y0)} are "
            f"{height_px / (y1 - y0):.4g}: at its lower edge the picture would lie "
            f"{away_in:.3g} in wrong. Check which part of the wall it shows.",
            field="bounds_in",
        )


def too_many_pixels(width_px: int, height_px: int) -> InvalidInput:
    """Return the refusal of a picture that is too large."""
    return InvalidInput(
        f"The picture has {width_px:,} by {height_px:,} px, {width_px * height_px / 1e9:.2f} "
        f"gigapixels; the limit is {LARGEST_MOSAIC_PX / 1e9:g} for one mosaic. Make it coarser, or "
        "bring it in parts of the wall.",
        field="width_px",
    )


def read_bounds(value: Any, survey: Survey) -> tuple[float, float, float, float]:
    """Return bounds on the wall, with a little room beside the painting; raises InvalidInput."""
    if not isinstance(value, list | tuple) or len(value) != 4:
        raise InvalidInput("bounds_in must be [x0, y0, x1, y1] in wall inches.", field="bounds_in")
    x0, y0, x1, y1 = (_number({"bounds_in": one}, "bounds_in") for one in value)
    width_in, height_in = survey.layout.width_in, survey.layout.height_in
    beside = BESIDE_PAINTING_IN
    on_wall = x0 < x1 and y0 < y1 and x1 > 0 and y1 > 0 and x0 < width_in and y0 < height_in
    near = min(x0, y0) >= -beside and x1 <= width_in + beside and y1 <= height_in + beside
    if not (on_wall and near):
        raise InvalidInput(
            f"From {format_feet_inches(x0)}, {format_feet_inches(y0)} to "
            f"{format_feet_inches(x1)}, {format_feet_inches(y1)} is not on the wall, which is "
            f"{format_feet_inches(width_in)} by {format_feet_inches(height_in)}; a picture may "
            f"reach {format_feet_inches(beside)} beyond it.",
            field="bounds_in",
        )
    return x0, y0, x1, y1


def project_mosaics(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the mosaic of each history anew."""
    survey = survey_of(logbook)
    Mosaic.objects.filter(object_id__in=[h.object_id for h in histories]).delete()
    Mosaic.objects.bulk_create(_row(survey, history) for history in histories)


def _row(survey: Survey, history: History) -> Mosaic:
    content = history.heads[-1].content
    first = history.entries[0].content
    return Mosaic(
        object_id=history.object_id,
        survey=survey,
        head=history.heads[-1],
        conflict=history.conflict,
        mode=content["mode"],
        lamp_side=content.get("lamp_side", ""),
        version=content["version"],
        source=content["source"],
        pyramid_id=first["pyramid"],
        bounds_in=first["bounds_in"],
        px_per_in=first["px_per_in"],
        width_px=first["width_px"],
        height_px=first["height_px"],
        tile_px=first["tile_px"],
        levels=first["levels"],
        error_in=content["error_in"],
        taken_on=content.get("taken_on") or None,
        pieces=content.get("pieces", []),
        missing=content.get("missing", []),
    )


def _refuse_another_picture(body: Mapping[str, Any], survey: Survey) -> None:
    there = Mosaic.objects.filter(
        survey=survey,
        mode=body["mode"],
        lamp_side=body.get("lamp_side", ""),
        version=body["version"],
    ).first()
    if there is None:
        return
    was = {key: getattr(there, "pyramid_id" if key == "pyramid" else key) for key in _FIXED}
    if changed := [key for key in _FIXED if body[key] != was[key]]:
        raise InvalidInput(
            f"{changed[0]} of version {there.version} cannot be changed: outlines may have been "
            "drawn over it. A new picture is a new version.",
            field=changed[0],
        )


def _check_pieces(value: Any, grid: Grid) -> None:
    if not isinstance(value, list) or len(value) > MOST_PIECES:
        raise InvalidInput(f"pieces must be a list of at most {MOST_PIECES:,}.", field="pieces")
    for piece in value:
        if not isinstance(piece, Mapping):
            raise InvalidInput("pieces must be a list of objects.", field="pieces")
        fields.refuse_unknown_keys(piece, _PIECE_KEYS)
        grid.position(str(piece.get("cell")))
        for key in ("photograph", "placement"):
            fields.object_id(piece.get(key), "pieces")
        gain = piece.get("gain")
        if not isinstance(gain, list) or len(gain) != 3:
            raise InvalidInput("pieces: gain must be three numbers, of r, g and b.", field="pieces")
        if not all(0 < _number({"pieces": one}, "pieces") <= 16 for one in gain):
            raise InvalidInput("pieces: each gain lies above 0 and up to 16.", field="pieces")
        _number({"pieces": piece.get("error_in")}, "pieces")
        if not 0 < _number({"pieces": piece.get("share", 1.0)}, "pieces") <= 1:
            raise InvalidInput("pieces: share lies above 0 and up to 1.", field="pieces")


def _refuse_historical(pieces: Sequence[Mapping[str, Any]], survey: Survey) -> None:
    """Refuse a piece of a historical picture: a mosaic is measured on."""
    asked = {piece["photograph"] for piece in pieces}
    old = survey.photographs.filter(pk__in=asked, role="historic").first() if asked else None
    if old is not None:
        raise InvalidInput(
            f"pieces: {old.name} is a historical picture, on which nothing is measured; leave it "
            "out of the mosaic.",
            field="pieces",
        )


def _check_cells(labels: Sequence[str], grid: Grid) -> None:
    for label in labels:
        grid.position(label)


def _check_original(value: Any) -> None:
    if value is None:
        return
    if not isinstance(value, Mapping):
        raise InvalidInput("original must be an object.", field="original")
    fields.refuse_unknown_keys(value, _ORIGINAL_KEYS)
    check_digest(value)
    fields.text(value, "name", longest=LONGEST_NAME)
    fields.text(value, "mime", longest=80)
    if "size_bytes" in value:
        fields.whole_number(value, "size_bytes", least=1, most=LARGEST_FILE_BYTES)
    if value.get("photograph"):
        fields.object_id(value["photograph"], "original")


def _number(body: Mapping[str, Any], key: str) -> float:
    value = body.get(key)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise InvalidInput(f"{key} is {value!r}; it must be a number.", field=key)
    return float(value)


MOSAICS = Projection(
    "mosaic",
    {"mosaic": check_mosaic},
    project_mosaics,
    lambda logbook: Mosaic.objects.filter(survey__logbook=logbook).delete() and None,
)
