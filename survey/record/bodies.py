"""What each kind of entry about a survey must say, and how its body is refused otherwise."""

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from gridmap.errors import InvalidInput
from gridmap.lengths import snap_in
from gridmap.outline import Kind, take_outline
from survey.ledger.drafts import LONGEST_NAME
from survey.record import fields
from survey.record.models import Mode
from survey.vocabulary.selectors import vocabulary_of

if TYPE_CHECKING:
    from survey.ledger.models import Logbook
    from survey.record.models import Survey

BASES = ("drawn", "edited-copy", "seen-no-change", "imported")
EDGES = ("fresh", "dirty", "unclear")
CONFIDENCES = ("certain", "probable", "possible")
ACTIVITY_STATES = ("suspected", "shown")
EXAMINATION_STATES = ("touch", "seen", "part-hidden", "not-examined")
ITEM_CHOICES = ("leave", "watch", "treat", "investigate")
QUERY_CHOICES = (
    "other-hand",
    "other-light",
    "hidden-edge",
    "unlogged-act",
    "wrong-item",
    "real-change",
    "correct-entry",
)
OPINION_STANDINGS = ("agreed", "disputed", "reserved")
LARGEST_BOUNDARY_ERROR_IN = 12.0
LONGEST_CAUSE = 200

_OBSERVATION_KEYS = frozenset(
    [
        "term",
        "geometry",
        "basis",
        "mode",
        "item",
        "layout",
        "vocabulary",
        "observed_on",
        "continues",
        "measures",
        "condition",
        "urgency",
        "activity",
        "confidence",
        "edge",
        "debris",
        "note",
        "boundary_error_in",
        "boundary_error_source",
        "picture",
        "picture_error_in",
        "photographs",
        "changes",
        "session",
    ]
)
_EXAMINATION_KEYS = frozenset(
    [
        "layout",
        "cell",
        "mode",
        "state",
        "seen",
        "touch",
        "hidden",
        "searched",
        "done",
        "cause",
        "note",
    ]
)
_DECISION_KEYS = frozenset(
    [
        "subject",
        "item",
        "query_key",
        "rule",
        "choice",
        "refused",
        "reason",
        "decided_by",
        "consented_by",
        "review_on",
        "recommendation",
        "note",
    ]
)
_OPINION_KEYS = frozenset(["item", "cause", "opinion_of", "rank", "standing", "note"])


def survey_of(logbook: "Logbook") -> "Survey":
    """Return the survey whose logbook this is; refuses the wall's standing one."""
    survey = getattr(logbook, "survey", None)
    if survey is None:
        raise InvalidInput("This entry belongs into a survey's logbook.", field="kind")
    return survey


def check_observation(body: Mapping[str, Any], logbook: "Logbook") -> None:
    """Refuse an observation whose term, place or classes cannot stand."""
    survey = survey_of(logbook)
    fields.refuse_unknown_keys(body, _OBSERVATION_KEYS)
    term = vocabulary_of(survey.vocabulary).term(fields.needed_text(body, "term"))
    kind = geometry_kind(body.get("geometry"))
    if kind not in term.geometry:
        raise InvalidInput(
            f"{term.name} is drawn as {' or '.join(term.geometry)}, not as {kind}.",
            field="geometry",
        )
    refuse_off_lattice(body["geometry"], field="geometry")
    layout = survey.layout
    take_outline(body["geometry"], kind=kind, width_in=layout.width_in, height_in=layout.height_in)
    fields.choice(body, "basis", BASES)
    fields.choice(body, "mode", Mode.values)
    fields.needed_text(body, "item", longest=40)
    fields.day(body, "observed_on")
    _refuse_other_version(body, "layout", layout.version, survey)
    _refuse_other_version(body, "vocabulary", survey.vocabulary.version, survey)
    fields.object_ids(body, "continues")
    _check_classes(body)
    _check_measures(body)


