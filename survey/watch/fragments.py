"""Which fragments were found, where do they lie, and from which losses above could they have come?

Candidates are chosen by place alone: losses above the cell under which the fragment lay and no
farther to the side than `ASIDE_IN`. Which one it was is a person's statement with its grounds.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from gridmap.grid import Grid
from gridmap.models import Wall
from survey.record.models import Observation, Standing
from survey.watch.deck_statements import DeckStatement, deck_statements
from survey.watch.models import LogLine
from survey.watch.protection import standing_lines
from survey.watch.register_kinds import CUSTODY, SOURCE

LOSSES: Final = ("paint-loss", "plaster-loss", "loss-depth-not-told")
ASIDE_IN: Final = 24.0  # a fragment may bounce on a deck (project choice)
MOST_CANDIDATES: Final = 6


@dataclass(frozen=True)
class Candidate:
    """A loss above a fragment: how far above the cell's lower line and how far aside."""

    observation: Observation
    aside_in: float
    above_in: float


@dataclass(frozen=True)
class Fragment:
    """A fragment with its custody, its stated source and the losses that lie above it."""

    found: DeckStatement
    custody: Sequence[LogLine]
    source: LogLine | None
    source_item: Observation | None
    candidates: Sequence[Candidate]

    @property
    def place(self) -> str:
        """Where it lies now, as far as the custody says."""
        return str(self.custody[-1].content["place"]) if self.custody else ""


def fragments(wall: Wall) -> list[Fragment]:
    """Return the ledger of fragments, the newest find first."""
    found = deck_statements(wall, "fragment")
    if not found:
        return []
    custody: dict[UUID | None, list[LogLine]] = {}
    for line in standing_lines(wall, CUSTODY):
        custody.setdefault(line.about, []).append(line)
    sources = {line.about: line for line in standing_lines(wall, SOURCE)}
    losses = newest_of_each_item(
        Observation.objects.filter(
            survey__wall=wall, term__in=LOSSES, standing=Standing.STANDS
        ).select_related("survey")
    )
    named = Observation.objects.select_related("survey").in_bulk(
        [line.content["item"] for line in sources.values()]
    )
    return [
        Fragment(
            one,
            custody.get(one.object_id, []),
            source := sources.get(one.object_id),
            named.get(UUID(source.content["item"])) if source else None,
            candidates_above(wall.layout.grid, one.content["cell"], losses),
        )
        for one in found
    ]


def newest_of_each_item(rows: Iterable[Observation]) -> list[Observation]:
    """Return each item once, as the latest survey has it."""
    ordered = sorted(rows, key=lambda row: (row.survey.starts_on, row.observed_on))
    return list({row.item: row for row in ordered}.values())


def candidates_above(grid: Grid, cell: str, losses: Iterable[Observation]) -> list[Candidate]:
    """Return the losses that lie above a cell's lower line, the least aside first."""
    left_in, low_in, right_in, _ = grid.bounds(cell)
    found = []
    for loss in losses:
        x0_in, _, x1_in, y1_in = loss.shape.bounds
        aside_in = max(left_in - x1_in, x0_in - right_in, 0.0)
        if y1_in > low_in and aside_in <= ASIDE_IN:
            above_in = max(loss.shape.bounds[1] - low_in, 0.0)
            found.append(Candidate(loss, aside_in, above_in))
    found.sort(key=lambda one: (one.aside_in, one.above_in, one.observation.item))
    return found[:MOST_CANDIDATES]
