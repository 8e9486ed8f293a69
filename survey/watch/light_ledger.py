"""How much light has each cell taken of its agreed dose, and how warm did the lamps make the wall?

From lamp minutes written down and from the lamps of the deck's sessions. What loggers measured
stands beside it and is not added: it holds the lamps' light already. No dose is preset.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, Final

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.ledger.drafts import read_moment
from survey.watch.channels import ChannelOf, channels_of, heard_between
from survey.watch.deck_statements import DeckStatement, deck_statements
from survey.watch.light_dose import (
    Dose,
    LampRise,
    LampUse,
    LedgerLine,
    hours_to_limit,
    lamp_rise,
    ledger,
    logged_dose,
)
from survey.watch.models import LogLine
from survey.watch.protection import standing_lines
from survey.watch.register_kinds import DOSE, LAMP

USUAL_SENSOR_ERROR_C: Final = 0.5  # a contact thermometer's; common practice, no source
SPEAK_FROM: Final = 0.75  # of the agreed dose; common practice, no source, and no limit
YEAR_DAYS: Final = 365
MOST_MISSED_S: Final = 3600.0  # a logger without an agreed interval


@dataclass(frozen=True)
class Agreement:
    """An agreed dose with the days for which it holds; `cells` empty is the whole wall."""

    line: LogLine
    cells: frozenset[str]
    first: date
    last: date
    limit_lx_h: float


@dataclass(frozen=True)
class Burned:
    """A lamp that burned on cells, when, and how it came on record."""

    use: LampUse
    at: datetime
    by: str
    line: LogLine | None
    survey: str = ""


@dataclass(frozen=True)
class CellLight:
    """The ledger's line of one cell, with the lamp that gives most and the hours left of it."""

    line: LedgerLine
    lamp: str
    lamp_lx: float
    hours_left: float | None

    @property
    def share_pct(self) -> float | None:
        """Which part of the agreed dose is taken [%]; None where none is agreed."""
        return None if self.line.share is None else 100 * self.line.share

    @property
    def advice(self) -> str:
        """What is left and what to do, in words; empty where no dose is agreed."""
        if self.hours_left is None:
            return ""
        if self.hours_left == 0:
            return f"The agreed dose is reached: move {self.lamp} or turn it off."
        hours = f"{self.hours_left:,.0f} h" if self.hours_left >= 10 else f"{self.hours_left:.1f} h"
        said = f"{hours} are left at {self.lamp_lx:,.0f} lx"
        if (self.line.share or 0.0) < SPEAK_FROM:
            return f"{said}."
        return f"{said}: move {self.lamp} or burn it less."


@dataclass(frozen=True)
class Heat:
    """What a lamp did to the surface; `assumed` where the thermometer's error is not stated."""

    line: LogLine
    rise: LampRise
    assumed: bool


@dataclass(frozen=True)
class Logged:
    """What one logger measured in a stretch of days, or why it is not told."""

    channel: ChannelOf
    dose: Dose | None
    refused: str = ""


@dataclass(frozen=True)
class Light:
    """The light ledger of a wall on a day."""

    cells: Sequence[CellLight]
    agreements: Sequence[Agreement]
    burned: Sequence[Burned]
    heat: Sequence[Heat]
    undecided: Sequence[DeckStatement]  # sessions whose lamps have no illuminance or end


def light_of(wall: Wall, today: date) -> Light:
    """Return the ledger as it stands on a day, the fullest cell first."""
    agreements = [
        one for one in map(_agreement, standing_lines(wall, DOSE)) if one.first <= today <= one.last
    ]
    sessions = deck_statements(wall, "session")
    noted = [_noted(wall, line) for line in standing_lines(wall, LAMP)]
    burned = noted + [one for session in sessions for one in _of_session(session)]
    burned.sort(key=lambda one: one.at, reverse=True)
    return Light(
        cells=_cells(burned, agreements, today),
        agreements=agreements,
        burned=burned,
        heat=[_heat(one.line) for one in burned if one.line and _measured(one.line.content)],
        undecided=[one for one in sessions if _lamps_undecided(one.content)],
    )


def _cells(
    burned: Sequence[Burned], agreements: Sequence[Agreement], today: date
) -> list[CellLight]:
    """Return the cells' lines; each cell counts the days of its own agreement."""
    uses: list[LampUse] = []
    limits: dict[str, float | None] = {}
    strongest: dict[tuple[str, str], float] = {}
    for one in burned:
        for cell in one.use.cells:
            agreed = governing_agreement(agreements, cell)
            first = agreed.first if agreed else today - timedelta(days=YEAR_DAYS)
            if not first <= one.at.date() <= today:
                continue
            uses.append(LampUse(one.use.lamp, (cell,), one.use.illuminance_lx, one.use.minutes))
            limits[cell] = agreed.limit_lx_h if agreed else None
            key = (cell, one.use.lamp)
            strongest[key] = max(strongest.get(key, 0.0), one.use.illuminance_lx)
    return [_cell_light(line, strongest) for line in ledger(uses, limits_lx_h=limits)]


