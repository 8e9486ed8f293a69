"""How do the demo's pictures become measured ones: laid as mosaics, placed, drawn square?

Through the program's services, without a worker. Loading again adds only what is missing.
"""

from collections.abc import Callable

from demo_fixtures import INVENTED
from demo_fixtures.deck_frames import TAKEN_BY, CellPicture, demo_cell_frames
from demo_fixtures.postcard import NAME, postcard
from gridmap.rectify import MarkedPoint
from survey.ledger.drafts import Writer
from survey.photos.models import Photograph, PicturePair, Placement, RectifiedCopy
from survey.photos.orthophotos import mosaic_from_picture
from survey.photos.pairing import ask_for_pair
from survey.photos.placing import write_placement
from survey.photos.presences import state_presence
from survey.photos.rectifying import copy_of
from survey.photos.taking_in import Statement, take_in
from survey.record.models import Survey

Say = Callable[[str], object]
# Before, after, light and cell: a loss that grew, two that did not, and a lamp on the other side.
PAIRS = (
    ("B1", "P1", "normal", "C17"),
    ("P1", "P2", "normal", "C38"),
    ("B1", "P2", "normal", "D39"),
    ("P1", "P2", "raking", "C17"),
)
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


def load_postcard(surveys: dict[str, Survey], *, say: Say = print) -> None:
    """Take the old postcard in as a historical picture, place it, and say what it shows of C17."""
    survey = surveys["F0"]
    if survey.photographs.filter(name=NAME).exists():
        return
    card = postcard()
    statement = Statement(
        mode="normal",
        role="historic",
        historic={
            "date_words": "Postmarked May 1951",
            "earliest": "1936-09-01",
            "latest": "1951-05-31",
            "date_certainty": "probable",
            "source": "Picture postcard, lent by a reader of the library",
            "source_certainty": "certain",
        },
        note=f"Scanned from a print; {INVENTED}.",
    )
    taken = take_in(survey, card.jpeg, NAME, statement=statement, writer=CAMERA_DESK)
    points = [MarkedPoint(*mark) for mark in card.marks]
    _place(taken.photograph, points, kind="mark")
    state_presence(
        taken.photograph, cell="C17", what="Loss of paint", answer="absent", writer=CAMERA_DESK
    )
    say("  historical picture: a postcard of 1951, placed on the wall")


def ask_for_pairs(surveys: dict[str, Survey], *, say: Say = print) -> None:
    """Ask for the pairs of the story; the worker that serves the demo lays them."""
    before = PicturePair.objects.count()
    for first, second, mode, cell in PAIRS:
        survey = surveys[second]
        ask_for_pair(
            wall=survey.wall,
            before_survey=surveys[first],
            after_survey=survey,
            mode=mode,
            cell=cell,
            asked_by=None,
        )
    if PicturePair.objects.count() > before:
        say(f"  pairs of pictures: {len(PAIRS)} asked for")


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
    _place(taken.photograph, points, kind="crossing")


def _place(photograph: Photograph, points: list[MarkedPoint], *, kind: str) -> None:
    write_placement(photograph, points, kinds=(kind,) * len(points), writer=CAMERA_DESK)
    copy_of(Placement.objects.select_related("head").get(photograph_id=photograph.pk).head)
