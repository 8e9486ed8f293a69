"""What does a mark look like: the marks of point terms and the marks of findings, as path data.

Paths lie in a square from -1 to 1, y up, and feed canvas, SVG and PDF alike. No colours here: a
mark tells its meaning by shape, and a word stands beside it.
"""

import math
from dataclasses import dataclass
from typing import Any

Command = tuple[Any, ...]  # ("M", x, y), ("L", x, y), ("C", x1, y1, x2, y2, x, y) or ("Z",)
Path = tuple[Command, ...]

STROKE_WIDTH = 0.28  # [-] in the same square
CIRCLE_HANDLE = 0.5523  # [-] handle of a cubic curve that stands for a quarter circle


@dataclass(frozen=True)
class Mark:
    """A mark's filled and stroked paths in a square from -1 to 1, y up."""

    name: str
    fill: Path = ()
    stroke: Path = ()
    stroke_width: float = STROKE_WIDTH

    def to_json(self) -> dict[str, Any]:
        """Return the mark as SVG path texts in a square from -1 to 1, y down."""
        return {
            "name": self.name,
            "fill": svg_path(self.fill),
            "stroke": svg_path(self.stroke),
            "stroke_width": self.stroke_width,
        }


def svg_path(path: Path, *, size: float = 1.0) -> str:
    """Return path data for an SVG `d` attribute or a canvas Path2D, y down.

    `size` is half the side of the mark in the drawing's units.
    """
    words = []
    for name, *numbers in path:
        signed = [n * size if i % 2 == 0 else -n * size for i, n in enumerate(numbers)]
        words.append(name + " ".join(_plain(n) for n in signed))
    return "".join(words)


def term_mark(name: str) -> Mark:
    """Return the mark of a point term by its name; raises KeyError where there is none."""
    return TERM_MARKS[name]


def finding_mark(finding: str) -> Mark:
    """Return the mark of a finding by its name; raises KeyError where there is none."""
    return FINDING_MARKS[finding]


def _plain(number: float) -> str:
    return f"{round(number, 4) + 0.0:g}"


def _line(*points: tuple[float, float]) -> Path:
    first, *others = points
    return (("M", *first), *(("L", *point) for point in others))


def _closed(*points: tuple[float, float]) -> Path:
    return (*_line(*points), ("Z",))


def _circle(x: float, y: float, r: float) -> Path:
    k = CIRCLE_HANDLE * r
    return (
        ("M", x + r, y),
        ("C", x + r, y + k, x + k, y + r, x, y + r),
        ("C", x - k, y + r, x - r, y + k, x - r, y),
        ("C", x - r, y - k, x - k, y - r, x, y - r),
        ("C", x + k, y - r, x + r, y - k, x + r, y),
        ("Z",),
    )


def _around(count: int, r: float, *, start_deg: float = 90.0) -> list[tuple[float, float]]:
    turns = [math.radians(start_deg + 360.0 * i / count) for i in range(count)]
    return [(round(r * math.cos(a), 4), round(r * math.sin(a), 4)) for a in turns]


def _polygon(count: int, r: float, *, start_deg: float = 90.0) -> Path:
    return _closed(*_around(count, r, start_deg=start_deg))


def _star(count: int, r: float, inner: float) -> Path:
    outer_points = _around(count, r)
    inner_points = _around(count, inner, start_deg=90.0 + 180.0 / count)
    return _closed(*(p for pair in zip(outer_points, inner_points, strict=True) for p in pair))


def _spokes(count: int, r: float) -> Path:
    ends = _around(2 * count, r)
    return tuple(c for i in range(count) for c in _line(ends[i], ends[i + count]))


def _dots(points: list[tuple[float, float]], r: float) -> Path:
    return tuple(command for x, y in points for command in _circle(x, y, r))


_HALF_DISC: Path = (
    ("M", -0.9, -0.3),
    ("C", -0.9, 0.93, 0.9, 0.93, 0.9, -0.3),
    ("Z",),
)
_CRESCENT: Path = (
    ("M", 0.5, 0.8),
    ("C", -1.1, 0.9, -1.1, -0.9, 0.5, -0.8),
    ("C", -0.3, -0.5, -0.3, 0.5, 0.5, 0.8),
    ("Z",),
)
_DROP: Path = (
    ("M", 0.0, 1.0),
    ("C", 0.3, 0.3, 0.75, 0.1, 0.65, -0.35),
    ("C", 0.55, -1.1, -0.55, -1.1, -0.65, -0.35),
    ("C", -0.75, 0.1, -0.3, 0.3, 0.0, 1.0),
    ("Z",),
)

