"""What was examined of the invented wall, cell by cell and mode by mode, and what hid the rest?"""

from collections.abc import Sequence
from uuid import UUID, uuid5

from demo_fixtures.damage import Damage
from demo_fixtures.drafts import Draft, draft
from demo_fixtures.hands import geometry_of
from demo_fixtures.plans import (
    SEARCH_LIST,
    Round,
    cell_bounds,
    in_strip,
    out_of_reach,
    percussion_cells,
    seen_in_strip,
)
from demo_fixtures.shapes import Point
from demo_fixtures.wall import BOARDS_STRIP_IN, OUT_OF_REACH_Y_IN

LAYOUT_VERSION = 1
Box = tuple[float, float, float, float]


def examinations(plan: Round, survey_id: UUID, damages: Sequence[Damage]) -> list[Draft]:
    """Return the examinations of one survey: every cell in every mode that was used there."""
    tapped = percussion_cells(damages)
    drafts = []
    for cell in (*plan.cells, *plan.not_examined):
        for mode in plan.modes:
            if mode == "percussion" and cell not in tapped:
                continue
            drafts.append(_examination(plan, survey_id, cell, mode))
    return drafts


def _examination(plan: Round, survey_id: UUID, cell: str, mode: str) -> Draft:
    about = f"examination:{LAYOUT_VERSION}:{cell}:{mode}"
    body: dict[str, object] = {"layout": LAYOUT_VERSION, "cell": cell, "mode": mode}
    if cell in plan.not_examined:
        body |= {"state": "not-examined", "cause": plan.not_examined[cell], "done": False}
    else:
        body |= _state(plan, cell, mode)
        body |= {"searched": list(SEARCH_LIST[mode]), "done": True}
    return draft(
        "examination", body, about=f"{plan.code}:{about}", subject=str(uuid5(survey_id, about)),
        made_at=plan.moment_at(cell), observer=plan.hand_at(cell), recorder=plan.recorder,
    )  # fmt: skip


def _state(plan: Round, cell: str, mode: str) -> dict[str, object]:
    hidden = _hidden(plan, cell)
    if hidden:
        bare = _without_strip(plan, cell)
        touch = _area(_within_reach(bare))
        return {"state": "part-hidden", "seen": _area(bare), "touch": touch, "hidden": hidden}
    if out_of_reach(cell):
        x0, y0, x1, _ = cell_bounds(cell)
        low = _area((x0, y0, x1, OUT_OF_REACH_Y_IN))
        if mode == "percussion":
            # What is not touched is not tapped.
            return {"state": "touch", "seen": low, "touch": low, "cause": "top 18 in out of reach"}
        return {"state": "seen", "touch": low}
    return {"state": "touch"}


def _hidden(plan: Round, cell: str) -> list[dict[str, object]]:
    hidden: list[dict[str, object]] = []
    x0, _, x1, _ = box = cell_bounds(cell)
    if in_strip(cell) and not seen_in_strip(plan, cell):
        low, high = max(box[1], BOARDS_STRIP_IN[0]), min(box[3], BOARDS_STRIP_IN[1])
        hidden.append({"geometry": _area((x0, low, x1, high)), "cause": "boards of deck 2"})
    for cause, ring in plan.covers:
        if _meets(ring, box):
            hidden.append({"geometry": _clipped(ring, box), "cause": cause})
    return hidden


def _without_strip(plan: Round, cell: str) -> Box:
    """Return what the boards leave open of a cell: above them in row D, below in row E."""
    x0, y0, x1, y1 = cell_bounds(cell)
    if not in_strip(cell) or seen_in_strip(plan, cell):
        return x0, y0, x1, y1
    low, high = BOARDS_STRIP_IN
    return (x0, high, x1, y1) if y1 > high else (x0, y0, x1, low)


def _within_reach(box: Box) -> Box:
    x0, y0, x1, y1 = box
    return x0, y0, x1, min(y1, OUT_OF_REACH_Y_IN)


def _area(box: Box) -> dict[str, object]:
    x0, y0, x1, y1 = box
    return geometry_of([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], "area")


def _meets(ring: Sequence[Point], box: Box) -> bool:
    x0, y0, x1, y1 = box
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return min(xs) < x1 and max(xs) > x0 and min(ys) < y1 and max(ys) > y0


def _clipped(ring: Sequence[Point], box: Box) -> dict[str, object]:
    """Return the part of an upright rectangle within a cell."""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    x0, y0, x1, y1 = box
    return _area((max(min(xs), x0), max(min(ys), y0), min(max(xs), x1), min(max(ys), y1)))
