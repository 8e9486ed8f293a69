"""What do details before and after look like, side by side at one scale, and what do they rest on?

The pictures are printed as they were taken, square to the wall: no mark is drawn on them. Wedges
beside them point at the middle of what a person accepted.
"""

from reportlab.platypus import Flowable, KeepTogether, Spacer

from gridmap.lengths import format_feet_inches
from survey.report import wording
from survey.report.content import BasePicture, CellPlate, DetailPair, PairSide
from survey.report.layout.ink import fill
from survey.report.layout.ledger_table import Column, lines_of
from survey.report.layout.plate_map import BOTTOM_GUTTER_PT, LEFT_GUTTER_PT, PlateMap
from survey.report.layout.setting import Setting
from survey.report.layout.style import (
    ACCENT,
    LIST,
    LIST_STRONG,
    SMALL,
    STATEMENT,
    TABLE_STRONG,
    Type,
)

PAIR_NAME = Type(TABLE_STRONG.font, 12.0, 15.0)
HEAD_PT = 28.0  # which cell, where the detail lies
SIDE_HEAD_PT = 22.0  # before or after: survey, day and light, above each picture
GAP_PT = 12.0
SPACE_PT = 8.0
PICTURE_HIGH_PT = 192.0  # so that two square pairs share a page
WEDGE_PT = 4.0
WEDGE_ROOM_PT = 7.0
DIGEST_SHOWN = 12  # characters; the list of images has it whole


def detail_pairs(setting: Setting) -> list[Flowable]:
    """Return the list of all pairs that were asked for, refused ones included, and every detail."""
    content = setting.content
    if not content.pairs and not content.pairs_asked:
        return [setting.paragraph(wording.NO_PAIRS)]
    out = _asked(setting)
    if not content.pairs:
        return [*out, setting.paragraph(wording.NO_PAIR_ACCEPTED)]
    return [
        *out,
        setting.note(wording.PAIRS_PRINTED),
        *(_sheet(setting, number) for number in range(len(content.pairs))),
    ]


def _sheet(setting: Setting, number: int) -> Flowable:
    """Return a pair with what was accepted on it, in one place where a page has the room."""
    items = setting.content.pairs[number].items
    said = [setting.paragraph(f"{item.item}: {item.words}.", STATEMENT) for item in items]
    return KeepTogether([PairSheet(setting, number), *said, Spacer(1, SPACE_PT)])


def _asked(setting: Setting) -> list[Flowable]:
    """Return all pairs as a table, refused ones with their reason."""
    rows = [
        (row.cell, row.mode, row.before, row.after, row.outcome, row.answers)
        for row in setting.content.pairs_asked
    ]
    if not rows:
        return []
    columns = (
        Column("Cell", 0.6, face=TABLE_STRONG),
        Column("Mode", 0.9),
        Column("Before", 1.6),
        Column("After", 1.6),
        Column("What became of it", 2.8),
        Column("Hints", 1.2),
    )
    return [setting.note(wording.HINTS_MISS), setting.table(columns, rows)]


