"""Which pictures do the tests of pairs stand on? One cell of the other wall, before and after.

The later frame shows losses whose rings are known; camera, grain and light are others'.
"""

from datetime import date
from functools import lru_cache

from demo_fixtures.cell_frames import Loss, cell_frame
from gridmap.rectify import MarkedPoint
from survey.jobs.services import run_job
from survey.ledger.drafts import Writer
from survey.photos.models import Placement
from survey.photos.pairing import ask_for_pair
from survey.photos.placing import write_placement
from survey.photos.rectifying import copy_of
from survey.photos.taking_in import Statement, take_in
from tests.support.factories import make_survey, make_wall
from tests.support.other_wall import other_painting

PRIYA = Writer(name="Priya Lund", device="desk")
CELL = "C03"  # of the small wall: 48 to 72 in across, 96 to 120 in up
LOSSES = (Loss((55.0, 113.0), 1.0), Loss((65.0, 102.0), 0.5), Loss((60.0, 105.5), 0.25))


@lru_cache(maxsize=8)
def frame(window_in, *, seed, light="normal", losses=(), wall=4):
    """Return a frame of 900 px with 34 px to the inch; `wall` chooses the painting."""
    painting = other_painting(wall)
    return cell_frame(
        window_in=window_in,
        size_px=(900, 900),
        seed=seed,
        light=light,
        losses=losses,
        painting=lambda window, _: painting(window, 40.0),
        cross_light=0.0,
    )


def take(survey, shot, name, **said):
    """Put a frame of the cell on record, place it by its marks, and draw its copy."""
    statement = Statement(**{"mode": "normal", "cells": (CELL,), **said})
    taken = take_in(survey, shot.jpeg(), name, statement=statement, writer=PRIYA)
    points = [MarkedPoint(*mark) for mark in shot.marks]
    write_placement(
        taken.photograph,
        points,
        kinds=("crossing",) * len(points),
        writer=PRIYA,
    )
    copy_of(Placement.objects.get(photograph_id=taken.photograph.pk).head)
    return taken.photograph


def two_surveys():
    """Return an earlier and a later survey of the small wall."""
    wall = make_wall()
    return make_survey(wall), make_survey(
        wall, code="P1", kind="after-phase", starts_on=date(2026, 6, 15), ends_on=date(2026, 6, 19)
    )


def ask(before, after, *, by=None, mode="normal", first="", second=""):
    """Ask for the pair of the cell."""
    return ask_for_pair(
        wall=before.wall,
        before_survey=before,
        after_survey=after,
        mode=mode,
        cell=CELL,
        asked_by=by,
        before=first,
        after=second,
    )


def compared():
    """Return a pair of two surveys' pictures with planted losses, laid and searched."""
    before, after = two_surveys()
    window = before.layout.grid.bounds(CELL)
    take(before, frame(window, seed=1), "before.jpg")
    take(after, frame(window, seed=2, losses=LOSSES), "after.jpg")
    found = ask(before, after)
    run_job.call(found.job_id)
    found.refresh_from_db()
    return found
