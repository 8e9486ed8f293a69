"""Which cells are due for a look, and why: after a stop, by risk, by draw, by the calendar?

Gathers what is on record for the pure sums of `risk`. Nothing is preset: how often a cell is looked
at and how many are drawn each week is agreed by people first.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from django.db.models import Max

from gridmap.models import Layout, Wall
from survey.record.models import Examination
from survey.record.sampling import SamplingStatement
from survey.watch.exceedance_kind import RED
from survey.watch.fragile_cells import standing_observations_of
from survey.watch.models import Exceedance, Instrument, LogLine
from survey.watch.overview import decks_now
from survey.watch.risk import (
    CellState,
    DueLine,
    due_list,
    repeats_after,
    sample_statement,
    weekly_sample,
)
from survey.watch.spans import DAY_S
from survey.watch.stop_kinds import AGREEMENT
from survey.watch.stops import open_cases

SIZE_OF_CHANGE = "as much as a weekly look would notice"
NOTICED = 0.8  # four changes in five are noticed; common practice, no source
NEAR_WORDS = "An exceedance counts for the cells of its instrument's deck; without a deck, for all."


@dataclass(frozen=True)
class AfterStop:
    """A cell that a stop or an exceedance waits for."""

    cell: str
    because: str


@dataclass(frozen=True)
class WeekDraw:
    """The cells drawn at random this week, those looked at, and what that allows to be said."""

    week: str
    seed: str
    drawn: Sequence[str]
    looked: Sequence[str]
    if_none_changed: SamplingStatement | None  # of those looked at so far


@dataclass(frozen=True)
class DueNow:
    """Everything that is due on a wall."""

    agreement: LogLine
    after_stops: Sequence[AfterStop]
    lines: Sequence[DueLine]
    draw: WeekDraw
    repeats: Sequence[date]

    @property
    def due(self) -> list[DueLine]:
        """The cells that there is a reason to look at now."""
        return [line for line in self.lines if line.due]


def agreement_of(wall: Wall) -> LogLine | None:
    """Return what was agreed on looks, None before anybody did."""
    rows = LogLine.objects.filter(wall=wall, kind=AGREEMENT, withdrawn_because="")
    return rows.order_by("-at").first()


def due_now(wall: Wall, now: datetime) -> DueNow | None:
    """Return what is due; None before looks are agreed."""
    agreed = agreement_of(wall)
    if agreed is None:
        return None
    looks = _last_looks(wall, now)
    interval_s = agreed.content["interval_days"] * DAY_S
    handed_back = agreed.content.get("handed_back_on")
    return DueNow(
        agreement=agreed,
        after_stops=after_stops(wall),
        lines=due_list(_states(wall, now, looks), now_s=now.timestamp(), interval_s=interval_s),
        draw=_draw(wall, now, looks, count=agreed.content["sample_cells"]),
        repeats=repeats_after(date.fromisoformat(handed_back)) if handed_back else (),
    )


def after_stops(wall: Wall) -> list[AfterStop]:
    """Return the cells that open stops wait for, once the scaffold was inspected again."""
    return [
        AfterStop(cell, f"due after {case.name.lower() if case.stop else case.name}")
        for case in open_cases(wall)
        if case.inspected_at is not None
        for cell in case.open_cells
    ]


def reasons_by_cell(wall: Wall, now: datetime) -> dict[str, str]:
    """Return every cell due with its reason, those of stops first."""
    found = {one.cell: one.because for one in after_stops(wall)}
    due = due_now(wall, now)
    for line in due.due if due else ():
        found.setdefault(line.cell, "; ".join(line.because))
    return found


def _last_looks(wall: Wall, now: datetime) -> dict[str, datetime]:
    rows = Examination.objects.filter(survey__wall=wall, done=True, made_at__lte=now)
    looked = rows.exclude(state="not-examined").order_by().values_list("cell")
    return dict(looked.annotate(last=Max("made_at")))


def _states(wall: Wall, now: datetime, looks: Mapping[str, datetime]) -> list[CellState]:
    worst = _worst(wall, now)
    layout = wall.layout
    met = _exceedances(wall)
    silent = {
        row.instrument.deck
        for deck in decks_now(wall, now)
        for row in deck.instruments
        if row.unknown
    }
    states = []
    for cell in layout.grid.labels():
        looked = looks.get(cell)
        deck = _deck_of(layout, cell)
        near = [
            one for one in met if one.deck in ("", deck) and (looked is None or one.at > looked)
        ]
        condition, urgency = worst.get(cell, (0, 0) if looked else (None, None))
        states.append(
            CellState(
                cell=cell,
                condition=condition,
                urgency=urgency,
                ambers=sum(not one.red for one in near),
                reds=sum(one.red for one in near),
                silent=deck in silent or "" in silent,
                looked_s=looked.timestamp() if looked else None,
            )
        )
    return states


def _worst(wall: Wall, now: datetime) -> dict[str, tuple[int | None, int | None]]:
    """Return the worst condition and urgency that stand in each cell with an observation."""
    found: dict[str, tuple[list[int], list[int]]] = {}
    for row in standing_observations_of(wall, now):
        for cell in row.cells:
            conditions, urgencies = found.setdefault(cell, ([], []))
            if row.condition is not None:
                conditions.append(row.condition)
            if row.urgency is not None:
                urgencies.append(row.urgency)
    return {
        cell: (max(conditions, default=None), max(urgencies, default=None))
        for cell, (conditions, urgencies) in found.items()
    }


@dataclass(frozen=True)
class _Met:
    deck: str
    at: datetime
    red: bool


def _exceedances(wall: Wall) -> list[_Met]:
    decks = dict(Instrument.objects.filter(wall=wall).values_list("object_id", "deck"))
    rows = Exceedance.objects.filter(wall=wall).values_list("instrument_id", "starts_at", "level")
    return [_Met(decks.get(one, ""), at, level == RED) for one, at, level in rows]


def _deck_of(layout: Layout, cell: str) -> str:
    _, y0, _, y1 = layout.grid.bounds(cell)
    middle = (y0 + y1) / 2
    for deck in layout.deck_bands:
        low, high = deck["band"]
        if low <= middle < high:
            return str(deck["name"])
    return "-"  # of no deck: an instrument without a deck still counts for it


def _draw(wall: Wall, now: datetime, looks: Mapping[str, datetime], *, count: int) -> WeekDraw:
    year, week, _ = now.astimezone(UTC).isocalendar()
    seed = f"{wall.slug}:{year}-W{week:02d}"
    cells = wall.layout.grid.labels()
    drawn = weekly_sample(cells, count=min(count, len(cells)), seed=seed)
    monday = datetime.combine(date.fromisocalendar(year, week, 1), time(), UTC)
    looked = [cell for cell in drawn if cell in looks and looks[cell] >= monday]
    statement = (
        sample_statement(
            looked,
            changed=(),
            cells=len(cells),
            size_of_change=SIZE_OF_CHANGE,
            detection=NOTICED,
        )
        if looked
        else None
    )
    return WeekDraw(f"week {week} of {year}", seed, drawn, looked, statement)


def next_repeat(repeats: Sequence[date], now: datetime) -> date | None:
    """Return the next look after hand-back, or the last one passed within a month."""
    day = now.astimezone(UTC).date() - timedelta(days=30)
    return next((one for one in repeats if one >= day), None)
