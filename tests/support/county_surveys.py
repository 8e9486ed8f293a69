"""What are the two surveys of the county wall, and what did the edits between them amount to?

Everything here is plain shapely and numpy: which county became what, which parts of the wall each
survey saw, and the areas that follow. Nothing of the program is imported.
"""

from dataclasses import dataclass, field

import numpy as np
import shapely

from tests.support.counties import HEIGHT_IN, WIDTH_IN, counties, on_lattice

TERMS = ("paint-loss", "soiling", "powdering", "flaking")  # flaking needs raking light
WORDS = {
    "paint-loss": "Paint loss",
    "soiling": "soiling",
    "powdering": "Powdering",
    "flaking": "flaking",
}
MODE = {"paint-loss": "normal", "soiling": "normal", "powdering": "normal", "flaking": "raking"}
SPACING_IN = 48.0
TOLERANCE_IN = 0.25
OPENING = [[900.0, 500.0], [960.0, 500.0], [960.0, 560.0], [930.0, 600.0], [900.0, 560.0]]


@dataclass
class Edited:
    """The outlines of both surveys by county, and what was done to each county."""

    before: dict[str, shapely.Geometry] = field(default_factory=dict)
    after: dict[str, shapely.Geometry] = field(default_factory=dict)
    term: dict[str, str] = field(default_factory=dict)
    edit: dict[str, str] = field(default_factory=dict)


def edited_counties():
    """Return every second county before and after, and all with holes: half as they were, the
    rest changed in seven ways."""
    edited = Edited()
    chosen = [
        (code, shape)
        for place, (code, shape) in enumerate(counties().items())
        if place % 2 or has_hole(shape)
    ]
    for number, (code, shape) in enumerate(chosen):
        name = f"c{code}"
        edited.term[name] = TERMS[number % len(TERMS)]
        edit = EDITS[number % 13] if number % 13 < len(EDITS) else "kept"
        if edit == "added":
            edited.after[name], edited.edit[name] = shape, "added"
            continue
        edited.before[name] = shape
        if edit == "dropped":
            edited.edit[name] = "dropped"
            continue
        changed = on_lattice(CHANGES[edit](shape)) if edit in CHANGES else shape
        sound = changed.is_valid and changed.geom_type in ("Polygon", "MultiPolygon")
        on_wall = shapely.box(0, 0, WIDTH_IN, HEIGHT_IN).contains(changed)
        if not (sound and on_wall and changed.area > 0):
            changed, edit = shape, "kept"
        edited.after[name], edited.edit[name] = changed, edit
    return edited


def has_hole(shape):
    return any(len(part.interiors) for part in shapely.get_parts(shape))


def _moved(shape):
    return shapely.transform(shape, lambda xy: xy + np.array([1.25, -0.75]))


def _grown(shape):
    return shape.buffer(0.5, quad_segs=2)


def _shrunk(shape):
    return shape.buffer(-0.375, quad_segs=2)


def _cut(shape):
    x0, y0, x1, y1 = shape.bounds
    return shapely.intersection(shape, shapely.box(x0, y0, (x0 + x1) / 2, y1))


def _holed(shape):
    place = shape.representative_point()
    return shape.difference(shapely.box(place.x - 0.5, place.y - 0.5, place.x + 0.5, place.y + 0.5))


CHANGES = {"moved": _moved, "grown": _grown, "shrunk": _shrunk, "cut": _cut, "holed": _holed}
EDITS = ("dropped", "added", "moved", "grown", "shrunk", "cut", "holed")

# What each survey saw: (mode, state, polygon). The hidden parts beat the others.
SEEN_BEFORE = (
    ("normal", "seen", [[0, 0], [1500, 0], [1700, 1056], [0, 1056]]),
    ("normal", "touch", [[1400, 100], [1800, 100], [1800, 420.5], [1400, 420.5]]),
    ("normal", "hidden", [[0, 430], [1920, 442], [1920, 466], [0, 454]]),
    ("raking", "seen", [[300, 200], [1250, 180], [1300, 900], [280, 880]]),
)
SEEN_AFTER = (
    ("normal", "seen", [[150.5, 0], [1920, 0], [1920, 1056], [150.5, 1056]]),
    ("normal", "hidden", [[700, 700], [760, 690], [790, 760], [710, 770]]),
    ("raking", "touch", [[500, 0], [1920, 0], [1920, 800], [500, 800]]),
)


