"""Which number does each field of a column hold, and which fields hold none? No Django, no I/O."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from survey.watch.field_table import FieldTable
from survey.watch.spans import Floats, Indices

LONGEST_EXACT: Final = 15  # digits that a float64 holds exactly, so that one division is exact
LONGEST_NUMBER: Final = 24  # characters; a longer field is looked at by itself
NOTHING_READ: Final = frozenset({"", "-", "--", "---", "nan", "null", "none", "n/a", "na", "*"})
_POWERS: Final = 10.0 ** np.arange(LONGEST_NUMBER + 1)
_ZERO, _MINUS, _PLUS, _SPACE = ord("0"), ord("-"), ord("+"), ord(" ")


@dataclass(frozen=True)
class Column:
    """The numbers of a column, NaN where nothing was read, and the rows that hold no number."""

    values: Floats
    wrong: Indices


def numbers_of(table: FieldTable, column: int, *, decimal: str) -> Column:
    """Return a column's numbers."""
    starts, ends = trimmed(table, column)
    length = ends - starts
    values, plain = _plain_numbers(table.data, starts, length, ord(decimal))
    wrong = []
    for row in np.flatnonzero(~plain).tolist():
        text = table.text(row, column)
        number = _one_number(text, decimal)
        if number is None:
            wrong.append(row)
        values[row] = np.nan if number is None else number
    return Column(values, np.array(wrong, dtype=np.intp))


def trimmed(table: FieldTable, column: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return where a column's fields start and end without the spaces around them."""
    starts, ends = table.starts[:, column].copy(), table.ends[:, column].copy()
    data = table.data
    while (blank := (starts < ends) & (data[starts] == _SPACE)).any():
        starts += blank
    while (blank := (starts < ends) & (data[ends - 1] == _SPACE)).any():
        ends -= blank
    return starts, ends


def _plain_numbers(
    data: NDArray[np.uint8],
    starts: NDArray[np.int64],
    length: NDArray[np.int64],
    point: int,
) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the numbers written with a sign, digits and a point, and which fields are such."""
    rows = starts.size
    whole, digits = np.zeros(rows, np.int64), np.zeros(rows, np.int8)
    places, seen = np.zeros(rows, np.int8), np.zeros(rows, bool)
    first = data[np.minimum(starts, data.size - 1)]
    signed = (length > 0) & ((first == _MINUS) | (first == _PLUS))
    ok = length <= LONGEST_NUMBER
    longest = int(length[ok].max()) if ok.any() else 0
    for offset in range(longest):
        there = offset < length
        letter = data[np.minimum(starts + offset, data.size - 1)]
        digit = letter - np.uint8(_ZERO)  # wraps round below the nought
        is_digit = there & (digit <= 9)
        is_point = there & (letter == point) & ~seen
        whole = np.where(is_digit & (digits < LONGEST_EXACT + 1), whole * 10 + digit, whole)
        digits += is_digit
        places += is_digit & seen
        seen |= is_point
        sign = signed if offset == 0 else False
        ok &= ~there | is_digit | is_point | sign
    ok &= (digits > 0) & (digits <= LONGEST_EXACT)
    values = whole / _POWERS[np.where(ok, places, 0)]
    return np.where(signed & (first == _MINUS), -values, values), ok


def _one_number(text: str, decimal: str) -> float | None:
    """Return the number in a field, NaN where nothing was read, None where it is no number."""
    if text.lower() in NOTHING_READ:
        return float("nan")
    written = text.replace("−", "-").replace("_", "x")
    if decimal != ".":
        written = written.replace(".", "x").replace(decimal, ".")
    try:
        number = float(written)
    except ValueError:
        return None
    return number if np.isfinite(number) else None
