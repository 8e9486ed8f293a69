"""Where in a file of delimited text do the header and every field of its rows stand?

Any delimiter, a header anywhere, UTF-8, UTF-16 or an older code page. Fields stay places in the
bytes, so that a year of readings is never split into strings. No Django, no I/O.
"""

import csv
import re
from collections import Counter
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gridmap.errors import InvalidInput
from survey.watch.column_heads import unit_of

Places = NDArray[np.int64]

DELIMITERS: Final = (";", "\t", "|", ",")  # a comma last: it may be the decimal sign
OWN_DELIMITER: Final = "\x1f"  # where quotes had to be resolved
LOOKED_AT_LINES: Final = 400
LARGEST_FILE_BYTES: Final = 256 * 1024 * 1024
_DATA_FIELD = re.compile(r"^\s*[-+]?\d")
_STAMP = re.compile(r"\d{1,4}[-/. ](\d{1,2}|[A-Za-z]{3})[-/. ]\d{2,4}|\d{8}T\d{4}")
_NO_TEXT: Final = {
    b"PK\x03\x04": "a spreadsheet or archive",
    b"\xd0\xcf\x11\xe0": "a spreadsheet of an older kind",
    b"%PDF": "a PDF",
    b"\x1f\x8b": "a compressed file",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
}


@dataclass(frozen=True)
class FieldTable:
    """Rows of a file as places in its bytes: `starts` and `ends` by row and column.

    `lines` are line numbers in the file, from 1. `odd` are the lines after the header that have
    another number of fields, with their text.
    """

    data: NDArray[np.uint8]
    delimiter: str
    preamble: tuple[str, ...]
    heads: tuple[str, ...]
    header_line: int
    lines: Places
    starts: Places
    ends: Places
    odd: tuple[tuple[int, str], ...]

    def text(self, row: int, column: int) -> str:
        """Return one field as text."""
        part = self.data[self.starts[row, column] : self.ends[row, column]]
        return part.tobytes().decode("utf-8", "replace").strip()

    @property
    def rows(self) -> int:
        """How many rows have as many fields as the header."""
        return int(self.lines.size)


def field_table(data: bytes) -> FieldTable:
    """Return the table of a file; raises InvalidInput if it is no delimited text with readings."""
    text = _as_utf8(data)
    head_lines = _first_lines(text, LOOKED_AT_LINES)
    delimiter = _delimiter(head_lines)
    if b'"' in text:
        text = _without_quotes(text, delimiter)
        delimiter, head_lines = OWN_DELIMITER, _first_lines(text, LOOKED_AT_LINES)
    split = [line.split(delimiter) for line in head_lines]
    first = _first_data_row(split)
    width = len(split[first])
    heads, header_row = _heads(split, first, width)
    buffer = np.frombuffer(text, dtype=np.uint8)
    lines, starts, ends, odd = _places(buffer, delimiter, first=first, width=width)
    return FieldTable(
        data=buffer,
        delimiter=delimiter,
        preamble=tuple(head_lines[:header_row]),
        heads=heads,
        header_line=header_row + 1,
        lines=lines,
        starts=starts,
        ends=ends,
        odd=odd,
    )


def _as_utf8(data: bytes) -> bytes:
    """Return the text in UTF-8 with plain newlines; raises InvalidInput if it is no text."""
    if not data.strip():
        raise InvalidInput("The file is empty; read the logger out again.", field="file")
    if len(data) > LARGEST_FILE_BYTES:
        raise InvalidInput(
            f"The file has {len(data):,} bytes; the limit is {LARGEST_FILE_BYTES:,}. Split it by "
            "months.",
            field="file",
        )
    for magic, kind in _NO_TEXT.items():
        if data.startswith(magic):
            raise InvalidInput(
                f"The file is {kind}, whatever its name says. Save it as delimited text (CSV) and "
                "import that; nothing was imported.",
                field="file",
            )
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        data = data.decode("utf-16", "replace").encode()
    if b"\0" in data[:100_000]:
        raise InvalidInput(
            "The file holds bytes that no text has. Save it as delimited text (CSV) and import "
            "that; nothing was imported.",
            field="file",
        )
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        data = data.decode("cp1252", "replace").encode()
    if b"\r" in data:
        data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return data if data.endswith(b"\n") else data + b"\n"


