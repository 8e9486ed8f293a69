"""Which moment on the logger's own clock does each row name?

A date such as 03/04/2026 is two days: unless a row of the file settles it, or somebody said which,
it is asked and never guessed. No Django, no I/O.
"""

import re
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gridmap.errors import InvalidInput
from survey.watch.field_numbers import trimmed
from survey.watch.field_table import FieldTable

Seconds = NDArray[np.float64]
MOST_SHAPES: Final = 400
MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ZERO: Final = ord("0")
_STAMP = re.compile(
    r"^\s*(?P<a>\d{1,4})[-/. ](?P<b>\d{1,2}|[A-Za-z]{3,9})[-/. ,]+(?P<c>\d{1,4})"
    r"(?:[T ,]+(?P<h>\d{1,2})[:.h](?P<m>\d{2})(?:[:.](?P<s>\d{2})(?:[.,](?P<f>\d{1,6}))?)?"
    r"\s*(?P<half>[AaPp]\.?[Mm]\.?)?\s*(?P<z>Z|UTC|GMT|[-+]\d{2}:?\d{2})?)?\s*$"
)
_CLOCK = re.compile(r"^\s*\d{1,2}:\d{2}")
_DATE_ONLY = re.compile(r"^\s*\d{1,4}[-/. ](\d{1,2}|[A-Za-z]{3,9})[-/. ]\d{1,4}\s*$")


class Unclear(InvalidInput):
    """A file that can be read in two ways; the message is the question, `choices` the answers."""

    def __init__(self, message: str, *, field: str, choices: tuple[tuple[str, str], ...]) -> None:
        super().__init__(message, field=field)
        self.choices = choices


@dataclass(frozen=True)
class Stamps:
    """Seconds since 1970 on the logger's clock, NaN where a row names no moment.

    `offset_s` is not None where the stamps carry their own offset from UTC: then seconds are UTC.
    """

    seconds: Seconds
    wrong: tuple[int, ...]
    in_utc: bool


def stamp_columns(table: FieldTable) -> tuple[int, ...]:
    """Return the column of date and time, or those of date and of time; raises InvalidInput."""
    sample = range(min(table.rows, 50))
    for column in range(len(table.heads)):
        texts = [table.text(row, column) for row in sample]
        if sum(bool(_STAMP.match(text)) for text in texts) * 2 <= len(texts):
            continue
        if sum(bool(_DATE_ONLY.match(text)) for text in texts) * 2 <= len(texts):
            return (column,)
        if column + 1 < len(table.heads) and _CLOCK.match(table.text(0, column + 1)):
            return (column, column + 1)
        return (column,)
    raise InvalidInput(
        f"No column holds dates and times. Columns: {', '.join(table.heads)}.", field="file"
    )


def stamps_of(table: FieldTable, columns: tuple[int, ...], *, day_first: bool | None) -> Stamps:
    """Return each row's moment on the logger's clock; raises Unclear where dates say two days."""
    parts = _parts(table, columns)
    named = parts["named"] > 0
    read = ~np.isnan(parts["a"])
    years_first = read & (parts["a"] > 31)
    short = read & ~years_first & ~named
    order = _day_first(parts["a"][short], parts["b"][short], day_first, table, columns)
    day = np.where(years_first, parts["c"], np.where(order | named, parts["a"], parts["b"]))
    month = np.where(named | years_first | order, parts["b"], parts["a"])
    year = np.where(years_first, parts["a"], parts["c"])
    year = np.where(year < 100, year + 2000, year)
    seconds, ok = _seconds(year, month, day, parts)
    with_offset = ~np.isnan(parts["offset"])
    in_utc = bool(read.any() and with_offset[read].all())
    seconds = np.where(with_offset, seconds - np.nan_to_num(parts["offset"]), seconds)
    if with_offset.any() and not in_utc:
        ok &= with_offset
        in_utc = True
    return Stamps(np.where(ok, seconds, np.nan), tuple(np.flatnonzero(~ok).tolist()), in_utc)


def _day_first(
    first: Seconds,
    second: Seconds,
    said: bool | None,
    table: FieldTable,
    columns: tuple[int, ...],
) -> bool:
    if first.size == 0:
        return True
    if said is not None:
        return said
    day_leads, month_leads = bool((first > 12).any()), bool((second > 12).any())
    if day_leads != month_leads:
        return day_leads
    example = table.text(0, columns[0])
    reason = (
        "Some dates can only be read day first and others only month first"
        if day_leads
        else f"Dates such as {example} can be read day first or month first, and no line of the "
        "file settles it"
    )
    raise Unclear(
        f"{reason}. Which comes first? Nothing was imported.",
        field="day_first",
        choices=(("day", "The day comes first"), ("month", "The month comes first")),
    )


