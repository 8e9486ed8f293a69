"""Which frames do the tests of mosaics stand on? Cells of the invented painting, as a camera saw them.

The frames know the truth: where every pixel lies on the wall, and how they were exposed.
"""

from functools import lru_cache

from demo_fixtures.cell_frames import cell_frame
from gridmap.rectify import MarkedPoint
from survey.ledger.drafts import Writer
from survey.photos.models import Placement
from survey.photos.placing import write_placement
from survey.photos.rectifying import copy_of
from survey.photos.taking_in import Statement, take_in

PRIYA = Writer(name="Priya Lund", device="desk")
SIZE_PX = (760, 760)


@lru_cache(maxsize=32)
def frame(bounds_in, gain=1.0, seed=5):
    return cell_frame(window_in=bounds_in, size_px=SIZE_PX, seed=seed, gain=gain)


def take(survey, cell, *, gain=1.0, seed=5, drawn=True, px_per_in=None, **said):
    """Put a frame of a cell on record, placed by its marks, and draw its copy."""
    shot = frame(survey.layout.grid.bounds(cell), gain, seed)
    statement = Statement(**{"mode": "normal", "cells": (cell,), **said})
    name = f"{cell}-{gain:g}-{seed}.jpg"
    taken = take_in(survey, shot.jpeg(), name, statement=statement, writer=PRIYA)
    points = [MarkedPoint(*mark) for mark in shot.marks]
    write_placement(
        taken.photograph,
        points,
        kinds=("crossing",) * len(points),
        writer=PRIYA,
        px_per_in=px_per_in,
    )
    if drawn:
        placement = Placement.objects.select_related("head").get(photograph_id=taken.photograph.pk)
        copy_of(placement.head)
    return taken.photograph
