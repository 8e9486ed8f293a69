"""How does a logger write its readings down? Each make has its own habits; invented demo data.

A dialect says them: delimiter, decimal sign, how a time is written and in which clock, and what
stands above the header. The same readings give the same bytes every time.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Column:
    """One column of readings: its head with the unit, its readings, digits after the point."""

    head: str
    values: Floats
    digits: int = 1


@dataclass(frozen=True)
class Dialect:
    """The habits of one make of logger; an empty zone is UTC."""

    time_head: str
    time_format: str
    delimiter: str = ","
    decimal: str = "."
    zone: str = ""
    preamble: tuple[str, ...] = ()
    newline: str = "\r\n"


def logger_text(
    dialect: Dialect,
    times_s: Floats,
    columns: Sequence[Column],
    *,
    garbled: Sequence[int] = (),
) -> bytes:
    """Return the file's bytes; at the `garbled` readings the logger wrote an error instead."""
    heads = dialect.delimiter.join([dialect.time_head, *(column.head for column in columns)])
    cells = [_written(column, dialect) for column in columns]
    for index in garbled:
        cells[0][index] = "Err 7"
    rows = [_stamps(dialect, times_s), *cells]
    lines = (dialect.delimiter.join(row) for row in zip(*rows, strict=True))
    return dialect.newline.join([*dialect.preamble, heads, *lines, ""]).encode()


def _stamps(dialect: Dialect, times_s: Floats) -> list[str]:
    clock = ZoneInfo(dialect.zone) if dialect.zone else UTC
    say: Callable[[datetime], str] = lambda moment: moment.strftime(dialect.time_format)  # noqa: E731
    return [say(datetime.fromtimestamp(second, clock)) for second in times_s.tolist()]


def _written(column: Column, dialect: Dialect) -> list[str]:
    texts = [f"{value:.{column.digits}f}" for value in (column.values + 0.0).tolist()]
    blank = ["" if text == "nan" else text for text in texts]
    return [text.replace(".", dialect.decimal) for text in blank]
