"""How is the whole wall drawn as a strip to scale: grid, openings, decks, coverage, findings?

The same strip stands on screen; here it is cut into pieces so that a long wall keeps a useful
scale on a page.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from reportlab.platypus import Flowable
from shapely.geometry.base import BaseGeometry

from gridmap.lengths import format_feet_inches
from gridmap.marks import finding_mark
from survey.report.content import (
    Band,
    Coverage,
    Finding,
    PlateOutline,
    TermEntry,
    TermSymbol,
    WallMap,
)
from survey.report.layout.drawn_marks import cased_mark_operators
from survey.report.layout.hatches import dotted, hatch_on, plain_hatch
from survey.report.layout.ink import Frame, Press, fill, rectangle, rgb, segment, stroke
from survey.report.layout.labels import LabelBoard
from survey.report.layout.style import GROUND, INK, LABEL, MUTED, PANEL, RULE, SMALL, Type

LEFT_PT, RIGHT_PT, TOP_PT, BOTTOM_PT = 16.0, 34.0, 11.0, 17.0  # gutters for names and decks
LOWEST_DECK_PT = 14.0  # a deck further below the painting is drawn here
LEAST_HATCHED_PT = 12.0  # smaller areas are filled
LEAST_NAME_PT = 11.0  # room a column's name needs
BAR_STEPS_IN = (12, 24, 60, 120, 240, 600)
QUIET = (Finding.NO_CHANGE_SHOWN, Finding.SEEN_NO_CHANGE)
ZONE = Type(SMALL.font, 6.6, 8.0, MUTED)
DECK = Type(LABEL.font, 6.2, 7.4, INK)


@dataclass(frozen=True)
class Piece:
    """A stretch of the wall: a run of columns, drawn from edge to edge."""

    columns: tuple[Band, ...]

    @property
    def from_in(self) -> float:
        return self.columns[0].from_in

    @property
    def to_in(self) -> float:
        return self.columns[-1].to_in


def pieces_of(wall: WallMap, count: int) -> list[Piece]:
    """Cut the wall into `count` pieces of nearly equal numbers of columns, left to right."""
    count = max(1, min(count, len(wall.columns)))
    cuts = [round(i * len(wall.columns) / count) for i in range(count + 1)]
    return [Piece(wall.columns[a:b]) for a, b in pairwise(cuts)]


class Strip(Flowable):  # type: ignore[misc]
    """A piece of the wall to scale; `over` draws beneath the grid, `after` on top of it."""

    def __init__(
        self,
        press: Press,
        wall: WallMap,
        piece: Piece,
        *,
        width_pt: float,
        longest_in: float | None = None,
        most_height_pt: float = 400.0,
        over: Callable[["Strip"], str] = lambda strip: "",
        after: Callable[["Strip"], str] = lambda strip: "",
        names_zones: bool = False,
    ) -> None:
        super().__init__()
        self.press, self.wall, self.piece = press, wall, piece
        self.over, self.after, self.names_zones = over, after, names_zones
        low, high = wall.rows[0].from_in, wall.rows[-1].to_in
        length_in = max(longest_in or 0.0, piece.to_in - piece.from_in)
        scale = min((width_pt - LEFT_PT - RIGHT_PT) / length_in, most_height_pt / (high - low))
        self.lift = (
            max(0.0, *((low - d.level_in) * scale for d in wall.decks), 0.0) if wall.decks else 0
        )
        self.lift = min(self.lift, 14.0)
        self.frame = Frame(piece.from_in, low, scale, LEFT_PT, BOTTOM_PT + self.lift)
        self.bounds_in = (piece.from_in, low, piece.to_in, high)
        self.width = LEFT_PT + (piece.to_in - piece.from_in) * scale + RIGHT_PT
        self.height = BOTTOM_PT + self.lift + (high - low) * scale + TOP_PT
        self.spaceAfter = 6.0

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        return self.width, self.height

    @property
    def bounds_pt(self) -> tuple[float, float, float, float]:
        x0, y0 = self.frame.at(self.bounds_in[0], self.bounds_in[1])
        x1, y1 = self.frame.at(self.bounds_in[2], self.bounds_in[3])
        return x0, y0, x1, y1

    def draw(self) -> None:
        window = self.frame.box(self.bounds_in)
        parts = [
            f"q {window}W n {fill(GROUND)}{window}f {self.over(self)}",
            self._grid(),
            self._openings(),
            self._zones() if self.names_zones else "",
            "Q ",
            f"q {stroke(INK, 0.8)}{window}S ",
            self._decks(),
            self._names(),
            self._scale_bar(),
            "Q ",
            f"q {window}W n {self.after(self)}Q",
        ]
        self.canv._code.append("".join(parts))

    def _openings(self) -> str:
        if not self.wall.openings:
            return ""
        paths = self.frame.paths([opening.shape for opening in self.wall.openings])
        whole = "".join(paths)
        return f"{fill(PANEL)}{whole}f* {stroke(INK, 0.8)}{whole}S {self._opening_names()}"

    def _opening_names(self) -> str:
        out = []
        for opening in self.wall.openings:
            part = shapely.clip_by_rect(opening.shape, *self.bounds_in)
            if part.is_empty:
                continue
            box, spot = part.bounds, part.representative_point()
            room = (box[2] - box[0]) * self.frame.scale_pt_per_in
            name = self.press.typeface.printable(opening.name)
            if self.press.width_of(name, SMALL) <= room - 2:
                x, y = self.frame.at(spot.x, spot.y)
                out.append(self.press.text(name, x, y - 2.2, SMALL, align="center"))
        return "".join(out)

    def _grid(self) -> str:
        x0, y0, x1, y1 = self.bounds_pt
        lines = [stroke(RULE, 0.25)]
        for column in self.piece.columns[1:]:
            x, _ = self.frame.at(column.from_in, 0)
            lines.append(segment(x, y0, x, y1))
        for row in self.wall.rows[1:]:
            _, y = self.frame.at(0, row.from_in)
            lines.append(segment(x0, y, x1, y))
        return "".join(lines)

    def _zones(self) -> str:
        board = LabelBoard(*self.bounds_pt)
        out = []
        for zone in self.wall.zones:
            part = shapely.clip_by_rect(zone.shape, *self.bounds_in)
            if part.is_empty:
                continue
            spot = part.representative_point()
            x, y = self.frame.at(spot.x, spot.y)
            width = self.press.width_of(self.press.typeface.printable(zone.name), ZONE) + 4
            if not board.place_at(x, y, width=width, height=ZONE.leading_pt):
                x, y = board.place_near(x, y, width=width, height=ZONE.leading_pt) or (x, y)
            out.append(self.press.haloed(zone.name, x, y - 2.2, ZONE, align="center"))
        return "".join(out)

    def _decks(self) -> str:
        x0, y0, x1, y1 = self.bounds_pt
        out = []
        for deck in self.wall.decks:
            _, y = self.frame.at(0, deck.level_in)
            y = max(y, y0 - LOWEST_DECK_PT)
            if y > y1:
                continue
            out.append(stroke(INK, 1.5) + segment(x0 - 3, y, x1 + 3, y))
            name = deck.name if len(deck.name) <= 6 else f"{deck.name[:5]}…"
            out.append(self.press.text(f"Deck {name}", x1 + 5, y - 2, DECK))
        return "".join(out)

    def _names(self) -> str:
        x0, y0, x1, y1 = self.bounds_pt
        pitch = (x1 - x0) / len(self.piece.columns)
        every = next((n for n in (1, 2, 3, 5, 10, 20, 50) if n * pitch >= LEAST_NAME_PT), 100)
        out = []
        for number, column in enumerate(self.piece.columns):
            if number % every == 0:
                x, _ = self.frame.at((column.from_in + column.to_in) / 2, 0)
                out.append(self.press.text(column.name, x, y1 + 3, SMALL, align="center"))
        row_pitch = (y1 - y0) / len(self.wall.rows)
        every = next((n for n in (1, 2, 3, 5, 10) if n * row_pitch >= 7.5), 20)
        for number, row in enumerate(reversed(self.wall.rows)):
            if number % every == 0:
                _, y = self.frame.at(0, (row.from_in + row.to_in) / 2)
                out.append(self.press.text(row.name, x0 - 6, y - 2.2, SMALL, align="right"))
        return "".join(out)

    def _scale_bar(self) -> str:
        scale = self.frame.scale_pt_per_in
        length_in = next((s for s in BAR_STEPS_IN if s * scale >= 44), BAR_STEPS_IN[-1])
        x0, y = self.frame.left_pt, self.frame.bottom_pt - self.lift - 13
        half = length_in * scale / 2
        bar = stroke(INK, 0.6) + fill(INK) + rectangle(x0, y, half, 3.4) + "B "
        bar += fill(PANEL) + rectangle(x0 + half, y, half, 3.4) + "B "
        ends = f"{format_feet_inches(self.piece.from_in)} to {format_feet_inches(self.piece.to_in)}"
        return (
            bar
            + self.press.text(format_feet_inches(length_in), x0 + 2 * half + 4, y - 1, SMALL)
            + self.press.text(
                f"{ends} from the left end", self.bounds_pt[2], y - 1, SMALL, align="right"
            )
        )


def coverage_layer(strip: Strip, coverage: Coverage) -> str:
    """Draw unseen ground hatched, seen ground plain, and what is out of reach dotted."""
    bounds = strip.bounds_pt
    seen, touch = strip.frame.paths([coverage.seen, coverage.touch])
    out = [plain_hatch(strip.press, "unseen", bounds, angle=45)]
    if seen:
        dots = dotted(strip.press, "out of reach", bounds)
        out.append(f"{fill(PANEL)}{seen}f* q {seen}W* n {dots}Q {stroke(INK, 0.3)}{seen}S ")
    if touch:
        out.append(f"{fill(GROUND)}{touch}f* {stroke(INK, 0.3)}{touch}S ")
    return "".join(out)


def hidden_numbers(strip: Strip, coverage: Coverage) -> str:
    """Print the number of each cause on its largest part within the strip."""
    out = []
    x0, y0, x1, y1 = strip.bounds_in
    for number, hidden in enumerate(coverage.hidden, start=1):
        part = hidden.shape.intersection(shapely.box(x0, y0, x1, y1))
        if part.is_empty:
            continue
        largest = max(getattr(part, "geoms", [part]), key=lambda piece: piece.area)
        spot = largest.representative_point()
        x, y = strip.frame.at(spot.x, spot.y)
        out.append(strip.press.haloed(str(number), x, y - 2.3, LABEL, align="center"))
    return "".join(out)


@dataclass(frozen=True)
class ElevationItems:
    """The outlines of all plates, each once, ready to be drawn small."""

    outlines: tuple[PlateOutline, ...]
    shapes: tuple[BaseGeometry, ...]

    @classmethod
    def from_outlines(cls, outlines: Sequence[PlateOutline]) -> "ElevationItems":
        once = {(o.item, o.term, o.shape.wkb): o for o in outlines if not o.earlier}
        kept = tuple(once.values())
        return cls(kept, tuple(outline.shape for outline in kept))


def items_layer(strip: Strip, items: ElevationItems, terms: dict[str, TermEntry]) -> str:
    """Draw every outline small: areas filled in their hue, lines as lines, points as dots."""
    if not items.outlines:
        return ""
    out = []
    paths = strip.frame.paths(items.shapes)
    for i in sorted(range(len(paths)), key=lambda i: -items.shapes[i].area):
        outline, path, symbol = items.outlines[i], paths[i], terms[items.outlines[i].term].symbol
        hue = rgb(symbol.hue)
        if outline.kind == "area":
            out.append(_small_area(strip, symbol, path, outline.shape.bounds))
        elif outline.kind == "line":
            out.append(f"{hue} RG 0.8 w {path}S ")
        else:
            for x_in, y_in in shapely.get_coordinates(outline.shape):
                x, y = strip.frame.at(x_in, y_in)
                out.append(f"{hue} rg {x - 0.8:.2f} {y - 0.8:.2f} 1.6 1.6 re f ")
    return "".join(out)


def _small_area(
    strip: Strip, symbol: TermSymbol, path: str, bounds_in: tuple[float, float, float, float]
) -> str:
    """Hatch an area that is large enough to show it; fill a smaller one."""
    x0, y0 = strip.frame.at(bounds_in[0], bounds_in[1])
    x1, y1 = strip.frame.at(bounds_in[2], bounds_in[3])
    hue = rgb(symbol.hue)
    if min(x1 - x0, y1 - y0) < LEAST_HATCHED_PT:
        return f"{hue} rg {hue} RG 0.5 w {path}b* "
    hatch = hatch_on(strip.press, symbol, (x0, y0, x1, y1))
    return f"q {hue} RG 0.7 w {path}W* S {hatch}Q "


def findings_layer(strip: Strip, items: ElevationItems, *, half_pt: float = 2.4) -> str:
    """Put each finding's mark beside its item, but none where no change was shown."""
    board = LabelBoard(*strip.bounds_pt)
    out = []
    spots = shapely.point_on_surface(np.array(items.shapes, dtype=object)) if items.shapes else ()
    for outline, spot in zip(items.outlines, spots, strict=True):
        if outline.finding is None or outline.finding in QUIET:
            continue
        x, y = strip.frame.at(spot.x, spot.y)
        side = 2 * half_pt + 0.6
        if not board.place_at(x, y, width=side, height=side):
            near = board.place_near(x, y, width=side, height=side)
            if near is None:
                continue
            x, y = near
        mark = finding_mark(str(outline.finding))
        out.append(cased_mark_operators(mark, x, y, half_pt, INK))
    return "".join(out)
