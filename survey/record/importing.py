"""How outlines and areas seen, made elsewhere, become entries of a survey.

Nothing is half-written: every feature is read and checked before the first entry is stored.
"""

import uuid
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any

import numpy as np
import shapely

from gridmap.errors import InvalidInput
from gridmap.grid import Grid
from gridmap.lengths import parse_length_in
from gridmap.outline import Taken, take_outline
from survey.ledger.canonical import continuation_id, examination_id
from survey.ledger.drafts import LONGEST_NAME, Draft
from survey.record.bodies import geometry_kind
from survey.record.models import Examination, Mode, Observation, Survey
from survey.vocabulary.lookup import find_term
from survey.vocabulary.selectors import vocabulary_of
from survey.vocabulary.terms import Term, Vocabulary

MOST_FEATURES = 200_000
COVERAGE_STATES = ("seen", "touch", "hidden")
WHOLE_CELL_SHARE = 1e-9  # of a cell's area may be missing and the cell still counts as whole

_COPIED = (
    "note",
    "condition",
    "urgency",
    "confidence",
    "edge",
    "debris",
    "activity",
    "measures",
    "boundary_error_in",
    "session",
)


@dataclass(frozen=True)
class ImportedBy:
    """Who observed, on which day, and the digest of the file: ids follow from it."""

    name: str
    observed_on: date
    file_digest: str

    def __post_init__(self) -> None:
        _refuse_long_name(self.name)

    @property
    def made_at(self) -> datetime:
        """Noon of the day, so that the same file gives the same entries."""
        return datetime.combine(self.observed_on, time(12), tzinfo=UTC)


def _refuse_long_name(name: str) -> None:
    if not name.strip() or len(name) > LONGEST_NAME:
        raise InvalidInput(
            f"observed_by has {len(name)} characters; give a name of 1 to {LONGEST_NAME}.",
            field="observed_by",
        )


def outline_drafts(collection: Any, *, survey: Survey, by: ImportedBy) -> list[Draft]:
    """Return one observation draft per feature; raises InvalidInput naming the feature."""
    features = read_features(collection)
    vocabulary = vocabulary_of(survey.vocabulary)
    named = {str((feature.get("properties") or {}).get("item")) for feature in features}
    reader = _FeatureReader(survey, vocabulary, by, named)
    return [reader.draft(number, feature) for number, feature in enumerate(features)]


def read_features(collection: Any) -> Sequence[Mapping[str, Any]]:
    """Return the features of a collection in wall inches; raises InvalidInput."""
    if not isinstance(collection, Mapping) or collection.get("type") != "FeatureCollection":
        raise InvalidInput('The file must hold one object of type "FeatureCollection".')
    if collection.get("frame") != "wall-inches":
        raise InvalidInput(
            f'frame is {collection.get("frame")!r}; it must be "wall-inches": x to the right from '
            "the wall's left end, y up from the painting's lower edge.",
            field="frame",
        )
    features = collection.get("features")
    if not isinstance(features, list) or len(features) > MOST_FEATURES:
        raise InvalidInput(
            f"features must be a list of at most {MOST_FEATURES:,} features.", field="features"
        )
    for number, feature in enumerate(features):
        if not isinstance(feature, Mapping) or not isinstance(
            feature.get("properties", {}), Mapping
        ):
            raise InvalidInput(
                f"Feature {number + 1}: it must be an object with geometry and properties.",
                field=f"features[{number}]",
            )
    return features


