"""Which exceedances and stops are open on a wall, what was done about each, and what is missing?

A red exceedance and a stop from the deck take the same way: activity, who was told, cells due,
scaffold inspected again, each due cell looked at or accepted as inaccessible, cause, no objection
for the painting, the contract instruction. Amber asks for the activity and who was told. A case is
open while anything is missing. Nothing falls due before the re-inspection is on record.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final
from uuid import UUID

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.ledger.drafts import read_moment
from survey.record.models import Examination
from survey.watch import stop_kinds as kinds
from survey.watch.deck_statements import DeckStatement, deck_statements
from survey.watch.exceedance_kind import RED
from survey.watch.limit_kinds import as_of
from survey.watch.models import Exceedance, Instrument, Limit, LogLine

STOP = "stop"
FIT: Final = ("fit", "fit-after-repair")
EXAMINED, INACCESSIBLE, DUE, NOT_YET = "examined", "inaccessible", "due", "not due yet"
LONGEST_ACTIVITY = 120
Lines = Mapping[str, Sequence[LogLine]]


@dataclass(frozen=True)
class DueCell:
    """A cell due for a look, and what settled it."""

    cell: str
    state: str
    words: str

    @property
    def settled(self) -> bool:
        """Whether it needs no look any more."""
        return self.state in (EXAMINED, INACCESSIBLE)


@dataclass(frozen=True)
class Step:
    """One step of the way: what it is, whether it is done, and what is missing if not."""

    key: str
    title: str
    lines: Sequence[LogLine]
    missing: str  # empty once done
    asked: bool = True

    @property
    def done(self) -> bool:
        """Whether nothing of it is missing."""
        return not self.missing


@dataclass(frozen=True)
class Case:
    """An exceedance or a stop with its log."""

    id: UUID
    wall: Wall
    level: str  # amber, red or stop
    started: datetime
    exceedance: Exceedance | None = None
    instrument: Instrument | None = None
    limit: Limit | None = None
    stop: DeckStatement | None = None
    lines: Lines = field(default_factory=dict)
    cells: Sequence[DueCell] = ()

    @property
    def full(self) -> bool:
        """Whether it takes the whole way, and not only the first steps."""
        return self.level in (RED, STOP)

    @property
    def name(self) -> str:
        """What people call it."""
        if self.stop is not None:
            return f"Stop from the deck, survey {self.stop.survey}"
        return f"{self.level.capitalize()} at {self.instrument.code if self.instrument else '?'}"

    @property
    def said(self) -> str:
        """What the stop's finder wrote, cut to a line."""
        text = self.stop.content["activity"].strip().rstrip(".") if self.stop else ""
        return text if len(text) <= LONGEST_ACTIVITY else f"{text[:LONGEST_ACTIVITY].rstrip()}…"

    def last(self, kind: str) -> LogLine | None:
        """Return the newest line of a kind."""
        return max(self.lines.get(kind, ()), key=lambda line: line.at, default=None)

    @property
    def told_at(self) -> datetime | None:
        """When the first person was told."""
        calls = [line.at for line in self.lines.get(kinds.TOLD, ())]
        if self.stop is not None:
            told = self.stop.content.get("told", [])
            calls += [read_moment(call["at"], field="told.at") for call in told]
        return min(calls, default=None)

    @property
    def inspected_at(self) -> datetime | None:
        """When the scaffold was found fit, after which cells fall due."""
        return _inspected_at(self.lines)

    @property
    def due_chosen(self) -> LogLine | None:
        """The choice of cells that holds."""
        return self.last(kinds.CELLS_DUE)

    @property
    def open_cells(self) -> list[str]:
        """The cells that nothing has settled yet."""
        return [one.cell for one in self.cells if not one.settled]

    @property
    def steps(self) -> list[Step]:
        """Every step of its way, in order."""
        return _steps(self)

    @property
    def missing(self) -> list[str]:
        """What is missing, in order; empty once it is closed."""
        return [step.missing for step in self.steps if step.missing]

    @property
    def open(self) -> bool:
        """Whether anything is missing."""
        return bool(self.missing)

    @property
    def lifted_on_deck(self) -> bool:
        """Whether somebody lifted it on the deck."""
        return self.stop is not None and self.stop.content["state"] == "lifted"


def cases(wall: Wall, *, amber: bool = False) -> list[Case]:
    """Return the stops and red exceedances of a wall, newest first; amber ones if asked."""
    rows = Exceedance.objects.filter(wall=wall)
    if not amber:
        rows = rows.filter(level=RED)
    return _cases(wall, list(rows), deck_statements(wall, STOP))


def open_cases(wall: Wall) -> list[Case]:
    """Return the stops and red exceedances that are open, newest first."""
    return [case for case in cases(wall) if case.open]


def case_of(wall: Wall, object_id: UUID) -> Case:
    """Return an exceedance or a stop with its log; raises NotFound."""
    rows = list(Exceedance.objects.filter(wall=wall, object_id=object_id))
    stops = [] if rows else [
        one for one in deck_statements(wall, STOP) if one.object_id == object_id
    ]  # fmt: skip
    found = _cases(wall, rows, stops)
    if not found:
        raise NotFound(f"There is no such exceedance or stop on {wall.name}.")
    return found[0]