# By kind, as the hatches are: filled for deterioration, groups of dots for the artist's making,
# open rings for earlier intervention, spokes for treatment. None looks like a finding's mark.
_TERM_MARK_LIST = (
    Mark("disc", fill=_circle(0, 0, 0.8)),
    Mark("pentagon", fill=_polygon(5, 0.95)),
    Mark("half-disc", fill=_HALF_DISC),
    Mark("bow-tie", fill=_closed((-0.9, 0.75), (0.9, -0.75), (0.9, 0.75), (-0.9, -0.75))),
    Mark("star", fill=_star(5, 1.0, 0.42)),
    Mark("crescent", fill=_CRESCENT),
    Mark("drop", fill=_DROP),
    Mark("four-point star", fill=_star(4, 1.0, 0.3)),
    Mark("two dots", fill=_dots([(-0.5, 0.0), (0.5, 0.0)], 0.36)),
    Mark("three dots", fill=_dots(_around(3, 0.6), 0.32)),
    Mark("four dots", fill=_dots(_around(4, 0.7, start_deg=45.0), 0.28)),
    Mark("five dots", fill=_dots([(0.0, 0.0), *_around(4, 0.8, start_deg=45.0)], 0.25)),
    Mark("ring and dot", fill=_circle(0, 0, 0.3), stroke=_circle(0, 0, 0.8)),
    Mark("ring and bar", stroke=(*_circle(0, 0, 0.7), *_line((-1.0, 0.0), (1.0, 0.0)))),
    Mark("open hexagon", stroke=_polygon(6, 0.85)),
    Mark("open arch", stroke=_line((-0.7, -0.8), (-0.7, 0.7), (0.7, 0.7), (0.7, -0.8))),
    Mark("spokes of two", stroke=_spokes(2, 0.9)),
    Mark("spokes of three", stroke=_spokes(3, 0.9)),
    Mark("ring and spokes", stroke=(*_circle(0, 0, 0.8), *_spokes(2, 0.8))),
    Mark("ring and three spokes", stroke=(*_circle(0, 0, 0.8), *_spokes(3, 0.8))),
)
TERM_MARKS = {mark.name: mark for mark in _TERM_MARK_LIST}
MARKS_BY_KIND = {
    "D": tuple(mark.name for mark in _TERM_MARK_LIST[:8]),
    "A": tuple(mark.name for mark in _TERM_MARK_LIST[8:12]),
    "I": tuple(mark.name for mark in _TERM_MARK_LIST[12:16]),
    "T": tuple(mark.name for mark in _TERM_MARK_LIST[16:]),
}

_DIAMOND = _closed((0.0, 1.0), (0.8, 0.0), (0.0, -1.0), (-0.8, 0.0))
_DOTTED_CIRCLE = _dots(_around(8, 0.8), 0.17)
_HATCH: Path = (
    *_line((-0.9, 0.1), (-0.1, 0.9)),
    *_line((-0.9, -0.7), (0.7, 0.9)),
    *_line((-0.1, -0.9), (0.9, 0.1)),
)

FINDING_MARKS = {
    "new": Mark("filled diamond", fill=_DIAMOND),
    "split": Mark(
        "two short bars",
        fill=(
            *_closed((-0.65, 0.6), (-0.2, 0.6), (-0.2, -0.6), (-0.65, -0.6)),
            *_closed((0.2, 0.6), (0.65, 0.6), (0.65, -0.6), (0.2, -0.6)),
        ),
    ),
    "merged": Mark(
        "long bar", fill=_closed((-1.0, 0.25), (1.0, 0.25), (1.0, -0.25), (-1.0, -0.25))
    ),
    "grown": Mark("upward wedge", fill=_closed((0.0, 0.8), (0.9, -0.7), (-0.9, -0.7))),
    "progressed": Mark(
        "double wedge",
        fill=(
            *_closed((0.0, 1.0), (0.75, 0.05), (-0.75, 0.05)),
            *_closed((0.0, 0.0), (0.75, -0.95), (-0.75, -0.95)),
        ),
    ),
    "revealed": Mark(
        "open diamond", stroke=_closed((0.0, 0.85), (0.68, 0.0), (0.0, -0.85), (-0.68, 0.0))
    ),
    "first seen": Mark("open circle", stroke=_circle(0, 0, 0.75)),
    "drawn smaller": Mark("downward wedge", fill=_closed((0.0, -0.8), (0.9, 0.7), (-0.9, 0.7))),
    "not found": Mark(
        "cross", stroke=(*_line((-0.7, 0.7), (0.7, -0.7)), *_line((-0.7, -0.7), (0.7, 0.7)))
    ),
    "treated": Mark(
        "square", fill=_closed((-0.75, 0.75), (0.75, 0.75), (0.75, -0.75), (-0.75, -0.75))
    ),
    "no change shown": Mark("short dash", stroke=_line((-0.45, 0.0), (0.45, 0.0))),
    "seen, no change visible": Mark("tick", stroke=_line((-0.75, 0.0), (-0.25, -0.6), (0.8, 0.7))),
    "not looked at again": Mark("dotted circle", fill=_DOTTED_CIRCLE),
    "not comparable": Mark("hatch", stroke=_HATCH, stroke_width=0.2),
}
