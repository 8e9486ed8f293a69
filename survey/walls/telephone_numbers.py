"""What does a wall's list of telephone numbers say once it is read? No Django, no I/O.

A number is kept as it is dialled on site; it is never rewritten into another form.
"""

import re
from collections.abc import Mapping
from typing import Any

from gridmap.errors import InvalidInput

MOST_TELEPHONES = 40
LONGEST = {"name": 120, "role": 120, "number": 40, "note": 200}
# What a keypad and a card have: digits, +, brackets, strokes, points, pauses, extensions.
_NUMBER = re.compile(r"[0-9+*#()/.,\- \u00a0a-zA-Z]*")
LEAST_DIGITS = 3  # the shortest emergency numbers


def read_telephones(value: Any) -> tuple[dict[str, str], ...]:
    """Read the list under "telephones" of a wall's description; raises InvalidInput."""
    if not isinstance(value, list) or len(value) > MOST_TELEPHONES:
        raise InvalidInput(
            f"telephones must be a list of at most {MOST_TELEPHONES}.", field="telephones"
        )
    return tuple(_read(item, f"telephones[{place}]") for place, item in enumerate(value))


def read_number(value: str, *, field: str) -> str:
    """Read one number as it is dialled; raises InvalidInput for what cannot be dialled."""
    number = value.strip()
    digits = sum(sign.isdigit() for sign in number)
    if not _NUMBER.fullmatch(number) or digits < LEAST_DIGITS:
        raise InvalidInput(
            f"{field} is {number!r}; it must have at least {LEAST_DIGITS} digits and otherwise "
            "only letters, blanks and + * # ( ) / . , -",
            field=field,
        )
    return number


def _read(item: Any, where: str) -> dict[str, str]:
    if not isinstance(item, Mapping):
        raise InvalidInput(f"{where} must be an object.", field=where)
    for key in item:
        if key not in LONGEST:
            raise InvalidInput(
                f"{key!r} is not a key of {where}. Keys: {', '.join(LONGEST)}.", field=where
            )
    read = {key: _text(item, key, where) for key in LONGEST}
    read["number"] = read_number(read["number"], field=f"{where}.number")
    return read


def _text(item: Mapping[str, Any], key: str, where: str) -> str:
    value = item.get(key, "")
    least = 0 if key == "note" else 1
    if not isinstance(value, str) or not least <= len(value.strip()) <= LONGEST[key]:
        raise InvalidInput(
            f"{where}.{key} is {value!r}; it must be text of {least} to {LONGEST[key]} characters.",
            field=f"{where}.{key}",
        )
    return value.strip()