def _refuse_other_version(
    body: Mapping[str, Any], field: str, version: int, survey: "Survey"
) -> None:
    """Refuse a statement made under another layout or vocabulary than the survey's."""
    if field in body and (isinstance(body[field], bool) or body[field] != version):
        raise InvalidInput(
            f"{field} is {body[field]!r}; survey {survey.code} uses version {version}.",
            field=field,
        )


def _check_classes(body: Mapping[str, Any]) -> None:
    fields.optional_class(body, "condition")
    fields.optional_class(body, "urgency")
    fields.optional_choice(body, "confidence", CONFIDENCES)
    fields.optional_choice(body, "edge", EDGES)
    fields.text(body, "debris")
    fields.text(body, "note", longest=fields.LONGEST_NOTE)
    fields.text(body, "session", longest=80)
    fields.texts(body, "photographs")
    fields.texts(body, "changes")
    fields.text(body, "boundary_error_source", longest=40)
    error_in = fields.optional_number(
        body, "boundary_error_in", least=0.0, most=LARGEST_BOUNDARY_ERROR_IN, unit="in"
    )
    if error_in == 0.0:
        raise InvalidInput(
            "boundary_error_in is 0; no outline is drawn without error. Leave it out if unknown.",
            field="boundary_error_in",
        )
    if body.get("picture") is not None:
        fields.object_id(body["picture"], "picture")
    fields.optional_number(
        body, "picture_error_in", least=0.0, most=LARGEST_BOUNDARY_ERROR_IN, unit="in"
    )
    activity = body.get("activity")
    if activity is not None:
        if not isinstance(activity, Mapping):
            raise InvalidInput("activity must be an object.", field="activity")
        fields.choice(activity, "state", ACTIVITY_STATES)
        fields.optional_day(activity, "from")
        fields.optional_day(activity, "to")


def _check_measures(body: Mapping[str, Any]) -> None:
    measures = body.get("measures", {})
    if not isinstance(measures, Mapping) or len(measures) > 20:
        raise InvalidInput("measures must be an object of at most 20 values.", field="measures")
    for name, value in measures.items():
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise InvalidInput(
                f"measures.{name} is {value!r}; it must be a number or a text.", field="measures"
            )
        if isinstance(value, str) and len(value) > fields.LONGEST_LINE:
            raise InvalidInput(
                f"measures.{name} is longer than {fields.LONGEST_LINE} characters.",
                field="measures",
            )


def check_withdrawal(body: Mapping[str, Any], logbook: "Logbook") -> None:
    """Refuse a withdrawal from a survey's logbook without a reason."""
    survey_of(logbook)
    check_reason(body, logbook)


def check_reason(body: Mapping[str, Any], logbook: "Logbook") -> None:
    """Refuse a body that is anything but a reason; what is withdrawn says nothing else."""
    fields.refuse_unknown_keys(body, {"reason"})
    fields.needed_text(body, "reason", longest=fields.LONGEST_NOTE)


def check_examination(body: Mapping[str, Any], logbook: "Logbook") -> None:
    """Refuse an examination of a cell that is not on the wall, or a hidden part without cause."""
    survey = survey_of(logbook)
    fields.refuse_unknown_keys(body, _EXAMINATION_KEYS)
    layout = survey.layout
    fields.whole_number(body, "layout", least=1, most=10_000)
    _refuse_other_version(body, "layout", layout.version, survey)
    cell = fields.needed_text(body, "cell", longest=16)
    if layout.grid.label(*layout.grid.position(cell)) != cell:
        raise InvalidInput(f"cell is {cell!r}; write it as on the grid.", field="cell")
    fields.choice(body, "mode", Mode.values)
    state = fields.choice(body, "state", EXAMINATION_STATES)
    fields.text(body, "cause", longest=LONGEST_CAUSE)
    for name in ("seen", "touch"):
        if body.get(name) is not None:
            _check_area(body[name], survey, field=name)
    hidden = body.get("hidden", [])
    if not isinstance(hidden, list) or len(hidden) > 200:
        raise InvalidInput("hidden must be a list of at most 200 areas.", field="hidden")
    for area in hidden:
        if not isinstance(area, Mapping):
            raise InvalidInput("Each hidden area must be an object.", field="hidden")
        _check_area(area.get("geometry"), survey, field="hidden")
        fields.needed_text(area, "cause")
    if state == "not-examined":
        fields.needed_text(body, "cause")
    if body.get("searched") is not None:
        vocabulary = vocabulary_of(survey.vocabulary)
        for code in fields.texts(body, "searched"):
            vocabulary.term(code)
    fields.optional_flag(body, "done")
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