class PairSheet(Flowable):  # type: ignore[misc]
    """One detail: caption, two drawings of one scale, and what is known of them."""

    def __init__(self, setting: Setting, number: int) -> None:
        super().__init__()
        press, pair = setting.press, setting.content.pairs[number]
        self.press, self.pair, self.place = press, pair, f"pair {number}"
        self.width = width_pt = setting.geometry.text_width_pt
        box = ((width_pt - GAP_PT) / 2 - WEDGE_ROOM_PT, BOTTOM_GUTTER_PT + PICTURE_HIGH_PT)
        self.maps = [
            PlateMap(press, _plate(pair, side), {}, darkroom=setting.darkroom, box_pt=box)
            for side in (pair.before, pair.after)
        ]
        self.lines = lines_of(_statement(pair), face=LIST, width_pt=width_pt)

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        drawn = self.maps[0].height + WEDGE_ROOM_PT
        below = 2 * SMALL.leading_pt + 4 + len(self.lines) * LIST.leading_pt
        self.height = HEAD_PT + SIDE_HEAD_PT + drawn + below
        return self.width, self.height

    def draw(self) -> None:
        self.canv.bookmarkHorizontal(self.place, 0, self.height)
        self.canv.addOutlineEntry(f"Cell {self.pair.cell}, before and after", self.place, level=1)
        out = ["q ", self._head()]
        top = self.height - HEAD_PT
        foot = top - SIDE_HEAD_PT - WEDGE_ROOM_PT - self.maps[0].height
        pair = self.pair
        for number, (side, shown) in enumerate(((pair.before, "Before"), (pair.after, "After"))):
            left = number * (self.width + GAP_PT) / 2
            out.append(self._side_head(side, shown, left, top))
            out.append(self._wedges(self.maps[number], left, foot))
            out.append(self._source(side, left, foot))
            self.maps[number].drawOn(self.canv, left, foot)
        y = foot - 2 * SMALL.leading_pt - 4
        for line in self.lines:
            y -= LIST.leading_pt
            out.append(self.press.text(line, 0, y + 2, LIST))
        self.canv._code.append("".join(out) + "Q")

    def _head(self) -> str:
        name = self.press.typeface.printable(self.pair.cell)
        beside = self.press.width_of(name, PAIR_NAME) + 10
        return self.press.text(name, 0, self.height - 14, PAIR_NAME) + self.press.text(
            _where(self.pair), beside, self.height - 13, SMALL
        )

    def _side_head(self, side: PairSide, shown: str, left: float, top: float) -> str:
        day = side.taken_on.isoformat()
        sure = "" if side.taken_on_certain else ", day of the survey"
        first = self._one_line(f"{shown}: survey {side.survey}, {day}{sure}", LIST_STRONG)
        second = self._one_line(side.light or "light not recorded", LIST)
        x = left + LEFT_GUTTER_PT
        return self.press.text(first, x, top - 9, LIST_STRONG) + self.press.text(
            second, x, top - 18, LIST
        )

    def _source(self, side: PairSide, left: float, foot: float) -> str:
        by = f"taken by {side.operator}" if side.operator else "operator not recorded"
        x = left + LEFT_GUTTER_PT
        lines = (f"{side.name}, {by}", f"SHA-256 {side.digest[:DIGEST_SHOWN]}…, whole in the list")
        return "".join(
            self.press.text(self._one_line(line, SMALL), x, foot - 4 - n * SMALL.leading_pt, SMALL)
            for n, line in enumerate(lines)
        )

    def _one_line(self, text: str, face: Type) -> str:
        width = (self.width - GAP_PT) / 2 - LEFT_GUTTER_PT - 6
        first, *rest = lines_of(self.press.typeface.printable(text), face=face, width_pt=width)
        return f"{first} …" if rest else first

    def _wedges(self, drawing: PlateMap, left: float, foot: float) -> str:
        """Return wedges above and to the right of a picture, at the middle of each item."""
        out = [fill(ACCENT)]
        up, across = foot + drawing.height, left + drawing.width
        for item in self.pair.items:
            x, y = drawing.frame.at(*item.at_in)
            out.append(_wedge(left + x, up + 1.5, (0.0, 1.0)))
            out.append(_wedge(across + 1.5, foot + y, (1.0, 0.0)))
        return "".join(out)


def _wedge(x: float, y: float, away: tuple[float, float]) -> str:
    """Return a filled wedge whose point stands at x, y [pt] and which opens `away` from it."""
    (dx, dy), half = away, WEDGE_PT / 2
    first = (x + dx * WEDGE_PT - dy * half, y + dy * WEDGE_PT + dx * half)
    second = (x + dx * WEDGE_PT + dy * half, y + dy * WEDGE_PT - dx * half)
    return (
        f"{x:.2f} {y:.2f} m {first[0]:.2f} {first[1]:.2f} l {second[0]:.2f} {second[1]:.2f} l h f "
    )


def _plate(pair: DetailPair, side: PairSide) -> CellPlate:
    """Return a side as the drawing of a cell that has a picture and nothing drawn on it."""
    picture = BasePicture(side.name, pair.whole_in, side.light, side.source)
    return CellPlate(pair.cell, pair.bounds_in, (), picture)


def _where(pair: DetailPair) -> str:
    x0, y0, x1, y1 = (format_feet_inches(value) for value in pair.bounds_in)
    return f"{x0} to {x1} from the left end, {y0} to {y1} above the painting’s lower edge"


def _statement(pair: DetailPair) -> str:
    return (
        f"Equal scale, {pair.px_per_in:.0f} px/in. The later picture is laid on the earlier one to "
        f"± {pair.laid_error_in:.4f} in; a place on them is sure to ± {pair.place_error_in:.2f} in "
        "(one standard deviation each). Not enhanced."
    )
