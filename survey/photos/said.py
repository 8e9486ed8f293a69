"""What may be said of a photograph besides its bytes: light, slate, testimony, raw file, history?

Pure: no Django, no I/O. Every function raises InvalidInput with field, value and limit.
"""

import re
from collections.abc import Mapping
from typing import Any

from gridmap.errors import InvalidInput
from survey.record import fields

ROLES = ("record", "note", "historic")
LAMP_SIDES = ("left", "right", "top", "below", "even", "")
DATE_CERTAINTIES = ("certain", "probable", "possible")
MIMES = ("image/jpeg", "image/png", "image/tiff", "image/heic")
MOST_CELLS = 400
MOST_TESTIMONY = 40
LARGEST_FILE_BYTES = 2**40
RAKING = "raking"
_DIGEST = re.compile(r"[0-9a-f]{64}")

LIGHT_KEYS = frozenset({"lamp", "angle_deg", "scale_bar", "colour_target"})
RAW_KEYS = frozenset({"digest", "name", "size_bytes", "mime"})
SLATE_KEYS = frozenset({"number", "cell", "mode", "side", "at", "from_name"})
HISTORIC_KEYS = frozenset(
    {"date_words", "earliest", "latest", "date_certainty", "source", "source_certainty"}
)


def side_that_counts(mode: str, lamp_side: str) -> str:
    """Return the lamp's side by which pictures are matched, without an angle behind it.

    Only raking light lives by its side. In any other, an even lamp is what no stated side means: a
    slate says it, a page leaves it open.

    >>> side_that_counts("raking", "left, 8°"), side_that_counts("normal", "")
    ('left', 'even')
    """
    side = lamp_side.split(",")[0].strip().casefold()
    return side or ("" if mode == RAKING else "even")


def check_digest(body: Mapping[str, Any], field: str = "digest") -> str:
    """Return a SHA-256 in lower-case hexadecimal."""
    digest = fields.needed_text(body, field, longest=64)
    if not _DIGEST.fullmatch(digest):
        raise InvalidInput(f"{field} is {digest!r}; it must be a SHA-256.", field=field)
    return digest


def check_light(body: Mapping[str, Any]) -> None:
    """Check the lamp, its angle to the wall, and what lies in the frame beside the paint."""
    light = _part(body, "light", LIGHT_KEYS)
    fields.text(light, "lamp", longest=120)
    fields.optional_number(light, "angle_deg", least=0.0, most=90.0, unit="degrees")
    fields.optional_flag(light, "scale_bar")
    fields.optional_flag(light, "colour_target")


def check_testimony(body: Mapping[str, Any]) -> None:
    """Check what the file says of itself: short texts under short names."""
    testimony = body.get("testimony", {})
    if not isinstance(testimony, Mapping) or len(testimony) > MOST_TESTIMONY:
        raise InvalidInput(
            f"testimony must be an object of at most {MOST_TESTIMONY} texts.", field="testimony"
        )
    for key, value in testimony.items():
        if len(str(key)) > 40 or not isinstance(value, str) or len(value) > fields.LONGEST_LINE:
            raise InvalidInput(
                f"testimony has {str(key)[:40]!r}, which is no text of at most "
                f"{fields.LONGEST_LINE} characters.",
                field="testimony",
            )


def check_raw(body: Mapping[str, Any]) -> None:
    """Check the camera's raw file that is kept beside its rendering."""
    if "raw" not in body:
        return
    raw = _part(body, "raw", RAW_KEYS)
    check_digest(raw)
    fields.needed_text(raw, "name", longest=120)
    fields.needed_text(raw, "mime", longest=80)
    fields.whole_number(raw, "size_bytes", least=1, most=LARGEST_FILE_BYTES)


def check_slate(body: Mapping[str, Any]) -> None:
    """Check by which slate a frame was sorted."""
    if not body.get("slate"):
        return
    slate = _part(body, "slate", SLATE_KEYS)
    fields.whole_number(slate, "number", least=0, most=10**6)
    fields.text(slate, "cell", longest=20)
    fields.text(slate, "mode", longest=20)
    fields.text(slate, "side", longest=20)
    fields.text(slate, "at", longest=40)
    fields.text(slate, "from_name", longest=120)


def check_historic(body: Mapping[str, Any]) -> None:
    """Check date and source of a picture from before; needed where its role says so."""
    if body.get("role") != "historic":
        if body.get("historic"):
            raise InvalidInput(
                f"role is {body.get('role')!r}; only a historical picture has date and source "
                "with their certainty.",
                field="historic",
            )
        return
    historic = _part(body, "historic", HISTORIC_KEYS)
    fields.needed_text(historic, "date_words")
    earliest, latest = (fields.optional_day(historic, key) for key in ("earliest", "latest"))
    if earliest and latest and latest < earliest:
        raise InvalidInput(
            f"Not after {latest:%-d %b %Y} and not before {earliest:%-d %b %Y} exclude each other; "
            "change one of the two days.",
            field="latest",
        )
    fields.choice(historic, "date_certainty", DATE_CERTAINTIES)
    fields.needed_text(historic, "source")
    fields.choice(historic, "source_certainty", DATE_CERTAINTIES)


def _part(body: Mapping[str, Any], field: str, known: frozenset[str]) -> Mapping[str, Any]:
    part = body.get(field, {})
    if not isinstance(part, Mapping):
        raise InvalidInput(f"{field} must be an object.", field=field)
    fields.refuse_unknown_keys(part, known)
    return part
