"""Which surveys were made of the invented wall: when, by whom, how, and what could not be seen?"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

from demo_fixtures.damage import Damage, Stage
from demo_fixtures.shapes import Island, Point
from demo_fixtures.wall import BOARDS_STRIP_IN, HEIGHT_IN, OUT_OF_REACH_Y_IN, WIDTH_IN

CELL_IN = 24.0
COLUMNS, ROWS = int(WIDTH_IN / CELL_IN), int(HEIGHT_IN / CELL_IN)  # 42, 7

NORMAL_TERMS = (
    "paint-loss", "plaster-loss", "powdering", "abrasion", "impact-gouge", "hairline-crack", "plaster-crack",
    "efflorescence", "stain-tide-line-run", "soiling", "dust", "old-fill-patch",
)  # fmt: skip
RAKING_TERMS = (
    "flaking", "blister", "parting-of-paint-layers", "deformation", "tool-float-mark", "incised-line",
    "plaster-crack", "unsupported-edge",
)  # fmt: skip
PERCUSSION_TERMS = ("detachment", "moving-detachment")
MODE_OF_TERM = {
    "flaking": "raking",
    "incised-line": "raking",
    "detachment": "percussion",
    "moving-detachment": "percussion",
}
SEARCH_LIST: Mapping[str, Sequence[str]] = {
    "normal": NORMAL_TERMS,
    "raking": RAKING_TERMS,
    "percussion": PERCUSSION_TERMS,
}


@dataclass(frozen=True)
class Round:
    """The plan of one survey. Columns count from 1; `hands` gives first and last column of each."""

    code: str
    kind: str
    starts_on: date
    ends_on: date
    hands: tuple[tuple[int, int, str], ...]
    recorder: str
    instruction: str
    method: str
    closed_at: datetime | None
    lifted_columns: tuple[int, int] | None = None
    not_examined: Mapping[str, str] = field(default_factory=dict)
    only_cells: tuple[str, ...] | None = None
    covers: tuple[tuple[str, tuple[Point, ...]], ...] = ()
    worked_until: date | None = None

    @property
    def modes(self) -> tuple[str, ...]:
        """Return the modes used; a weekly round taps nothing."""
        return ("normal", "raking") if self.kind == "round" else tuple(SEARCH_LIST)

    @property
    def days(self) -> list[date]:
        """Return the days worked so far, Monday to Friday."""
        last = self.worked_until or self.ends_on
        count = (last - self.starts_on).days + 1
        days = [self.starts_on + timedelta(days=k) for k in range(count)]
        return [day for day in days if day.weekday() < 5]

    @property
    def cells(self) -> tuple[str, ...]:
        """Return the cells examined, in reading order."""
        wanted = all_cells() if self.only_cells is None else self.only_cells
        return tuple(cell for cell in wanted if cell not in self.not_examined)

    def hand_at(self, cell: str) -> str:
        """Return who examines a cell."""
        column = int(cell[1:])
        return next(name for first, last, name in self.hands if first <= column <= last)

    def moment_at(self, cell: str) -> datetime:
        """Return when a cell is examined: columns in order of the walk, deck 2 first in each bay."""
        column, row = int(cell[1:]) - 1, "ABCDEFG".index(cell[0])
        bay, within = divmod(column, 6)
        first, last = self._stretch(cell)
        share = ((bay * 6 + (0.0 if row < 4 else 3.0) + within / 2) - first) / max(
            last - first + 1, 1
        )
        days = self.days
        place = min(max(share, 0.0), 0.999) * len(days)
        day, hours = days[int(place)], (place % 1) * 7.0
        start = datetime(day.year, day.month, day.day, 8, 40, tzinfo=UTC)
        return start + timedelta(minutes=int(hours * 60), seconds=row * 20)

    def _stretch(self, cell: str) -> tuple[int, int]:
        column = int(cell[1:])
        first, last = next((a, b) for a, b, _ in self.hands if a <= column <= b)
        return (first - 1) // 6 * 6, last - 1


def all_cells() -> tuple[str, ...]:
    """Return the 294 labels in reading order."""
    return tuple(f"{row}{column:02}" for row in "ABCDEFG" for column in range(1, COLUMNS + 1))


def cell_bounds(cell: str) -> tuple[float, float, float, float]:
    """Return a cell's x0, y0, x1, y1 in wall inches."""
    column, row = int(cell[1:]) - 1, "ABCDEFG".index(cell[0])
    top = HEIGHT_IN - row * CELL_IN
    return column * CELL_IN, top - CELL_IN, (column + 1) * CELL_IN, top