def _parts(table: FieldTable, columns: tuple[int, ...]) -> dict[str, NDArray[np.float64]]:
    """Return the numbers in each stamp: three of the date, the time, offset; NaN where unread."""
    letters, length = _letters(table, columns)
    rows = length.size
    parts = {
        name: np.full(rows, np.nan) for name in ("a", "b", "c", "h", "m", "s", "f", "offset", "pm")
    }
    parts["named"] = np.zeros(rows)  # 1 where the month is a word
    shapes = np.where((letters >= _ZERO) & (letters <= _ZERO + 9), _ZERO, letters)
    left = np.arange(rows)
    for _ in range(MOST_SHAPES):
        if left.size == 0:
            break
        leader = int(left[0])
        alike = (shapes[left] == shapes[leader]).all(axis=1)
        _read_alike(letters, left[alike], parts, length[leader])
        left = left[~alike]
    return parts


def _letters(
    table: FieldTable, columns: tuple[int, ...]
) -> tuple[NDArray[np.uint8], NDArray[np.int64]]:
    """Return the stamps as a matrix of characters, date and time parted by a space."""
    pieces: list[NDArray[np.uint8]] = []
    length = np.zeros(table.rows, np.int64)
    for number, column in enumerate(columns):
        starts, ends = trimmed(table, column)
        width = int(min((ends - starts).max(initial=0), 40))
        letters = np.zeros((table.rows, width), np.uint8)
        for offset in range(width):
            there = starts + offset < ends
            letters[:, offset] = np.where(
                there, table.data[np.minimum(starts + offset, table.data.size - 1)], 0
            )
        if number:
            pieces.append(np.full((table.rows, 1), ord(" "), np.uint8))
        pieces.append(letters)
        length = np.maximum(length, ends - starts)
    return np.hstack(pieces), length


def _read_alike(
    letters: NDArray[np.uint8],
    rows: NDArray[np.intp],
    parts: dict[str, NDArray[np.float64]],
    length: int,
) -> None:
    """Read rows whose digits and marks stand at the same places."""
    raw = letters[rows[0]].tobytes()
    joined = raw.replace(b"\0", b" ").decode("utf-8", "replace")
    found = _STAMP.match(joined) if len(joined) == len(raw) and length <= 40 else None
    if found is None:
        return
    digits = letters[rows].astype(np.int64) - _ZERO
    for name in ("a", "b", "c", "h", "m", "s", "f"):
        text = found[name]
        if text is None:
            parts[name][rows] = 0.0
        elif text.isdigit():
            start, end = found.span(name)
            powers = 10 ** np.arange(end - start - 1, -1, -1)
            parts[name][rows] = digits[:, start:end] @ powers
            if name == "f":
                parts["f"][rows] /= 10.0 ** (end - start)
        else:
            month = text[:3].lower()
            parts[name][rows] = MONTHS.index(month) + 1 if month in MONTHS else np.nan
            parts["named"][rows] = 1.0
    half = (found["half"] or "").lower()
    if half:
        hours = parts["h"][rows]
        proper = (hours >= 1) & (hours <= 12)
        late = 12.0 if half.startswith("p") else 0.0
        parts["h"][rows] = np.where(proper, hours % 12 + late, np.nan)
    if found["z"]:
        parts["offset"][rows] = _offset_s(found["z"])


def _offset_s(text: str) -> float:
    if text[0] not in "+-":
        return 0.0
    seconds = int(text[1:3]) * 3600 + int(text[-2:]) * 60
    return float(-seconds if text[0] == "-" else seconds)


def _seconds(
    year: Seconds, month: Seconds, day: Seconds, parts: dict[str, NDArray[np.float64]]
) -> tuple[Seconds, NDArray[np.bool_]]:
    """Return seconds since 1970 and which rows name a day and time that the calendar has."""
    with np.errstate(invalid="ignore"):
        ok = (year >= 1900) & (year <= 2200) & (month >= 1) & (month <= 12) & (day >= 1)
        ok &= (parts["h"] <= 23) & (parts["m"] <= 59) & (parts["s"] <= 59)
    months = np.where(ok, (year - 1970) * 12 + month - 1, 0).astype("datetime64[M]")
    start = months.astype("datetime64[D]").astype(np.int64)
    after = (months + 1).astype("datetime64[D]").astype(np.int64)
    ok &= np.where(ok, day, 99) <= after - start
    days = start + np.where(ok, day, 1) - 1
    clock = parts["h"] * 3600.0 + parts["m"] * 60.0 + parts["s"] + parts["f"]
    return days * 86_400.0 + clock, ok
