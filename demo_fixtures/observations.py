"""What did each survey's hands put down about the damage that they saw?

Unchanged damage is mostly answered *seen, no change visible*; what grew is an edited copy of the
last outline; some is drawn afresh, with all the noise of another hand. Invented demo data.
"""

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from uuid import UUID

import numpy as np

from demo_fixtures.damage import Damage, Stage
from demo_fixtures.drafts import Draft, continuation_id, draft, entry_id, object_id
from demo_fixtures.hands import (
    HANDS,
    SESSION_BIAS_SD_IN,
    Hand,
    draw_island,
    draw_line,
    edit_island,
    geometry_of,
)
from demo_fixtures.plans import (
    MODE_OF_TERM,
    PERCUSSION_TERMS,
    Round,
    cell_at,
    cells_of,
    in_strip,
    seen_in_strip,
)
from demo_fixtures.shapes import Island, Point

Shape = Island | tuple[Point, ...]

SEEN_NO_CHANGE_SHARE = 0.8
EDITED_SHARE = 0.85
NOISELESS = ("told-c17", "told-e05")  # their figures are worked by hand
SHRUNK_ON_PAPER = {("told-e05", "P1"): 3.1}  # sq in, drawn by another hand: a query, not a change
NOT_MENTIONED = {
    ("abrasion-2", "P1"), ("old-salt-0", "P1"), ("stain-1", "P2"), ("hairline-07", "P2"), ("powdering-05", "P2"),
}  # fmt: skip


@dataclass(frozen=True)
class Put:
    """What a survey put down about one piece of damage."""

    object_id: str
    entry: str
    shape: Shape
    term: str
    item: str


@dataclass
class Record:
    """What the surveys so far have put down, by damage key; filled survey by survey."""

    latest: dict[str, Put] = field(default_factory=dict)
    by_survey: dict[str, dict[str, Put]] = field(default_factory=dict)


@dataclass(frozen=True)
class _Look:
    """One person before one piece of damage in one survey."""

    plan: Round
    damage: Damage
    stage: Stage
    hand: Hand
    made_at: datetime
    session_bias_in: float
    rng: np.random.Generator


def observations(
    plan: Round, survey_id: UUID, damages: Sequence[Damage], record: Record, *, seed: int
) -> list[Draft]:
    """Return one survey's observations and add them to the record."""
    put: dict[str, Put] = {}
    drafts: list[Draft] = []
    for damage in damages:
        look = _look(plan, damage, seed)
        if look is None or (damage.key, plan.code) in NOT_MENTIONED:
            continue
        prior = record.latest.get(damage.key)
        one, body = _put_down(look, survey_id, prior, record)
        put[damage.key] = one
        drafts.append(
            draft(
                "observation", body, about=f"{plan.code}:{damage.key}", subject=one.object_id,
                made_at=look.made_at, observer=look.hand.username, recorder=plan.recorder,
            )
        )  # fmt: skip
    record.latest |= put
    record.by_survey[plan.code] = put
    return drafts


def _look(plan: Round, damage: Damage, seed: int) -> _Look | None:
    """Return the look at a piece of damage, None where it is not there or could not be seen."""
    cell = _cell_of_look(plan, damage)
    if cell is None:
        return None
    made_at = plan.moment_at(cell) + timedelta(seconds=30 + zlib.crc32(damage.key.encode()) % 240)
    stage = damage.on(made_at.date())
    if stage is None or not _visible(plan, damage, stage, made_at.date()):
        return None
    hand = HANDS[plan.hand_at(cell)]
    session = np.random.default_rng(
        [seed, 50, zlib.crc32(f"{plan.code}{hand.username}{made_at:%j}".encode())]
    )
    rng = np.random.default_rng([seed, 51, zlib.crc32(f"{plan.code}{damage.key}".encode())])
    return _Look(
        plan, damage, stage, hand, made_at, float(session.normal(0, SESSION_BIAS_SD_IN)), rng
    )


def _cell_of_look(plan: Round, damage: Damage) -> str | None:
    """Return the cell from which a piece is looked at: its own, or one that it reaches into."""
    own = cell_at(damage.place())
    reached = {cell for stage in damage.stages if stage.shape for cell in cells_of(stage)}
    return next((cell for cell in (own, *sorted(reached)) if cell in plan.cells), None)


def _visible(plan: Round, damage: Damage, stage: Stage, day: date) -> bool:
    if damage.covered_until is not None and day < damage.covered_until:
        return False
    cells = cells_of(stage)
    if damage.in_boards_strip and not all(seen_in_strip(plan, c) for c in cells if in_strip(c)):
        return False
    if MODE_OF_TERM.get(stage.term, "normal") not in plan.modes:
        return False
    return not any(_within(ring, damage.place()) for _, ring in plan.covers)


def _within(ring: Sequence[Point], point: Point) -> bool:
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return min(xs) <= point[0] <= max(xs) and min(ys) <= point[1] <= max(ys)


