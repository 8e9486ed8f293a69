"""What does a finished PDF hold? Reads it back with libraries that did not write it."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import Any

import pikepdf
from pypdf import PdfReader

from survey.report.build import build_pdf
from tests.survey.report.harvest_report import bare_report, harvest_report


@cache
def harvest_pdf() -> bytes:
    """The whole invented report, built once for all tests of a process."""
    return build_pdf(harvest_report())


@cache
def bare_pdf() -> bytes:
    return build_pdf(bare_report())


@cache
def pages_of(pdf: bytes) -> tuple[str, ...]:
    """Return each page's text with every run of white space as one space."""
    return tuple(plain(page.extract_text()) for page in PdfReader(BytesIO(pdf)).pages)


def text_of(pdf: bytes) -> str:
    return " ".join(pages_of(pdf))


def plain(text: str) -> str:
    return " ".join(text.split())


def outline_of(pdf: bytes) -> list[tuple[str, int]]:
    """Return every bookmark's title and page number, counted from 1, in order."""
    reader = PdfReader(BytesIO(pdf))

    def walk(entries: list[Any]) -> Iterator[tuple[str, int]]:
        for entry in entries:
            if isinstance(entry, list):
                yield from walk(entry)
            else:
                number = reader.get_destination_page_number(entry)
                assert number is not None
                yield plain(entry.title), number + 1

    return list(walk(reader.outline))


@dataclass(frozen=True)
class DrawnPath:
    """A path as it was painted: its corners on the page [pt], colours, and operator."""

    points: tuple[tuple[float, float], ...]
    stroke: tuple[float, ...]
    fill: tuple[float, ...]
    width: float
    operator: str


def paths_of(pdf: bytes, page_number: int) -> list[DrawnPath]:
    """Return the straight-lined paths painted by one page's own stream, in page points."""
    with pikepdf.open(BytesIO(pdf)) as document:
        return list(_painted(pikepdf.parse_content_stream(document.pages[page_number - 1])))


def _painted(instructions: Any) -> Iterator[DrawnPath]:
    matrix = pikepdf.Matrix()
    state: dict[str, Any] = {"RG": (0.0,), "rg": (0.0,), "w": 1.0}
    kept: list[tuple[pikepdf.Matrix, dict[str, Any]]] = []
    points: list[tuple[float, float]] = []
    for operands, operator in instructions:
        name = str(operator)
        numbers = [float(o) for o in operands] if name in NUMERIC else []
        if name == "q":
            kept.append((matrix, dict(state)))
        elif name == "Q":
            matrix, state = kept.pop()
        elif name == "cm":
            matrix = pikepdf.Matrix(*numbers) @ matrix
        elif name in ("RG", "G"):
            state["RG"] = tuple(numbers)
        elif name in ("rg", "g"):
            state["rg"] = tuple(numbers)
        elif name == "w":
            state["w"] = numbers[0]
        elif name in ("m", "l"):
            points.append(matrix.transform((numbers[0], numbers[1])))
        elif name in ("S", "f", "f*", "B", "b*", "n"):
            if points:
                yield DrawnPath(tuple(points), state["RG"], state["rg"], state["w"], name)
            points = []


NUMERIC = {"cm", "RG", "G", "rg", "g", "w", "m", "l"}


def area_of(points: tuple[tuple[float, float], ...]) -> float:
    """Return a ring's area by the shoelace formula. source: common practice, no source."""
    ends = zip(points, (*points[1:], points[0]), strict=True)
    return abs(sum(x * v - u * y for (x, y), (u, v) in ends)) / 2