def _check_area(geometry: Any, survey: "Survey", *, field: str) -> None:
    refuse_off_lattice(geometry, field=field)
    take_outline(
        geometry,
        kind="area",
        width_in=survey.layout.width_in,
        height_in=survey.layout.height_in,
        field=field,
    )


def check_decision(body: Mapping[str, Any], logbook: "Logbook") -> None:
    """Refuse a decision that does not say what, who and why."""
    fields.refuse_unknown_keys(body, _DECISION_KEYS)
    subject = fields.choice(body, "subject", ("item", "query"))
    if subject == "item":
        fields.object_id(body.get("item"), "item")
        fields.choice(body, "choice", ITEM_CHOICES)
    else:
        fields.needed_text(body, "query_key", longest=64)
        fields.choice(body, "choice", QUERY_CHOICES)
    fields.needed_text(body, "reason", longest=fields.LONGEST_NOTE)
    fields.needed_text(body, "decided_by", longest=LONGEST_NAME)
    fields.text(body, "consented_by")
    fields.text(body, "note", longest=fields.LONGEST_NOTE)
    fields.options_refused(body)
    fields.optional_day(body, "review_on")
    fields.optional_class(body, "recommendation")


def check_opinion(body: Mapping[str, Any], logbook: "Logbook") -> None:
    """Refuse an opinion of a cause that names no holder."""
    fields.refuse_unknown_keys(body, _OPINION_KEYS)
    fields.object_id(body.get("item"), "item")
    fields.needed_text(body, "cause", longest=fields.LONGEST_NOTE)
    fields.needed_text(body, "opinion_of", longest=LONGEST_NAME)
    fields.whole_number(body, "rank", least=1, most=20)
    fields.choice(body, "standing", OPINION_STANDINGS)
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


def check_closing(body: Mapping[str, Any], logbook: "Logbook") -> None:
    """Refuse the closing of what is no survey."""
    survey_of(logbook)
    fields.refuse_unknown_keys(body, {"note"})
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


_KINDS: dict[str, Kind] = {
    "Polygon": "area",
    "MultiPolygon": "area",
    "LineString": "line",
    "MultiLineString": "line",
    "Point": "point",
    "MultiPoint": "point",
}


def geometry_kind(geometry: Any, *, field: str = "geometry") -> Kind:
    """Return area, line or point for a geometry object; refuses other types."""
    named = geometry.get("type") if isinstance(geometry, Mapping) else None
    kind = _KINDS.get(named) if isinstance(named, str) else None
    if kind is None:
        raise InvalidInput(
            f"{field} must be an object with a type of: {', '.join(_KINDS)}.", field=field
        )
    return kind


def refuse_off_lattice(geometry: Any, *, field: str) -> None:
    """Refuse coordinates off the 1/256 in lattice: an entry holds the ring as it is kept."""
    geometry_kind(geometry, field=field)
    for number in _numbers(geometry.get("coordinates")):
        if math.isfinite(number) and snap_in(number) != number:
            raise InvalidInput(
                f"{field} has the coordinate {number!r} in, which is not a whole number of "
                "1/256 in. Round it before it is sent.",
                field=field,
            )


def _numbers(value: Any) -> Iterator[float]:
    if isinstance(value, list | tuple):
        for item in value:
            yield from _numbers(item)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield float(value)