def _cases(wall: Wall, rows: Sequence[Exceedance], stops: Sequence[DeckStatement]) -> list[Case]:
    ids = [*(row.object_id for row in rows), *(one.object_id for one in stops)]
    if not ids:
        return []
    lines: dict[UUID, dict[str, list[LogLine]]] = {one: {} for one in ids}
    told = LogLine.objects.filter(wall=wall, about__in=ids, withdrawn_because="")
    for line in told.order_by("at", "object_id"):
        if line.about is not None:
            lines[line.about].setdefault(line.kind, []).append(line)
    instruments = Instrument.objects.in_bulk({row.instrument_id for row in rows})
    limits = Limit.objects.in_bulk({row.limit_id for row in rows})
    looks = _examinations(wall, lines.values())
    found = [
        Case(
            id=row.object_id,
            wall=wall,
            level=row.level,
            started=row.starts_at,
            exceedance=row,
            instrument=instruments.get(row.instrument_id),
            limit=_limit_met(row, limits),
            lines=lines[row.object_id],
            cells=_due_cells(lines[row.object_id], looks),
        )
        for row in rows
    ]
    found += [
        Case(
            id=one.object_id,
            wall=wall,
            level=STOP,
            started=read_moment(one.content["noticed_at"], field="noticed_at"),
            stop=one,
            lines=lines[one.object_id],
            cells=_due_cells(lines[one.object_id], looks),
        )
        for one in stops
    ]
    return sorted(found, key=lambda case: case.started, reverse=True)


def _limit_met(row: Exceedance, limits: Mapping[UUID, Limit]) -> Limit | None:
    """Return the limit as the version said that was met, whatever it says by now."""
    limit = limits.get(row.limit_id)
    return limit and as_of(limit, row.limit_version)


def _inspected_at(lines: Lines) -> datetime | None:
    """Return since when the scaffold stands as fit; a later "not fit" takes it back."""
    inspections = sorted(lines.get(kinds.REINSPECTED, ()), key=lambda line: line.at)
    if not inspections or inspections[-1].content["result"] not in FIT:
        return None
    return inspections[-1].at if len(inspections) == 1 else _first_fit(inspections)


def _first_fit(inspections: Sequence[LogLine]) -> datetime:
    """Return the first of the inspections that follow the last which found it not fit."""
    since = inspections[-1].at
    for line in reversed(inspections):
        if line.content["result"] not in FIT:
            break
        since = line.at
    return since


def _examinations(wall: Wall, all_lines: Iterable[Lines]) -> dict[str, list[Examination]]:
    """Return the examinations of any case's due cells since the first re-inspection, by cell."""
    asked: set[str] = set()
    since: list[datetime] = []
    for lines in all_lines:
        inspected = _inspected_at(lines)
        if inspected is not None and kinds.CELLS_DUE in lines:
            asked |= set(lines[kinds.CELLS_DUE][-1].cells)
            since.append(inspected)
    if not since:
        return {}
    rows = Examination.objects.filter(
        survey__wall=wall, cell__in=asked, made_at__gte=min(since), done=True
    ).exclude(state="not-examined")
    found: dict[str, list[Examination]] = {}
    for row in rows.select_related("survey").order_by("made_at"):
        found.setdefault(row.cell, []).append(row)
    return found


def _due_cells(lines: Lines, looks: Mapping[str, Sequence[Examination]]) -> list[DueCell]:
    chosen = lines.get(kinds.CELLS_DUE)
    if not chosen:
        return []
    inspected = _inspected_at(lines)
    return [
        _due_cell(cell, lines, looks.get(cell, ()), inspected=inspected)
        for cell in chosen[-1].cells
    ]


def _due_cell(
    cell: str, lines: Lines, looks: Sequence[Examination], *, inspected: datetime | None
) -> DueCell:
    for line in lines.get(kinds.LOOKED, ()):
        left_out = line.content.get("inaccessible")
        if left_out and cell in line.cells:
            words = f"{left_out['reason']}, accepted by {left_out['accepted_by']}"
            return DueCell(cell, INACCESSIBLE, words)
    if inspected is None:
        return DueCell(cell, NOT_YET, "the scaffold is not inspected again yet")
    look = next((row for row in looks if row.made_at >= inspected), None)
    if look is not None:
        words = f"survey {look.survey.code}, {look.get_mode_display().lower()}, {look.observed_by}"
        return DueCell(cell, EXAMINED, words)
    return DueCell(cell, DUE, "no examination since the re-inspection")


def _steps(case: Case) -> list[Step]:
    def step(key: str, title: str, missing: str, *, done: bool | None = None) -> Step:
        lines = case.lines.get(key, ())
        finished = bool(lines) if done is None else done
        return Step(key, title, lines, "" if finished else missing)

    first = [
        step(kinds.ACTIVITY, "Activity and plant", "what was being done, and with which plant",
             done=case.stop is not None or None),
        step(kinds.TOLD, "Who was told", "who was told, and when", done=case.told_at is not None),
    ]  # fmt: skip
    if not case.full:
        return first
    fit = case.inspected_at is not None
    chosen = case.due_chosen is not None
    waiting = len(case.open_cells)
    looked = f"{waiting} of {len(case.cells)} due cells have neither examination nor reason"
    return [
        *first,
        step(kinds.CELLS_DUE, "Cells due for a look", "which cells are due for a look"),
        step(kinds.REINSPECTED, "Scaffold inspected again",
             "a competent person's inspection of the scaffold that finds it fit", done=fit),
        step(kinds.LOOKED, "Cells looked at",
             looked if chosen else "a look at the cells due", done=chosen and fit and not waiting),
        step(kinds.CAUSE, "Cause", "the cause, agreed or not"),
        step(kinds.NO_OBJECTION, "No objection to resume, painting only",
             "a named person's word that there is no objection, for the painting only"),
        step(kinds.INSTRUCTION, "Contract instruction",
             "the contract instruction of a named role"),
    ]  # fmt: skip