def _put_down(
    look: _Look, survey_id: UUID, prior: Put | None, record: Record
) -> tuple[Put, dict[str, object]]:
    shape, basis = _drawn(look, prior)
    continues = [prior.object_id] if prior else _merged(look.damage, record)
    if prior:
        subject = continuation_id(survey_id, prior.object_id)
    else:
        subject = object_id(f"{look.plan.code}:{look.damage.key}")
    item = prior.item if prior else look.damage.item
    entry = entry_id(look.made_at, f"{look.plan.code}:{look.damage.key}")
    body = _body(look, basis) | {
        "geometry": geometry_of(shape, look.damage.kind),
        "item": item,
        "continues": continues,
    }
    return Put(subject, entry, shape, look.stage.term, item), body


def _merged(damage: Damage, record: Record) -> list[str]:
    return [record.latest[key].object_id for key in damage.merges if key in record.latest]


def _drawn(look: _Look, prior: Put | None) -> tuple[Shape, str]:
    """Return the outline put down, and how it came about."""
    shape, key = look.stage.shape, look.damage.key
    assert shape is not None
    if (key, look.plan.code) in SHRUNK_ON_PAPER and isinstance(shape, Island):
        return shape.with_area(SHRUNK_ON_PAPER[key, look.plan.code]), "drawn"
    if prior is None or prior.term != look.stage.term:
        return _afresh(look, shape), "drawn"
    if not _changed_since(look, prior):
        answered = look.rng.random() < SEEN_NO_CHANGE_SHARE or look.plan.only_cells is not None
        if key in NOISELESS or answered or not _seen_whole(look):
            return prior.shape, "seen-no-change"
        return _afresh(look, shape), "drawn"
    if key not in NOISELESS and look.rng.random() < EDITED_SHARE:
        return _edited(look, prior.shape, shape), "edited-copy"
    return _afresh(look, shape), "drawn"


def _seen_whole(look: _Look) -> bool:
    return cells_of(look.stage) <= set(look.plan.cells)


def _changed_since(look: _Look, prior: Put) -> bool:
    """Whether a stage has begun since the prior outline; ids carry the time of their statement."""
    milliseconds = UUID(prior.entry).int >> 80
    before = datetime.fromtimestamp(milliseconds / 1000, tz=look.made_at.tzinfo).date()
    return look.damage.changed_between(before, look.made_at.date())


def _afresh(look: _Look, shape: Shape) -> Shape:
    if look.damage.key in NOISELESS:
        return shape
    if isinstance(shape, Island):
        return draw_island(shape, look.hand, session_bias_in=look.session_bias_in, rng=look.rng)
    return draw_line(shape, look.hand, look.rng)


def _edited(look: _Look, prior: Shape, now: Shape) -> Shape:
    if isinstance(prior, Island) and isinstance(now, Island):
        return edit_island(prior, now, hand=look.hand, rng=look.rng)
    if isinstance(prior, Island) or isinstance(now, Island):
        return _afresh(look, now)
    # A copied line keeps its vertices; only the part beyond its old end is new.
    kept = prior[: len(prior) - 1]
    return (*kept, *draw_line(now[len(kept) :], look.hand, look.rng))


def _body(look: _Look, basis: str) -> dict[str, object]:
    damage, stage = look.damage, look.stage
    day = look.made_at.date()
    body: dict[str, object] = {
        "term": stage.term,
        "basis": basis,
        "mode": MODE_OF_TERM.get(stage.term, "normal"),
        "layout": 1,
        "vocabulary": 1,
        "observed_on": day.isoformat(),
        "session": f"{look.plan.code}, {day:%d %B %Y}, {look.hand.username}",
        "condition": damage.severity,
        "urgency": _urgency(damage, stage),
        "confidence": "probable" if stage.term in (*PERCUSSION_TERMS, "repaint") else "certain",
        "boundary_error_in": look.hand.error_in,
        "boundary_error_source": "redraw trial of 27 February 2026",
        "measures": dict(damage.measures) if stage.term == damage.term else {},
        "note": damage.note,
    }
    if stage.term in ("paint-loss", "plaster-loss"):
        body["edge"] = "fresh" if stage.term != damage.term else damage.edge
        if stage.term != damage.term:
            body["note"] = "Flakes drawn here last time are gone; the fine coat shows."
    if damage.covered_until is not None and look.plan.code == "P2":
        body["note"] = "Brought to view by the cleaning of 24 to 26 June; dirt lies in the break."
    if damage.in_boards_strip:
        body["note"] = (
            "Behind the boards of deck 2; seen for the first time with the boards lifted."
        )
    return body


def _urgency(damage: Damage, stage: Stage) -> int:
    if stage.term in ("flaking", "moving-detachment") and damage.severity == 3:
        return 2
    if (
        stage.term in ("flaking", "powdering", "detachment", "efflorescence")
        or damage.edge == "fresh"
    ):
        return 1
    return 0


def replanned(plan: Round, covers: tuple[tuple[str, tuple[Point, ...]], ...]) -> Round:
    """Return a plan with what covers the wall by then."""
    return replace(plan, covers=covers)