class _FeatureReader:
    """Reads features one by one, keeping the item labels that it has given."""

    def __init__(
        self, survey: Survey, vocabulary: Vocabulary, by: ImportedBy, named: set[str]
    ) -> None:
        self._survey = survey
        self._vocabulary = vocabulary
        self._by = by
        self._named = named
        self._terms: dict[str, Term] = {}
        self._given: Counter[str] = Counter()
        self._prior = _prior_objects(survey)
        self._prior_labels = {object_id: label for label, object_id in self._prior.items()}
        here = Observation.objects.filter(survey=survey).values_list("object_id", "item")
        self._labels_there = dict(here)
        self._labels_here = {label: object_id for object_id, label in here}
        self._labels_taken = _labels_of_wall(survey) | named
        self._numbers: Counter[str] = Counter()
        self._continued: set[uuid.UUID] = set()

    def draft(self, number: int, feature: Mapping[str, Any]) -> Draft:
        where = f"features[{number}]"
        try:
            return self._draft(number, feature)
        except InvalidInput as error:
            field = f"{where}.{error.field}" if error.field else where
            raise InvalidInput(f"Feature {number + 1}: {error.message}", field=field) from error

    def _draft(self, number: int, feature: Mapping[str, Any]) -> Draft:
        properties = feature.get("properties") or {}
        term = self._term(properties.get("term"))
        taken = self._outline(feature.get("geometry"), properties.get("cell"))
        priors = self._continues(properties.get("continues"))
        object_id = self._object_id(number, priors)
        body = {
            "term": term.code,
            "geometry": taken.geometry,
            "basis": "imported",
            "mode": properties.get("mode", term.modes[0] if term.modes else Mode.NORMAL.value),
            "item": self._label(properties.get("item"), term, object_id, priors),
            "observed_on": self._by.observed_on.isoformat(),
            "layout": self._survey.layout.version,
            "vocabulary": self._survey.vocabulary.version,
        }
        if priors:
            body["continues"] = [str(prior) for prior in priors]
        if taken.changes:
            body["changes"] = list(taken.changes)
        body |= {key: properties[key] for key in _COPIED if properties.get(key) not in (None, "")}
        if "boundary_error_in" in body:
            body["boundary_error_in"] = parse_length_in(
                body["boundary_error_in"], field="boundary_error_in", minimum_in=0.0
            )
            body["boundary_error_source"] = "stated"
        observed_by = str(properties.get("observed_by") or self._by.name)
        _refuse_long_name(observed_by)
        return Draft(
            id=self._id("entry", number),
            kind="observation",
            body=body,
            object_id=object_id,
            made_at=self._by.made_at,
            observed_by=observed_by,
            recorded_by=self._by.name,
        )

    def _term(self, text: Any) -> Term:
        if not isinstance(text, str) or not text.strip():
            raise InvalidInput("term is missing; give a code or a trade name.", field="term")
        if text not in self._terms:
            self._terms[text] = find_term(text, self._vocabulary)
        return self._terms[text]

    def _outline(self, geometry: Any, cell: Any) -> Taken:
        layout = self._survey.layout
        kind = geometry_kind(geometry)
        if cell is not None:
            if not isinstance(cell, str):
                raise InvalidInput(f"cell is {cell!r}; it must be a label.", field="cell")
            geometry = _from_cell(geometry, cell, layout.grid)
        return take_outline(
            geometry, kind=kind, width_in=layout.width_in, height_in=layout.height_in
        )

    def _continues(self, label: Any) -> list[uuid.UUID]:
        if label in (None, "", []):
            return []
        found = []
        for name in label if isinstance(label, list) else [label]:
            prior = self._prior.get(str(name))
            if prior is None:
                raise InvalidInput(
                    f"continues names item {name!r}, which no earlier survey of this wall has.",
                    field="continues",
                )
            found.append(prior)
        return found

    def _label(self, given: Any, term: Term, object_id: uuid.UUID, priors: list[uuid.UUID]) -> str:
        """Return the label in the file, else the prior item's, else the term's next free one."""
        there = self._labels_there.get(object_id)
        if given not in (None, ""):
            label = str(given)
            self._refuse_named_twice(label, object_id)
        elif there is not None:
            label = there
        elif len(priors) == 1 and self._is_free_here(self._prior_labels[priors[0]]):
            label = self._prior_labels[priors[0]]
        else:
            label = self._next_free(term.symbol.letters)
        self._given[label] += 1
        return label

    def _refuse_named_twice(self, label: str, object_id: uuid.UUID) -> None:
        if self._given[label]:
            raise InvalidInput(f"item {label!r} is named twice in the file.", field="item")
        holder = self._labels_here.get(label)
        if holder not in (None, object_id):
            raise InvalidInput(
                f"item {label!r} is in survey {self._survey.code} already.", field="item"
            )

    def _is_free_here(self, label: str) -> bool:
        return not (label in self._given or label in self._named or label in self._labels_here)

    def _next_free(self, letters: str) -> str:
        number = self._numbers[letters] + 1
        while f"{letters}{number}" in self._labels_taken or f"{letters}{number}" in self._given:
            number += 1
        self._numbers[letters] = number
        return f"{letters}{number}"

    def _object_id(self, number: int, priors: list[uuid.UUID]) -> uuid.UUID:
        if len(priors) == 1 and priors[0] not in self._continued:
            self._continued.add(priors[0])
            return continuation_id(self._survey.id, priors[0])
        return self._id("object", number)

    def _id(self, what: str, number: int) -> uuid.UUID:
        return uuid.uuid5(self._survey.id, f"import:{self._by.file_digest}:{what}:{number}")


def _prior_objects(survey: Survey) -> dict[str, uuid.UUID]:
    rows = (
        Observation.objects.filter(survey__wall=survey.wall)
        .exclude(survey=survey)
        .filter(survey__starts_on__lte=survey.starts_on)
        .order_by("survey__starts_on", "survey__code")
        .values_list("item", "object_id")
    )
    return dict(rows)


def _labels_of_wall(survey: Survey) -> set[str]:
    rows = Observation.objects.filter(survey__wall=survey.wall)
    return set(rows.values_list("item", flat=True))


