"""How one field of an entry's body is checked. No Django, no I/O.

Every function raises InvalidInput with field, value and limit.
"""

from collections.abc import Collection, Mapping
from datetime import date
from typing import Any
from uuid import UUID

from gridmap.errors import InvalidInput

LONGEST_NOTE = 4000
LONGEST_LINE = 300


def refuse_unknown_keys(body: Mapping[str, Any], known: Collection[str]) -> None:
    """Refuse a body with a key that nothing would read: a slip of the pen must not vanish."""
    for key in body:
        if key not in known:
            raise InvalidInput(
                f"{key!r} is not a field of this entry. Fields: {', '.join(sorted(known))}.",
                field=str(key),
            )


def text(body: Mapping[str, Any], field: str, *, longest: int = LONGEST_LINE) -> str:
    """Return an optional text, '' when absent."""
    value = body.get(field, "")
    if not isinstance(value, str) or len(value) > longest:
        raise InvalidInput(f"{field} must be text of at most {longest} characters.", field=field)
    return value


def needed_text(body: Mapping[str, Any], field: str, *, longest: int = LONGEST_LINE) -> str:
    """Return a text that must say something."""
    value = text(body, field, longest=longest).strip()
    if not value:
        raise InvalidInput(f"{field} is empty; say it in a few words.", field=field)
    return value


def choice(body: Mapping[str, Any], field: str, allowed: Collection[str]) -> str:
    """Return a value that must be one of a few."""
    value = body.get(field)
    if value not in allowed:
        raise InvalidInput(
            f"{field} is {value!r}; it must be one of: {', '.join(allowed)}.", field=field
        )
    return str(value)


def optional_choice(body: Mapping[str, Any], field: str, allowed: Collection[str]) -> str:
    """Return a value that may be absent and else must be one of a few."""
    return "" if body.get(field) in (None, "") else choice(body, field, allowed)


def optional_class(body: Mapping[str, Any], field: str) -> int | None:
    """Return a class from 0 to 3, or None when absent."""
    value = body.get(field)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 3:
        raise InvalidInput(f"{field} is {value!r}; it must be 0, 1, 2 or 3.", field=field)
    return value


def optional_number(
    body: Mapping[str, Any], field: str, *, least: float, most: float, unit: str
) -> float | None:
    """Return a number within its range, or None when absent."""
    value = body.get(field)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
        raise InvalidInput(
            f"{field} is {value!r}; it must be a number from {least:g} to {most:g} {unit}.",
            field=field,
        )
    return float(value)


def whole_number(body: Mapping[str, Any], field: str, *, least: int, most: int) -> int:
    """Return a whole number within its range."""
    value = body.get(field)
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise InvalidInput(
            f"{field} is {value!r}; it must be a whole number from {least} to {most}.", field=field
        )
    return value


def day(body: Mapping[str, Any], field: str) -> date:
    """Return a date written YYYY-MM-DD."""
    value = body.get(field)
    try:
        return date.fromisoformat(value)  # type: ignore[arg-type]  # refused just below
    except (TypeError, ValueError) as error:
        raise InvalidInput(
            f"{field} is {value!r}; it must be a date such as 2026-11-18.", field=field
        ) from error


def optional_day(body: Mapping[str, Any], field: str) -> date | None:
    """Return a date, or None when absent."""
    return None if body.get(field) in (None, "") else day(body, field)


def optional_flag(body: Mapping[str, Any], field: str) -> bool:
    """Return a yes or no, no when absent."""
    value = body.get(field, False)
    if not isinstance(value, bool):
        raise InvalidInput(f"{field} is {value!r}; it must be true or false.", field=field)
    return value


def object_ids(body: Mapping[str, Any], field: str, *, most: int = 64) -> list[str]:
    """Return a list of object ids, empty when absent."""
    value = body.get(field, [])
    if not isinstance(value, list) or len(value) > most:
        raise InvalidInput(f"{field} must be a list of at most {most} object ids.", field=field)
    return [object_id(item, field) for item in value]


def object_id(value: Any, field: str) -> str:
    """Return one object id in its usual text form."""
    try:
        return str(UUID(str(value)))
    except ValueError as error:
        raise InvalidInput(f"{field} is {value!r}; it must be a UUID.", field=field) from error


def texts(body: Mapping[str, Any], field: str, *, most: int = 100) -> list[str]:
    """Return a list of short texts, empty when absent."""
    value = body.get(field, [])
    if (
        not isinstance(value, list)
        or len(value) > most
        or any(not isinstance(item, str) or len(item) > LONGEST_LINE for item in value)
    ):
        raise InvalidInput(
            f"{field} must be a list of at most {most} texts of at most {LONGEST_LINE} characters.",
            field=field,
        )
    return value


def options_refused(body: Mapping[str, Any]) -> list[dict[str, str]]:
    """Return the options that were refused, each with its reason."""
    value = body.get("refused", [])
    if not isinstance(value, list) or len(value) > 12:
        raise InvalidInput("refused must be a list of at most 12 options.", field="refused")
    return [
        {
            "option": needed_text(item if isinstance(item, Mapping) else {}, "option"),
            "reason": needed_text(
                item if isinstance(item, Mapping) else {}, "reason", longest=LONGEST_NOTE
            ),
        }
        for item in value
    ]
