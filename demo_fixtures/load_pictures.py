"""How do the demo's pictures become measured ones: laid as mosaics, placed, drawn square?

Through the program's services, without a worker. Loading again adds only what is missing.
"""

from collections.abc import Callable

from demo_fixtures import INVENTED
from demo_fixtures.deck_frames import TAKEN_BY, CellPicture, demo_cell_frames
from gridmap.rectify import MarkedPoint
from survey.ledger.drafts import Writer
from survey.photos.models import Placement, RectifiedCopy
from survey.photos.orthophotos import mosaic_from_picture
from survey.photos.placing import write_placement
from survey.photos.rectifying import copy_of
from survey.photos.taking_in import Statement, take_in
from survey.record.models import Survey

Say = Callable[[str], object]
CAMERA_DESK = Writer(name=TAKEN_BY, device="desk")


def load_cell_frames(surveys: dict[str, Survey], *, say: Say = print) -> None:
    """Take in the frames that are missing, place each by its marks and draw its copy."""
    added = 0
    for picture in demo_cell_frames(skip=_finished(surveys)):
        _load(picture, surveys[picture.shot.survey])
        added += 1
    if added:
        say(f"  frames of cells: {added} placed on the wall and drawn square")


def load_mosaics(surveys: dict[str, Survey], *, say: Say = print) -> None:
    """Lay each survey's picture of the whole wall as a mosaic where it has none yet."""
    added = 0
    for survey in surveys.values():
        laid = set(survey.mosaics.values_list("mode", "lamp_side"))
        for picture in survey.photographs.filter(rectified=True).order_by("name"):
            if (picture.mode, picture.lamp_side) not in laid:
                mosaic_from_picture(survey, picture, picture.operator)
                added += 1
    if added:
        say(f"  mosaics: {added} pictures of the whole wall as tiles")


def _finished(surveys: dict[str, Survey]) -> set[str]:
    """Return the names of frames whose copies are there."""
    drawn = set(RectifiedCopy.objects.values_list("photograph_id", flat=True))
    rows = [
        row
        for survey in surveys.values()
        for row in survey.photographs.filter(pk__in=drawn).values_list("name", flat=True)
    ]
    return set(rows)


def _load(picture: CellPicture, survey: Survey) -> None:
    shot = picture.shot
    statement = Statement(
        mode=shot.mode,
        lamp_side=shot.lamp_side,
        lamp=picture.lamp,
        angle_deg=picture.angle_deg,
        cells=(shot.cell,),
        taken_at=shot.taken_at,
        note=f"Single frame with the projected grid; {INVENTED}.",
    )
    taken = take_in(survey, picture.jpeg, shot.name, statement=statement, writer=CAMERA_DESK)
    points = [MarkedPoint(*mark) for mark in picture.marks]
    kinds = ("crossing",) * len(points)
    write_placement(taken.photograph, points, kinds=kinds, writer=CAMERA_DESK)
    placement = Placement.objects.select_related("head").get(photograph_id=taken.photograph.pk)
    copy_of(placement.head)