def _from_cell(geometry: Mapping[str, Any], cell: str, grid: Grid) -> dict[str, Any]:
    x0, y0, _, _ = grid.bounds(cell)

    def shifted(value: Any) -> Any:
        if isinstance(value, list | tuple):
            if len(value) == 2 and not any(isinstance(part, list | tuple) for part in value):
                x, y = (parse_length_in(part, field="geometry") for part in value)
                return [x0 + x, y0 + y]
            return [shifted(part) for part in value]
        raise InvalidInput("geometry holds a coordinate that is no pair.", field="geometry")

    return {"type": geometry["type"], "coordinates": shifted(geometry.get("coordinates"))}


def coverage_drafts(collection: Any, *, survey: Survey, by: ImportedBy) -> list[Draft]:
    """Return examination drafts for every cell that an area seen, touched or hidden reaches.

    What no area reaches was not examined and gets no entry. Raises InvalidInput.
    """
    areas = [
        _coverage_area(number, feature, survey)
        for number, feature in enumerate(read_features(collection))
    ]
    grid = survey.layout.grid
    drafts = []
    for mode in sorted({area.mode for area in areas}):
        of_mode = [area for area in areas if area.mode == mode]
        tree = shapely.STRtree([area.taken.shape for area in of_mode])
        for cell in grid.labels():
            box = shapely.box(*grid.bounds(cell))
            near = [of_mode[i] for i in np.sort(tree.query(box, predicate="intersects"))]
            near = [a for a in near if shapely.area(shapely.intersection(a.taken.shape, box)) > 0]
            if any(area.state != "hidden" for area in near):
                drafts.append(_examination_draft(survey, mode, cell, box, near, by))
    return drafts


@dataclass(frozen=True)
class _CoverageArea:
    mode: str
    state: str
    cause: str
    taken: Taken


def _coverage_area(number: int, feature: Mapping[str, Any], survey: Survey) -> _CoverageArea:
    where = f"features[{number}]"
    properties = feature.get("properties") or {}
    mode = properties.get("mode", "normal")
    state = properties.get("state", "seen")
    if mode not in Mode.values:
        raise InvalidInput(
            f"Coverage feature {number + 1}: mode is {mode!r}; it must be one of: "
            f"{', '.join(Mode.values)}.",
            field=f"{where}.mode",
        )
    if state not in COVERAGE_STATES:
        raise InvalidInput(
            f"Coverage feature {number + 1}: state is {state!r}; it must be one of: "
            f"{', '.join(COVERAGE_STATES)}.",
            field=f"{where}.state",
        )
    layout = survey.layout
    try:
        taken = take_outline(
            feature.get("geometry") or {},
            kind="area",
            width_in=layout.width_in,
            height_in=layout.height_in,
        )
    except InvalidInput as error:
        raise InvalidInput(
            f"Coverage feature {number + 1}: {error.message}", field=f"{where}.geometry"
        ) from error
    return _CoverageArea(mode, state, str(properties.get("cause") or ""), taken)


def _examination_draft(
    survey: Survey,
    mode: str,
    cell: str,
    box: shapely.Polygon,
    areas: Sequence[_CoverageArea],
    by: ImportedBy,
) -> Draft:
    seen = [area for area in areas if area.state == "seen"]
    touch = [area for area in areas if area.state == "touch"]
    hidden = [area for area in areas if area.state == "hidden"]
    seen_whole = _covers(box, seen + touch)
    body: dict[str, Any] = {
        "layout": survey.layout.version,
        "cell": cell,
        "mode": mode,
        "state": "part-hidden" if hidden or not seen_whole else "seen",
    }
    if not seen_whole:
        body["seen"] = _as_drawn(seen or touch)
    if touch and _covers(box, touch) and not hidden:
        body["state"] = "touch"
    elif touch:
        body["touch"] = _as_drawn(touch)
    if hidden:
        body["hidden"] = [
            {"geometry": area.taken.geometry, "cause": area.cause or "not said"} for area in hidden
        ]
    object_id = examination_id(survey.id, survey.layout.version, cell, mode)
    head = Examination.objects.filter(pk=object_id).values_list("head_id", flat=True).first()
    entry_id = uuid.uuid5(object_id, f"import:{by.file_digest}")
    return Draft(
        id=entry_id,
        kind="examination",
        body=body,
        object_id=object_id,
        made_at=by.made_at,
        observed_by=by.name,
        parents=(head,) if head and head != entry_id else (),
    )


def _covers(box: shapely.Polygon, areas: Sequence[_CoverageArea]) -> bool:
    if not areas:
        return False
    union = shapely.union_all([area.taken.shape for area in areas])
    missing = shapely.area(shapely.difference(box, union))
    return bool(missing <= WHOLE_CELL_SHARE * shapely.area(box))


def _as_drawn(areas: Sequence[_CoverageArea]) -> dict[str, Any]:
    polygons: list[Any] = []
    for area in areas:
        coordinates = area.taken.geometry["coordinates"]
        whole = area.taken.geometry["type"] == "MultiPolygon"
        polygons += coordinates if whole else [coordinates]
    return {"type": "MultiPolygon", "coordinates": polygons}
