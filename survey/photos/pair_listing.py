"""What does the page of pairs list: which cells can be paired, and how does each pair stand?

Reads only.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from gridmap.models import Wall
from gridmap.strip import CellInk
from survey.photos.hint_kind import ACCEPTED
from survey.photos.models import HintAnswer, PairState, PicturePair
from survey.photos.pair_pictures import cells_shown
from survey.photos.pair_selectors import pairs_of_wall, unanswered_counts
from survey.record.models import Mode, Survey

SEEN_WITHOUT_HINTS, NOT_COMPARABLE, AT_WORK, STOPPED = "✓", "✕", "…", "!"


@dataclass(frozen=True)
class PairLine:
    """A pair with how many of its hints nobody has answered, and how many were accepted."""

    pair: PicturePair
    unanswered: int
    accepted: int

    @property
    def stopped(self) -> bool:
        """Say whether the work on it ended without a result: it failed or was cancelled."""
        job = self.pair.job
        return self.pair.state == PairState.WAITING and (job is None or job.ended)

    @property
    def state(self) -> str:
        """Return the pair's state in words, of stopped work how it ended."""
        if self.stopped and self.pair.job:
            return str(self.pair.job.get_state_display())
        return "Stopped" if self.stopped else str(self.pair.get_state_display())

    @property
    def sign(self) -> str:
        """Return what stands in the pair's cell on the strip."""
        if self.pair.state == PairState.WAITING:
            return STOPPED if self.stopped else AT_WORK
        if self.pair.state == PairState.REFUSED:
            return NOT_COMPARABLE
        return str(self.unanswered) if self.unanswered else SEEN_WITHOUT_HINTS

    @property
    def words(self) -> str:
        """Return how the pair stands in words."""
        if self.pair.state != PairState.COMPARED:
            return self.state.lower()
        if self.unanswered:
            return f"compared, {self.unanswered} hint{'s' if self.unanswered > 1 else ''} to answer"
        return "compared, no hint left to answer"


def pair_lines(wall: Wall) -> list[PairLine]:
    """Return a wall's pairs, by cell, the newest first."""
    rows = pairs_of_wall(wall)
    unanswered = unanswered_counts(rows)
    answers = HintAnswer.objects.filter(pair_id__in=unanswered, answer=ACCEPTED)
    accepted = list(answers.values_list("pair_id", flat=True))
    return [PairLine(row, unanswered[row.pk], accepted.count(row.pk)) for row in rows]


def cells_to_pair(
    before: Survey, after: Survey, mode: str, *, lines: list[PairLine], link: str
) -> dict[str, CellInk]:
    """Return the strip's cells: which can be paired and how; `link` has CELL for the label."""
    shown = cells_shown(before, mode), cells_shown(after, mode)
    made: dict[str, PairLine] = {}
    for line in lines:
        pair = line.pair
        if (pair.before_survey_id, pair.after_survey_id, pair.mode) == (before.pk, after.pk, mode):
            made.setdefault(pair.cell, line)
    inks = {}
    for cell in after.layout.grid.labels():
        scales = [side.get(cell) for side in shown]
        one = made.get(cell)
        inks[cell] = CellInk(
            style=_style(scales),
            words=_words(cell, (before.code, after.code), scales, one),
            link=link.replace("CELL", cell) if all(scales) else "",
            text=one.sign if one else "",
        )
    return inks


def _style(scales: list[float | None]) -> str:
    return "pair-both" if all(scales) else ""


def _words(
    cell: str, codes: tuple[str, str], scales: list[float | None], line: PairLine | None
) -> str:
    said = [
        f"{code} at {scale:.0f} px/in" if scale else f"{code} has no picture"
        for code, scale in zip(codes, scales, strict=True)
    ]
    return f"{cell}: {', '.join(said)}" + (f"; {line.words}" if line else "")


def light_words(picture: Mapping[str, Any]) -> str:
    """Return a picture's mode and the side of its lamp in words.

    >>> light_words({"mode": "raking", "lamp_side": "left, 8°"})
    'Raking light, lamp at left, 8°'
    """
    side = f", lamp at {picture['lamp_side']}" if picture["lamp_side"] else ""
    return f"{Mode(picture['mode']).label}{side}"
