"""Which photographs and marked points do the tests of placing stand on? A plain picture of C03."""

import io

import numpy as np
from PIL import Image

from gridmap.rectify import MarkedPoint
from survey.ledger.drafts import Writer
from survey.photos.taking_in import Statement, take_in

PRIYA = Writer(name="Priya Lund", device="desk")
SIZE_PX = (1200, 900)
# Cell C03 of the small wall: 48 to 72 in across, 96 to 120 in up; the camera stands a little askew.
CORNERS = (
    ("C03 upper left", (206.0, 51.5), (48.0, 120.0)),
    ("C03 upper right", (1004.5, 60.0), (72.0, 120.0)),
    ("C03 lower right", (998.0, 852.0), (72.0, 96.0)),
    ("C03 lower left", (199.0, 846.5), (48.0, 96.0)),
)


def picture(*, colour=None, seed=3):
    """Return a JPEG of brush texture, or of one flat colour."""
    width, height = SIZE_PX
    if colour is None:
        rng = np.random.default_rng(seed)
        coarse = rng.integers(60, 220, (height // 20, width // 20, 3), np.uint8)
        image = Image.fromarray(coarse).resize(SIZE_PX, Image.Resampling.BICUBIC)
    else:
        image = Image.new("RGB", SIZE_PX, colour)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=92)
    return out.getvalue()


def taken(survey, *, name="C03.jpg", data=None, **said):
    """Return a photograph of cell C03 on record."""
    statement = Statement(**{"mode": "normal", "cells": ("C03",), **said})
    found = take_in(survey, data or picture(), name, statement=statement, writer=PRIYA)
    return found.photograph


def corners():
    """Return the cell's corners as marked points."""
    return tuple(MarkedPoint(*corner) for corner in CORNERS)


def sent(*, move=None, **more):
    """Return the cell's corners as a browser sends them; `move` shifts a point's pixels by name."""
    points = [
        {"name": name, "kind": "corner", "px": list(px), "wall_in": list(wall)}
        for name, px, wall in CORNERS
    ]
    for name, px in (move or {}).items():
        next(point for point in points if point["name"] == name)["px"] = px
    return {"points": points, **more}
