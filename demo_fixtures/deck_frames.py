"""Which single frames of cells do the demo's surveys bring home, and where does a hand mark them?

A block of four neighbouring cells below the leak, survey after survey, and cell C17 in both lights
and once with the lamp on the wrong side. Each has the truth of its day. Invented demo data.
"""

import io
from collections.abc import Container, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np
from PIL import Image

from demo_fixtures.canvas import Window
from demo_fixtures.cell_frames import Frame, Light, Painting, Point, cell_frame
from demo_fixtures.photographs import surface_on
from demo_fixtures.plans import CELL_IN, ROWS
from demo_fixtures.truth import all_damage
from demo_fixtures.weathering import Surface

SIZE_PX = (1800, 1350)  # about 48 px/in on a cell
PAINTED_PX_PER_IN = 52.0
MARGIN_IN = (9.0, 4.5)  # of wall beside and above a cell that a frame may see
CROSSES_IN = 12.0  # the projected grid: nine crossings on a cell
MARKED_WITHIN_PX = 0.8  # with the magnifier
TAKEN_BY = "Priya Lund"
CAMERA, CAMERA_LENS = ("Rook", "Plate 6"), "Rook 60 mm"  # of the invented story
FRONT, AT_8_DEG = "two flash heads at 45°", "one lamp at 8°"
_EXIF, _TAKEN, _ZONE, _EXPOSED, _STOP, _LONG, _LENS = (
    0x8769, 0x9003, 0x9011, 0x829A, 0x829D, 0x920A, 0xA434,
)  # fmt: skip


@dataclass(frozen=True)
class Shot:
    """One frame to take: of which cell, in which survey, when, in which light."""

    survey: str
    cell: str
    light: Light
    taken_at: datetime

    @property
    def mode(self) -> str:
        return "normal" if self.light == "normal" else "raking"

    @property
    def lamp_side(self) -> str:
        return "" if self.light == "normal" else self.light.removeprefix("raking-")

    @property
    def name(self) -> str:
        return f"{self.survey}-{self.cell}-{self.light}.jpg"


@dataclass(frozen=True)
class CellPicture:
    """A frame as it is handed in: its file, what is known of its light, and its marked points."""

    shot: Shot
    jpeg: bytes = field(repr=False)
    lamp: str
    angle_deg: float
    marks: tuple[tuple[str, Point, Point], ...]
    truth: Frame = field(repr=False)


_FIRST = {
    "B1": datetime(2026, 3, 4, 9, 30, tzinfo=UTC),
    "P1": datetime(2026, 6, 16, 9, 30, tzinfo=UTC),
    "P2": datetime(2026, 10, 20, 9, 30, tzinfo=UTC),
    "W1": datetime(2026, 11, 17, 9, 30, tzinfo=UTC),
}
_BLOCK = ("C38", "C39", "D38", "D39")
_PLANS: tuple[tuple[str, tuple[str, ...], Light], ...] = (
    ("B1", (*_BLOCK, "C17"), "normal"),
    ("P1", (*_BLOCK, "C17"), "normal"),
    ("P2", (*_BLOCK, "C17"), "normal"),
    ("W1", ("C38", "C39"), "normal"),
    ("B1", ("C17",), "raking-left"),
    ("P1", ("C17",), "raking-left"),
    ("P2", ("C17",), "raking-right"),
)


def shots() -> tuple[Shot, ...]:
    """Return the frames in the order in which they are taken, four minutes apart."""
    found: list[Shot] = []
    for survey, cells, light in _PLANS:
        for cell in cells:
            before = sum(shot.survey == survey for shot in found)
            when = _FIRST[survey] + timedelta(minutes=4 * before)
            found.append(Shot(survey, cell, light, when))
    return tuple(found)


def demo_cell_frames(*, skip: Container[str] = ()) -> Iterator[CellPicture]:
    """Take the frames cell by cell, but those whose name is to be skipped."""
    damages = all_damage()
    for number, shot in sorted(enumerate(shots()), key=lambda pair: pair[1].cell):
        if shot.name in skip:
            continue

        def painting(window: Window, px_per_in: float, shot: Shot = shot) -> Surface:
            """Return the cell with its margin, painted once for all days."""
            day = shot.taken_at.date()
            return surface_on(
                day, damages, window=painted_window(shot.cell), px_per_in=PAINTED_PX_PER_IN
            )

        yield _taken(shot, number, painting)


def cell_window(cell: str) -> Window:
    """Return x0, y0, x1, y1 of a cell of the invented wall, such as C17."""
    row, column = "ABCDEFGH".index(cell[0]), int(cell[1:]) - 1
    x0, y1 = column * CELL_IN, (ROWS - row) * CELL_IN
    return x0, y1 - CELL_IN, x0 + CELL_IN, y1


def painted_window(cell: str) -> Window:
    """Return the cell with the margin that its frames see."""
    (x0, y0, x1, y1), (beside, above) = cell_window(cell), MARGIN_IN
    return x0 - beside, y0 - above, x1 + beside, y1 + above


def _taken(shot: Shot, number: int, painting: Painting) -> CellPicture:
    frame = cell_frame(
        window_in=cell_window(shot.cell),
        size_px=SIZE_PX,
        seed=300 + number,
        painting=painting,
        light=shot.light,
        cross_every_in=CROSSES_IN,
        gain=0.95 + 0.02 * (number % 5),
    )
    return CellPicture(
        shot,
        _file(frame.pixels, shot),
        FRONT if shot.mode == "normal" else AT_8_DEG,
        45.0 if shot.mode == "normal" else 8.0,
        frame.marked_within(MARKED_WITHIN_PX, seed=number),
        frame,
    )


def _file(pixels: np.ndarray, shot: Shot) -> bytes:
    """Return the picture as the camera writes it, with what it says of itself."""
    said = Image.Exif()
    said[0x010F], said[0x0110], said[0x0112] = *CAMERA, 1
    inner = said.get_ifd(_EXIF)
    inner[_TAKEN], inner[_ZONE] = shot.taken_at.strftime("%Y:%m:%d %H:%M:%S"), "+00:00"
    inner[_EXPOSED], inner[_STOP], inner[_LONG] = 1 / 60, 8.0, 60.0
    inner[_LENS] = CAMERA_LENS
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=88, exif=said)
    return out.getvalue()
