"""How do the marks of findings and point terms become PDF operators?"""

from functools import lru_cache

from gridmap.marks import Mark, Path, finding_mark
from survey.report.content import Finding
from survey.report.layout.ink import fill, stroke


def mark_operators(finding: Finding, x: float, y: float, half_pt: float, colour: str) -> str:
    """Return operators that draw a finding's mark, centred at x, y [pt]."""
    return _placed(finding_mark(str(finding)), x, y, half_pt, colour)


def cased_mark_operators(mark: Mark, x: float, y: float, half_pt: float, colour: str) -> str:
    """Return a mark with a white rim, so that it is seen on any picture."""
    inner = _placed(mark, x, y, half_pt, colour)
    shape = "".join((_fill_path(mark), _stroke_path(mark)))
    rim = f"1 G 1 j {mark.stroke_width + 0.55:.2f} w {shape}S "
    return f"q {half_pt:.2f} 0 0 {half_pt:.2f} {x:.2f} {y:.2f} cm {rim}Q {inner}"


def _placed(mark: Mark, x: float, y: float, half_pt: float, colour: str) -> str:
    parts = [f"q {half_pt:.2f} 0 0 {half_pt:.2f} {x:.2f} {y:.2f} cm 1 j "]
    if mark.fill:
        parts.append(f"{fill(colour)}{_fill_path(mark)}f ")
    if mark.stroke:
        parts.append(f"{stroke(colour, mark.stroke_width)}{_stroke_path(mark)}S ")
    return "".join(parts) + "Q "


@lru_cache(maxsize=128)
def _fill_path(mark: Mark) -> str:
    return _path(mark.fill)


@lru_cache(maxsize=128)
def _stroke_path(mark: Mark) -> str:
    return _path(mark.stroke)


def _path(path: Path) -> str:
    letters = {"M": "m", "L": "l", "C": "c", "Z": "h"}
    return "".join(
        " ".join([*(f"{number:g}" for number in numbers), letters[name]]) + " "
        for name, *numbers in path
    )