def _first_lines(text: bytes, most: int) -> list[str]:
    return [line.decode("utf-8", "replace") for line in text.split(b"\n", most)[:most]]


def _delimiter(lines: list[str]) -> str:
    """Return the delimiter that parts the most lines, among those with a stamp, alike."""
    stamped = [line for line in lines if _STAMP.search(line)] or lines
    for delimiter in DELIMITERS:
        counts = Counter(line.count(delimiter) for line in stamped)
        usual, times = counts.most_common(1)[0]
        if usual >= 1 and times > 0.6 * len(stamped):
            return delimiter
    raise InvalidInput(
        "No delimiter parts the lines into columns: looked for semicolon, tab, bar and comma. Is "
        "this the logger's file? Nothing was imported.",
        field="file",
    )


def _without_quotes(text: bytes, delimiter: str) -> bytes:
    rows = csv.reader(text.decode("utf-8").split("\n")[:-1], delimiter=delimiter)
    lines = (OWN_DELIMITER.join(one.replace("\n", " ") for one in row) for row in rows)
    return ("\n".join(lines) + "\n").encode()


def _first_data_row(split: list[list[str]]) -> int:
    """Return the first row with a stamp where most rows have theirs, and as many fields.

    A reading is not asked for: a logger may begin with lines that hold none.
    """
    shapes = [_shape(row) for row in split]
    counts = Counter(shape for shape in shapes if shape is not None)
    if not counts or not any(_holds_reading(row) for row in split):
        raise InvalidInput(
            f"Among the first {LOOKED_AT_LINES} lines none holds a date and a reading. Is this the "
            "logger's file? Nothing was imported.",
            field="file",
        )
    usual = counts.most_common(1)[0][0]
    return shapes.index(usual)


def _shape(row: list[str]) -> tuple[int, int] | None:
    """Return how many fields a row has and which holds its stamp; None for a row without."""
    if len(row) < 2:
        return None
    for place, field in enumerate(row):
        if _DATA_FIELD.match(field) and _STAMP.search(field):
            return len(row), place
    return None


def _holds_reading(row: list[str]) -> bool:
    return _shape(row) is not None and sum(bool(_DATA_FIELD.match(one)) for one in row) >= 2


def _heads(split: list[list[str]], first: int, width: int) -> tuple[tuple[str, ...], int]:
    """Return the heads, with the units of a line of their own behind, and the header's row."""
    row = first - 1
    if row < 0 or len(split[row]) != width:
        return tuple(f"Column {number}" for number in range(1, width + 1)), first
    lines = [split[row]]
    if _are_units(split[row]) and row > 0 and len(split[row - 1]) == width:
        row -= 1
        lines.insert(0, split[row])
    heads = [" ".join(filter(None, map(str.strip, cells))) for cells in zip(*lines, strict=True)]
    return tuple(head or f"Column {number}" for number, head in enumerate(heads, 1)), row


def _are_units(row: list[str]) -> bool:
    said = [cell.strip(" []()") for cell in row if cell.strip()]
    return bool(said) and 2 * sum(bool(unit_of(f"({cell})")) for cell in said) >= len(said)


def _places(
    buffer: NDArray[np.uint8], delimiter: str, *, first: int, width: int
) -> tuple[Places, Places, Places, tuple[tuple[int, str], ...]]:
    newlines = np.flatnonzero(buffer == ord("\n"))
    line_starts = np.concatenate(([0], newlines[:-1] + 1))[first:]
    line_ends = newlines[first:]
    begin = int(line_starts[0])
    marks = np.flatnonzero(buffer[begin:] == ord(delimiter)) + begin
    low = np.searchsorted(marks, line_starts)
    count = np.searchsorted(marks, line_ends) - low
    numbers = np.arange(first + 1, first + 1 + line_ends.size)
    good = count == width - 1
    odd = tuple(
        (
            int(numbers[i]),
            buffer[line_starts[i] : line_ends[i]].tobytes().decode("utf-8", "replace"),
        )
        for i in np.flatnonzero(~good & (line_ends > line_starts)).tolist()
    )
    inner = marks[low[good][:, None] + np.arange(width - 1)]
    starts = np.column_stack([line_starts[good], inner + 1])
    ends = np.column_stack([inner, line_ends[good]])
    return numbers[good], starts, ends, odd