def cell_at(point: Point) -> str:
    """Return the label of the cell in which a point lies."""
    column = min(int(point[0] // CELL_IN), COLUMNS - 1)
    row = min(int((HEIGHT_IN - point[1]) // CELL_IN), ROWS - 1)
    return f"{'ABCDEFG'[max(row, 0)]}{column + 1:02}"


def cells_of(stage: Stage) -> set[str]:
    """Return the cells in which a stage's points lie."""
    shape = stage.shape
    points = shape.ring() if isinstance(shape, Island) else list(shape or ())
    centre = [shape.centre] if isinstance(shape, Island) else []
    return {cell_at(point) for point in [*points, *centre]}


def percussion_cells(damages: Sequence[Damage]) -> set[str]:
    """Return the cells that are tapped: where hollows are known, and every ninth one besides."""
    known = {
        cell
        for damage in damages
        for stage in damage.stages
        if stage.term in PERCUSSION_TERMS and stage.shape is not None
        for cell in cells_of(stage)
    }
    return known | set(all_cells()[4::9])


def seen_in_strip(plan: Round, cell: str) -> bool:
    """Whether the inboard boards before a cell were lifted for this survey."""
    if plan.lifted_columns is None:
        return False
    first, last = plan.lifted_columns
    return first <= int(cell[1:]) <= last


def in_strip(cell: str) -> bool:
    """Whether deck 2's boards stand before a part of the cell."""
    _, low, _, high = cell_bounds(cell)
    return low < BOARDS_STRIP_IN[1] and high > BOARDS_STRIP_IN[0]


def out_of_reach(cell: str) -> bool:
    """Whether a part of the cell lies above reach."""
    return cell_bounds(cell)[3] > OUT_OF_REACH_Y_IN


def _moment(year: int, month: int, day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(year, month, day, hour, minute, tzinfo=UTC)


_SHEETING = "protective sheeting below the lantern, not to be moved until the roof is closed"
_RISK_CELLS = tuple(f"{row}{column}" for row in "ABC" for column in range(14, 20))
_WET_CELLS = tuple(f"{row}{column}" for row in "CDEF" for column in range(36, 40))
_DRAWN_CELLS = ("B05", "F09", "C23", "F31", "B33", "F03", "G04", "F02")

ROUNDS: tuple[Round, ...] = (
    Round(
        "B1", "baseline", date(2026, 3, 2), date(2026, 3, 11),
        hands=((1, 21, "ines"), (22, 42, "tomas")), recorder="priya",
        instruction="Marrowby Station Trust asks for the state of the painting before the works, for the Trust, the contractor and the insurer.",
        method="By eye from decks 1 and 2 in diffuse white light, then raking from the left at 8°, reversed where in doubt; percussion with one fingertip where hollows were suspected and in every ninth cell. Hall heated to 60 °F, dry weather.",
        closed_at=_moment(2026, 3, 13, 15, 30),
    ),
    Round(
        "P1", "after-phase", date(2026, 6, 15), date(2026, 6, 19),
        hands=((1, 6, "priya"), (7, 21, "ines"), (22, 42, "tomas")), recorder="priya",
        instruction="After canopy demolition, as agreed in the protocol.",
        method="As the baseline. The boards before columns 20 to 25 were lifted by the scaffolder on 16 June.",
        closed_at=_moment(2026, 6, 19, 16, 45), lifted_columns=(20, 25),
    ),
    Round(
        "P2", "after-phase", date(2026, 10, 19), date(2026, 10, 23),
        hands=((1, 21, "tomas"), (22, 42, "priya")), recorder="ines",
        instruction="After the roof lantern, as agreed in the protocol; the insurer asked for the cells below the lantern first.",
        method="As the baseline. The boards before columns 6 to 11 were lifted by the scaffolder on 20 October.",
        closed_at=_moment(2026, 10, 23, 16, 30), lifted_columns=(6, 11),
        not_examined=dict.fromkeys(("A26", "A27", "A28", "B26", "B27"), _SHEETING),
    ),
    Round(
        "W1", "round", date(2026, 11, 16), date(2026, 11, 20),
        hands=((1, 21, "priya"), (22, 42, "ines")), recorder="priya",
        instruction="Weekly round while the old floor is broken out.",
        method="Risk cells and a drawn sample, normal and raking light, from both decks.",
        closed_at=None, worked_until=date(2026, 11, 17), only_cells=(*_RISK_CELLS, *_WET_CELLS, *_DRAWN_CELLS),
    ),
)  # fmt: skip
