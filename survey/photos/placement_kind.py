"""What a placement entry must say, and how placements become rows.

The homography must be what its marked points give: a place that nobody could check is refused.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID, uuid5

import numpy as np

from gridmap.errors import InvalidInput
from gridmap.lengths import quoted
from gridmap.lens import Lens
from gridmap.rectify import MarkedPoint, fit_homography, rectified_size_px, to_wall_in
from survey.ledger.kinds import History, Projection
from survey.ledger.models import Logbook
from survey.photos.models import Photograph, Placement
from survey.photos.said import check_digest
from survey.record import fields
from survey.record.bodies import survey_of
from survey.record.models import Survey

POINT_KINDS = ("crossing", "corner", "mark", "picture-edge")
LONGEST_POINT_NAME = 60
LARGEST_ERROR_IN = 120.0
SAME_PLACE_IN = 0.001  # between the homography that is sent and the one that its points give
_KEYS = frozenset(
    {
        "photograph",
        "digest",
        "points",
        "homography",
        "lens",
        "fit",
        "error_in",
        "bounds_in",
        "px_per_in",
    }
)
_POINT_KEYS = frozenset({"name", "kind", "px", "wall_in"})


def placement_id(photograph_id: UUID) -> UUID:
    """Return the object id of a photograph's placement: there is one, and corrections of it."""
    return uuid5(photograph_id, "placement")