def seen(parts, mode):
    """Return what a survey saw in a mode."""
    of_mode = [(state, shapely.Polygon(ring)) for m, state, ring in parts if m == mode]
    shown = shapely.union_all([shape for state, shape in of_mode if state != "hidden"])
    hidden = shapely.union_all([shape for state, shape in of_mode if state == "hidden"])
    return shapely.difference(shown, hidden)


def compared_region(mode):
    """Return where both surveys saw the painted wall in a mode."""
    painted = shapely.box(0, 0, WIDTH_IN, HEIGHT_IN).difference(shapely.Polygon(OPENING))
    return seen(SEEN_BEFORE, mode) & seen(SEEN_AFTER, mode) & painted


def compared_anywhere():
    """Return where both surveys saw the painted wall in some same mode."""
    return compared_region("normal") | compared_region("raking")


def areas_of_term(edited, term):
    """Return (before, after, reached before, reached after): unions within the compared region.

    *Reached* is the union of the round buffers of the whole outlines, by the drawing tolerance.
    """
    region = compared_region(MODE[term])
    cut = []
    for side in (edited.before, edited.after):
        shapes = [shape for name, shape in side.items() if edited.term[name] == term]
        buffers = shapely.buffer(shapes, TOLERANCE_IN, quad_segs=16)
        cut.append((shapely.union_all(shapes) & region, shapely.union_all(buffers)))
    (before, near_before), (after, near_after) = cut
    return before, after, near_before, near_after


def sizes(edited, term):
    """Return the areas of a term on the whole wall [sq in], under the keys of `compare --json`."""
    before, after, near_before, near_after = areas_of_term(edited, term)
    return {
        "before_sq_in": before.area,
        "after_sq_in": after.area,
        "added_sq_in": (after - before).area,
        "removed_sq_in": (before - after).area,
        "common_sq_in": (before & after).area,
        "added_beyond_sq_in": (after - near_before).area,
        "removed_beyond_sq_in": (before - near_after).area,
    }


def sizes_by_cell(edited, term):
    """Return {cell label: sizes} by cutting the whole unions with each cell's box.

    Columns are numbered from the right end, rows lettered from the top.
    """
    before, after, near_before, near_after = areas_of_term(edited, term)
    whole = {
        "before_sq_in": before,
        "after_sq_in": after,
        "added_sq_in": after - before,
        "removed_sq_in": before - after,
        "common_sq_in": before & after,
        "added_beyond_sq_in": after - near_before,
        "removed_beyond_sq_in": before - near_after,
    }
    columns, rows = int(WIDTH_IN / SPACING_IN), int(HEIGHT_IN / SPACING_IN)
    across, up = np.meshgrid(np.arange(columns), np.arange(rows))
    across, up = across.ravel(), up.ravel()
    boxes = shapely.box(*(SPACING_IN * np.array([across, up, across + 1, up + 1])))
    areas = {key: _area_in_each(boxes, shape) for key, shape in whole.items()}
    labels = [
        f"{chr(ord('A') + rows - 1 - u)}{columns - a:02d}" for a, u in zip(across, up, strict=True)
    ]
    return {
        label: {key: float(found[place]) for key, found in areas.items()}
        for place, label in enumerate(labels)
    }


def _area_in_each(boxes, shape):
    parts = shapely.get_parts(shape)
    box, part = shapely.STRtree(parts).query(boxes)
    pieces = shapely.area(shapely.intersection(boxes[box], parts[part]))
    return np.bincount(box, weights=pieces, minlength=len(boxes))