def _cell_light(line: LedgerLine, strongest: Mapping[tuple[str, str], float]) -> CellLight:
    lamp = max(line.by_lamp, key=lambda name: line.by_lamp[name])
    lux = strongest[line.cell, lamp]
    left = None
    if line.limit_lx_h is not None and lux > 0:
        left = hours_to_limit(lux, limit_lx_h=line.limit_lx_h, taken_lx_h=line.lx_h)
    return CellLight(line, lamp, lux, left)


def governing_agreement(agreements: Sequence[Agreement], cell: str) -> Agreement | None:
    """Return the newest agreement that names the cell, else the newest of the whole wall."""
    own = [one for one in agreements if cell in one.cells]
    whole = [one for one in agreements if not one.cells]
    found = own or whole
    return found[-1] if found else None


def _agreement(line: LogLine) -> Agreement:
    content = line.content
    return Agreement(
        line,
        frozenset(content.get("cells") or ()),
        date.fromisoformat(content["from_on"]),
        date.fromisoformat(content["until_on"]),
        float(content["limit_lx_h"]),
    )


def _noted(wall: Wall, line: LogLine) -> Burned:
    content = line.content
    cells = content.get("cells") or cells_of_deck(wall, content["deck"])
    use = LampUse(content["lamp"], tuple(cells), content["lux"], content["minutes"])
    return Burned(use, line.at, content["by"], line)


def cells_of_deck(wall: Wall, deck: str) -> list[str]:
    """Return the cells whose middle lies in the band that is worked from a deck."""
    grid = wall.layout.grid
    bands = {str(one["name"]): one["band"] for one in wall.layout.deck_bands}
    if deck not in bands:
        return []
    low_in, high_in = bands[deck]
    bounds = {cell: grid.bounds(cell) for cell in grid.labels()}
    return [cell for cell, b in bounds.items() if low_in <= (b[1] + b[3]) / 2 < high_in]


def _of_session(session: DeckStatement) -> list[Burned]:
    content = session.content
    cells = tuple(content.get("cells") or ())
    if not cells:
        return []
    found = []
    for lamp in content.get("lamps") or ():
        if not _complete(lamp):
            continue
        began, ended = _moment(lamp["on_at"]), _moment(lamp["off_at"])
        minutes = (ended - began).total_seconds() / 60
        if minutes < 0:
            continue
        name = f"the deck's lamp ({lamp.get('setting') or content.get('mode', '')})"
        use = LampUse(name, cells, float(lamp["lux"]), minutes)
        found.append(Burned(use, ended, session.head.observed_by, None, session.survey))
    return found


def _complete(lamp: Mapping[str, Any]) -> bool:
    return lamp.get("lux") is not None and bool(lamp.get("on_at")) and bool(lamp.get("off_at"))


def _lamps_undecided(content: Mapping[str, Any]) -> bool:
    closed = content.get("state") == "closed"
    return closed and any(not _complete(lamp) for lamp in content.get("lamps") or ())


def _moment(text: str) -> datetime:
    return read_moment(text, field="at")


def _measured(content: Mapping[str, Any]) -> bool:
    return content.get("surface_before_c") is not None


def _heat(line: LogLine) -> Heat:
    content = line.content
    stated = content.get("sensor_error_c")
    rise = lamp_rise(
        before_c=content["surface_before_c"],
        after_c=content["surface_after_c"],
        sensor_error_c=stated or USUAL_SENSOR_ERROR_C,
        surface_rh_pct=content.get("surface_rh_pct"),
    )
    return Heat(line, rise, stated is None)


def logged_light(wall: Wall, first: date, last: date) -> list[Logged]:
    """Return what each logger of light measured from first to last, both days in."""
    start = datetime.combine(first, time(), UTC)
    end = datetime.combine(last + timedelta(days=1), time(), UTC)
    return [_logged(one, start, end) for one in channels_of(wall, "illuminance")]


def _logged(channel: ChannelOf, start: datetime, end: datetime) -> Logged:
    times, values = heard_between(channel, start, end)
    if times.size < 2:
        return Logged(channel, None, "Fewer than two readings in these days.")
    try:
        every = channel.instrument.interval_s or MOST_MISSED_S
        return Logged(channel, logged_dose(times, values, interval_s=every))
    except InvalidInput as error:
        return Logged(channel, None, error.message)