def check_placement(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a placement that its points, its photograph or the wall contradict."""
    fields.refuse_unknown_keys(body, _KEYS)
    survey = survey_of(logbook)
    photograph = _photograph(body, survey)
    points, _ = read_points(body.get("points"))
    lens = read_lens(body.get("lens"), photograph)
    if not isinstance(body.get("fit"), Mapping):
        raise InvalidInput("fit must be an object of residuals and what they say.", field="fit")
    error_in = _number(body.get("error_in"), "error_in")
    if not 0 < error_in <= LARGEST_ERROR_IN:
        raise InvalidInput(
            f"error_in is {error_in:g} in; a picture's error lies above 0 and up to "
            f"{LARGEST_ERROR_IN:g} in.",
            field="error_in",
        )
    bounds = _bounds(body.get("bounds_in"), survey)
    rectified_size_px(bounds, _number(body.get("px_per_in"), "px_per_in"))
    _check_homography(body.get("homography"), points, lens, photograph)


def read_points(value: Any) -> tuple[tuple[MarkedPoint, ...], tuple[str, ...]]:
    """Return marked points and what each is; raises InvalidInput naming the place in the list."""
    if not isinstance(value, list):
        raise InvalidInput("points must be a list of marked points.", field="points")
    points = tuple(_read_point(one, f"points[{place}]") for place, one in enumerate(value))
    names = [point.name for point in points]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice:
        raise InvalidInput(
            f"points: two points are called {quoted(twice)}; each needs a name of its own.",
            field="points",
        )
    return points, tuple(one.get("kind", "mark") for one in value)


def read_lens(value: Any, photograph: Photograph) -> Lens | None:
    """Return the lens of a JSON object with k1 and k2; None for none."""
    if not value:
        return None
    if not isinstance(value, Mapping):
        raise InvalidInput("lens must be an object with k1 and k2.", field="lens")
    fields.refuse_unknown_keys(value, frozenset({"k1", "k2"}))
    k1, k2 = (_number(value.get(key, 0.0), f"lens.{key}") for key in ("k1", "k2"))
    return Lens(photograph.width_px, photograph.height_px, k1, k2)


def project_placements(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the placement of each history anew."""
    survey = survey_of(logbook)
    Placement.objects.filter(object_id__in=[h.object_id for h in histories]).delete()
    Placement.objects.bulk_create(_row(survey, history) for history in histories)


def _row(survey: Survey, history: History) -> Placement:
    content = history.heads[-1].content
    return Placement(
        object_id=history.object_id,
        survey=survey,
        head=history.heads[-1],
        conflict=history.conflict,
        photograph_id=content["photograph"],
        points=content["points"],
        homography=content["homography"],
        lens=content.get("lens") or {},
        fit=content["fit"],
        error_in=content["error_in"],
        bounds_in=content["bounds_in"],
        px_per_in=content["px_per_in"],
    )


def _photograph(body: Mapping[str, Any], survey: Survey) -> Photograph:
    photograph_id = fields.object_id(body.get("photograph"), "photograph")
    digest = check_digest(body)
    found = survey.photographs.filter(pk=photograph_id).first()
    if found is None:
        raise InvalidInput(
            f"photograph is {photograph_id}; survey {survey.code} has no such photograph.",
            field="photograph",
        )
    if found.blob_id != digest:
        raise InvalidInput(
            f"digest is {digest[:12]}…, but photograph {found.name} has {found.blob_id[:12]}….",
            field="digest",
        )
    return found


def _read_point(value: Any, where: str) -> MarkedPoint:
    if not isinstance(value, Mapping):
        raise InvalidInput(f"{where} must be an object.", field="points")
    unknown = set(value) - _POINT_KEYS
    if unknown:
        raise InvalidInput(f"{where} has the unknown key {min(unknown)!r}.", field="points")
    name = value.get("name")
    if not isinstance(name, str) or not name.strip() or len(name) > LONGEST_POINT_NAME:
        raise InvalidInput(
            f"{where}: name is {quoted(name)}; it must be a text of 1 to {LONGEST_POINT_NAME} "
            "characters.",
            field="points",
        )
    if value.get("kind", "mark") not in POINT_KINDS:
        raise InvalidInput(
            f"{where}: kind is {quoted(value.get('kind'))}; it must be one of: "
            f"{', '.join(POINT_KINDS)}.",
            field="points",
        )
    return MarkedPoint(name, _pair(value, "px", where), _pair(value, "wall_in", where))


def _pair(value: Mapping[str, Any], key: str, where: str) -> tuple[float, float]:
    pair = value.get(key)
    if not isinstance(pair, list | tuple) or len(pair) != 2:
        raise InvalidInput(f"{where}: {key} must be two numbers.", field="points")
    x, y = (_number(one, f"{where}: {key}", field="points") for one in pair)
    return x, y


def _number(value: Any, words: str, *, field: str | None = None) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise InvalidInput(
            f"{words} is {quoted(value)}; it must be a number.", field=field or words
        )
    return float(value)


def _bounds(value: Any, survey: Survey) -> tuple[float, float, float, float]:
    if not isinstance(value, list) or len(value) != 4:
        raise InvalidInput("bounds_in must be [x0, y0, x1, y1] in wall inches.", field="bounds_in")
    x0, y0, x1, y1 = (_number(one, "bounds_in") for one in value)
    width_in, height_in = survey.layout.width_in, survey.layout.height_in
    if not (0 <= x0 < x1 <= width_in and 0 <= y0 < y1 <= height_in):
        raise InvalidInput(
            f"bounds_in {value} must lie on the wall, {width_in:g} in by {height_in:g} in.",
            field="bounds_in",
        )
    return x0, y0, x1, y1


def _check_homography(
    value: Any, points: Sequence[MarkedPoint], lens: Lens | None, photograph: Photograph
) -> None:
    rows = value if isinstance(value, list) and len(value) == 3 else []
    if len(rows) != 3 or any(not isinstance(row, list) or len(row) != 3 for row in rows):
        raise InvalidInput("homography must be three rows of three numbers.", field="homography")
    sent = np.array([[_number(one, "homography") for one in row] for row in rows])
    fit = fit_homography(points, lens=lens)
    width, height = photograph.width_px, photograph.height_px
    places = np.array([(0, 0), (width, 0), (width, height), (0, height), *(p.px for p in points)])
    straight = places if lens is None else lens.straighten(places)
    ends = np.c_[straight, np.ones(len(straight))] @ sent.T
    with np.errstate(all="ignore"):
        away = ends[:, :2] / ends[:, 2:] - to_wall_in(fit, places)
    if not float(np.abs(away).max()) <= SAME_PLACE_IN:
        raise InvalidInput(
            "homography is not what the points give; it must lie within "
            f"{SAME_PLACE_IN:g} in over the whole picture.",
            field="homography",
        )


PLACEMENTS = Projection(
    "placement",
    {"placement": check_placement},
    project_placements,
    lambda logbook: Placement.objects.filter(survey__logbook=logbook).delete() and None,
)
