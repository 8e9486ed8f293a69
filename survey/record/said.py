"""How is what an entry says put into words, field by field? No Django, no I/O.

Every field of a body comes out, known or not: what is compared by eye must be whole.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from gridmap.lengths import format_feet_inches
from gridmap.measure import area_sq_in, length_in
from gridmap.outline import shape_of
from survey.vocabulary.words import MODE_NAMES

NOTHING_SAID = "—"
SMALL_ERROR_IN = 0.02  # below it, hundredths of an inch say too little
_EMPTY: tuple[Any, ...] = (None, "", [], {})
_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
FIELD_NAMES = {
    "term": "Term",
    "item": "Item",
    "geometry": "Outline",
    "mode": "Mode",
    "basis": "How",
    "observed_on": "Observed on",
    "edge": "Edge",
    "condition": "Condition, 0 to 3",
    "urgency": "Urgency, 0 to 3",
    "boundary_error_in": "Boundary error, in",
    "picture": "Picture under the pen",
    "picture_error_in": "Picture's error of place, in",
    "continues": "Continues",
    "reason": "Reason",
    "cell": "Cell",
    "state": "State",
    "seen": "Area seen",
    "touch": "Area within touch",
    "hidden": "Hidden",
    "searched": "Looked for",
    "done": "Cell called done",
    "opened_at": "Opened at",
    "closed_at": "Closed at",
    "noticed_at": "Noticed at",
    "told": "Who was told",
    "lamps": "Lamps",
    "lamp_minutes": "Lamps on, min",
    "touch_minutes": "Tablet in hand, min",
    "minutes": "Minutes per cell",
    "lifted_because": "Lifted because",
    "weight_g": "Weight, g",
    "place": "Place on the wall",
}
_KINDS = {
    "Polygon": "area",
    "MultiPolygon": "area",
    "LineString": "line",
    "MultiLineString": "line",
    "Point": "point",
    "MultiPoint": "point",
}
# Keys that only say under which versions an entry was made; the same for a whole survey.
_LEFT_OUT = frozenset({"layout", "vocabulary"})


def field_name(key: str) -> str:
    """Return a field's name in words.

    >>> field_name("suspected_source")
    'Suspected source'
    """
    return FIELD_NAMES.get(key) or key.replace("_", " ").capitalize()


def said_side_by_side(
    bodies: Sequence[Mapping[str, Any]], terms: Mapping[str, str]
) -> list[tuple[str, list[str], bool]]:
    """Return (field, what each body says, whether they differ), the differing fields first."""
    keys = list(dict.fromkeys(key for body in bodies for key in body if key not in _LEFT_OUT))
    rows = [
        (
            field_name(key),
            [said(key, body.get(key), terms) for body in bodies],
            any(not _alike(body.get(key), bodies[0].get(key)) for body in bodies[1:]),
        )
        for key in keys
    ]
    return sorted(rows, key=lambda row: not row[2])


def _alike(one: Any, other: Any) -> bool:
    """Whether two fields say the same; a field left out and an empty one both say nothing."""
    return one == other or (one in _EMPTY and other in _EMPTY)


def said(key: str, value: Any, terms: Mapping[str, str]) -> str:
    """Return what a field says in words; `terms` names term codes."""
    if value in _EMPTY:
        return NOTHING_SAID
    if key == "term":
        return terms.get(value, str(value))
    if key == "searched":
        return ", ".join(terms.get(code, str(code)) for code in value)
    if key == "mode":
        return MODE_NAMES.get(value, str(value))
    if key == "place":
        return _place(value)
    return _said(value)


def error_said(boundary_error_in: float | None, picture_error_in: float | None) -> str:
    """Return in words how surely an outline's border lies where it is drawn.

    >>> error_said(0.06, 0.031)
    'boundary error 0.06 in, picture 0.03 in'
    """
    parts = []
    if boundary_error_in is not None:
        parts.append(f"boundary error {_error(boundary_error_in)}")
    if picture_error_in is not None:
        if not parts:
            parts.append("boundary error not stated")
        parts.append(f"picture {_error(picture_error_in)}")
    return ", ".join(parts)


def _error(error_in: float) -> str:
    return f"{error_in:.2f} in" if error_in >= SMALL_ERROR_IN else f"{error_in:.3f} in"


def _said(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        if value.get("type") in _KINDS and "coordinates" in value:
            return _shape(value)
        return "; ".join(f"{_part_name(str(key))} {_said(part)}" for key, part in value.items())
    if isinstance(value, list | tuple):
        return _listed(_said(item) for item in value)
    if isinstance(value, float):
        return f"{value:g}"
    text = str(value)
    return f"{text[:8]}…" if _UUID.fullmatch(text) else text


def _part_name(key: str) -> str:
    """Return a key within a field; names of cells keep their letters."""
    return field_name(key).lower() if key.islower() else key


def _listed(parts: Iterable[str]) -> str:
    found = list(parts)
    return " / ".join(found) if any(";" in part for part in found) else ", ".join(found)


def _place(value: Any) -> str:
    x_in, y_in = value
    return f"{format_feet_inches(x_in)} from the left, {format_feet_inches(y_in)} up"


def _shape(geometry: Mapping[str, Any]) -> str:
    kind = _KINDS[geometry["type"]]
    shape = shape_of(geometry, kind)  # type: ignore[arg-type]
    left, lower, right, upper = shape.bounds
    at = f"from {format_feet_inches(left)}, {format_feet_inches(lower)} up"
    if kind == "area":
        extent = f"{format_feet_inches(right - left)} by {format_feet_inches(upper - lower)}"
        return f"area of {area_sq_in(shape):,.2f} sq in, {extent}, {at}"
    if kind == "line":
        return f"line of {length_in(shape):,.2f} in, {at}"
    return f"point, {at}"
