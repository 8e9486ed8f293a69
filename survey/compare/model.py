"""What goes into a comparison of two surveys, and what comes out?

Frozen records only, in wall inches. Nothing here computes a finding or knows of Django.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from math import isfinite
from typing import Any, Literal

from shapely.geometry.base import BaseGeometry

from gridmap.grid import Grid

OutlineKind = Literal["area", "line", "point"]

SEEN_NO_CHANGE = "seen-no-change"  # the basis of an observation made by one tap, without drawing

NO_CHANGE_SHOWN = "no change shown"
SEEN_NO_CHANGE_VISIBLE = "seen, no change visible"
GROWN = "grown"
DRAWN_SMALLER = "drawn smaller"
PROGRESSED = "progressed"
NEW = "new"
REVEALED = "revealed"
FIRST_SEEN = "first seen"
NOT_FOUND = "not found"
TREATED = "treated"
SPLIT = "split"
MERGED = "merged"
NOT_LOOKED_AT_AGAIN = "not looked at again"
NOT_COMPARABLE = "not comparable"

FINDINGS = (
    NEW,
    GROWN,
    PROGRESSED,
    SPLIT,
    MERGED,
    REVEALED,
    FIRST_SEEN,
    DRAWN_SMALLER,
    NOT_FOUND,
    TREATED,
    NO_CHANGE_SHOWN,
    SEEN_NO_CHANGE_VISIBLE,
    NOT_LOOKED_AT_AGAIN,
    NOT_COMPARABLE,
)


@dataclass(frozen=True)
class Outline:
    """One observation's head: where a term was drawn, by whom, how well, in which light.

    `shape` is the valid shape derived from the ring as drawn. `picture_error_in` is the standard
    error of place of the picture that it was drawn over, None where none is on record. `head` is
    the digest of the entry that stands at the object's head: a query's key changes with it.
    `continues` names object ids of earlier surveys. An outline in conflict is drawn but enters no
    total.
    """

    id: str
    item: str
    term: str
    kind: OutlineKind
    shape: BaseGeometry
    boundary_error_in: float | None = None
    boundary_error_source: str = ""
    picture_error_in: float | None = None
    hand: str = ""
    session: str = ""
    mode: str = "normal"
    continues: tuple[str, ...] = ()
    basis: str = "drawn"
    condition: int | None = None
    conflict: bool = False
    head: str = ""
    observed_on: date | None = None
    edge: str = ""
    debris: str = ""
    photographs: tuple[str, ...] = ()


@dataclass(frozen=True)
class PhotographPlace:
    """A photograph that shows a part of the wall."""

    digest: str
    shape: BaseGeometry
    mode: str = "normal"
    taken_on: date | None = None


@dataclass(frozen=True)
class SurveyRecord:
    """One survey: its outlines and what was seen.

    `coverage` gives per mode the area seen (touch implies seen, hidden beats both). `searched`
    gives per mode the area in which each term was looked for; None, or a mode left out, means
    that every term was looked for wherever that mode saw.
    """

    code: str
    starts_on: date | None = None
    ends_on: date | None = None
    outlines: tuple[Outline, ...] = ()
    coverage: Mapping[str, BaseGeometry] = field(default_factory=dict)
    searched: Mapping[str, Mapping[str, BaseGeometry] | None] = field(default_factory=dict)
    photographs: tuple[PhotographPlace, ...] = ()


@dataclass(frozen=True)
class TermRule:
    """What the vocabulary says of a term: `rule` is N, G, V, F, R or A.

    `modes` are the modes of which any one suffices; `progresses_to` the direct successors;
    `resolves_to` is filled for provisional terms only.
    """

    code: str
    name: str = ""
    layer: str = ""
    kind: str = "D"
    geometry: tuple[str, ...] = ("area",)
    rule: str = "N"
    modes: tuple[str, ...] = ("normal",)
    progresses_to: tuple[str, ...] = ()
    resolves_to: tuple[str, ...] = ()
    query_on_change: bool = False


@dataclass(frozen=True)
class Act:
    """A treatment or an uncovering between the surveys."""

    term: str
    shape: BaseGeometry
    on: date | None = None
    reveals: bool = False
    id: str = ""
    head: str = ""
    name: str = ""


@dataclass(frozen=True)
class WallEvent:
    """Something that happened to the whole wall between the surveys: a blow, a leak, a stop."""

    on: date | None
    what: str
    shape: BaseGeometry | None = None


@dataclass(frozen=True)
class Part:
    """A named polygon of the wall: an opening, a zone, a deck's band."""

    name: str
    shape: BaseGeometry


@dataclass(frozen=True)
class SetAside:
    """A part of the wall that may not be compared in one mode (None: in any), and why."""

    shape: BaseGeometry
    reason: str
    mode: str | None = None


@dataclass(frozen=True)
class NoiseModel:
    """How far a boundary wanders when the same damage is drawn again [in].

    A hand's and a session's bias are standard deviations of a shift of the whole boundary.
    """

    correlation_length_in: float = 0.5
    hand_bias_sd_in: float = 0.03
    session_bias_sd_in: float = 0.0
    default_boundary_error_in: float = 0.06


@dataclass(frozen=True)
class CompareInput:
    """Everything that a comparison depends on; `lineage` maps the ids of surveys in between to
    the ids that they continue, so that items are followed across them."""

    before: SurveyRecord
    after: SurveyRecord
    grid: Grid
    width_in: float
    height_in: float
    terms: Mapping[str, TermRule]
    openings: tuple[Part, ...] = ()
    zones: tuple[Part, ...] = ()
    decks: tuple[Part, ...] = ()
    acts: tuple[Act, ...] = ()
    events: tuple[WallEvent, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    baseline: SurveyRecord | None = None
    lineage: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    tolerance_in: float = 0.0
    noise: NoiseModel = NoiseModel()
    false_discovery_rate: float = 0.05


@dataclass(frozen=True)
class Sizes:
    """Before, after and what lies between, in the unit of the row: sq in, in, or a count."""

    before: float = 0.0
    after: float = 0.0
    added: float = 0.0
    removed: float = 0.0
    common: float = 0.0
    added_beyond: float = 0.0
    removed_beyond: float = 0.0

    def __add__(self, other: "Sizes") -> "Sizes":
        return Sizes(
            self.before + other.before,
            self.after + other.after,
            self.added + other.added,
            self.removed + other.removed,
            self.common + other.common,
            self.added_beyond + other.added_beyond,
            self.removed_beyond + other.removed_beyond,
        )

    def to_json(self, unit: str) -> dict[str, float]:
        """Return the keys of one unit: `before_sq_in`, `added_in`, `common_count`, …"""
        return {
            f"before_{unit}": self.before,
            f"after_{unit}": self.after,
            f"added_{unit}": self.added,
            f"removed_{unit}": self.removed,
            f"common_{unit}": self.common,
            f"added_beyond_{unit}": self.added_beyond,
            f"removed_beyond_{unit}": self.removed_beyond,
        }


UNITS: Mapping[str, str] = {"area": "sq_in", "line": "in", "point": "count"}


@dataclass(frozen=True)
class SizeRow:
    """The sizes of one term in one place (the whole wall, a cell, a zone, a deck)."""

    term: str
    place: str
    sizes: Mapping[OutlineKind, Sizes]
    compared_sq_in: float | None = None

    def to_json(self, place_key: str | None) -> dict[str, Any]:
        row: dict[str, Any] = {} if place_key is None else {place_key: self.place}
        row["term"] = self.term
        for kind, sizes in self.sizes.items():
            row |= sizes.to_json(UNITS[kind])
        if self.compared_sq_in is not None:
            row["compared_sq_in"] = self.compared_sq_in
        return row


@dataclass(frozen=True)
class Growth:
    """The difference of two drawn sizes with its error: sq in for areas, in for lines."""

    before: float
    after: float
    standard_error: float
    z: float
    p: float
    threshold: float
    reliably_seen: float
    same_hand: bool
    same_session: bool
    p_adjusted: float | None = None


@dataclass(frozen=True)
class LossWindow:
    """Between which looks an item came or grew; a cause is an opinion and is not in here."""

    last_sound_survey: str
    last_sound_from: date | None
    last_sound_to: date | None
    last_sound_mode: str
    last_sound_photographs: tuple[str, ...]
    first_found_survey: str
    first_found_from: date | None
    first_found_to: date | None
    between: tuple[str, ...]
    edge: str
    debris: str

    def to_json(self) -> dict[str, Any]:
        return {
            "last_sound": {
                "survey": self.last_sound_survey,
                "from": _iso(self.last_sound_from),
                "to": _iso(self.last_sound_to),
                "mode": self.last_sound_mode,
                "photographs": list(self.last_sound_photographs),
            },
            "first_found": {
                "survey": self.first_found_survey,
                "from": _iso(self.first_found_from),
                "to": _iso(self.first_found_to),
            },
            "between": list(self.between),
            "edge": self.edge or "unclear",
            "debris": self.debris,
        }


@dataclass(frozen=True)
class ItemFinding:
    """What became of one item: sizes are those inside the compared part of the wall.

    `after_kind` is given where a successor is of another kind than its source, `remaining` what
    is left of a source, `first_seen_beside` what of a new item lies where nobody looked before,
    `size_finding` what the sizes alone say of a split or merged item.
    """

    item: str
    term: str
    kind: OutlineKind
    finding: str
    before: float | None
    after: float | None
    before_ids: tuple[str, ...] = ()
    after_ids: tuple[str, ...] = ()
    growth: Growth | None = None
    became: str | None = None
    after_items: tuple[str, ...] = ()
    reason: str = ""
    cells: tuple[str, ...] = ()
    window: LossWindow | None = None
    against_baseline: "ItemFinding | None" = None
    remaining: float | None = None
    followed_by: str = ""
    first_seen_beside: float | None = None
    size_finding: str = ""
    after_kind: OutlineKind | None = None

    @property
    def id(self) -> str:
        """The object id that stands for the item: the later outline's where there is one."""
        return (self.after_ids or self.before_ids)[0]

    def to_json(self) -> dict[str, Any]:
        unit = UNITS[self.kind]
        row: dict[str, Any] = {
            "item": self.item,
            "term": self.term,
            "finding": self.finding,
            f"before_{unit}": self.before,
            f"after_{UNITS[self.after_kind or self.kind]}": self.after,
        }
        growth = self.growth
        row[f"standard_error_{unit}"] = growth and growth.standard_error
        row["z"] = growth.z if growth and isfinite(growth.z) else None
        row["p"] = growth and growth.p
        row["p_adjusted"] = growth and growth.p_adjusted
        row[f"threshold_{unit}"] = growth and growth.threshold
        row[f"reliably_seen_{unit}"] = growth and growth.reliably_seen
        row |= self._further_json(unit)
        return row

    def _further_json(self, unit: str) -> dict[str, Any]:
        row: dict[str, Any] = {
            "cells": list(self.cells),
            "before_ids": list(self.before_ids),
            "after_ids": list(self.after_ids),
        }
        if self.growth is not None:
            row["same_hand"] = self.growth.same_hand
            row["same_session"] = self.growth.same_session
        for key, value in (
            ("became", self.became),
            ("after_items", list(self.after_items)),
            ("reason", self.reason),
            ("followed_by", self.followed_by),
            ("size_finding", self.size_finding),
            (f"remaining_{unit}", self.remaining),
            (f"first_seen_beside_{unit}", self.first_seen_beside),
        ):
            if value not in (None, "", []):
                row[key] = value
        if self.window is not None:
            row["window"] = self.window.to_json()
        if self.against_baseline is not None:
            row["against_baseline"] = self.against_baseline.to_json()
        return row


@dataclass(frozen=True)
class Query:
    """A contradiction that a person decides; explanations are ranked, likeliest first.

    `key` is the digest of rule, object ids and head digests: a decision lapses with a new head.
    """

    item: str
    rule: str
    message: str
    key: str
    object_ids: tuple[str, ...] = ()
    explanations: tuple[str, ...] = ()
    alarm: bool = False

    def to_json(self) -> dict[str, Any]:
        return {
            "item": self.item,
            "rule": self.rule,
            "message": self.message,
            "key": self.key,
            "object_ids": list(self.object_ids),
            "explanations": list(self.explanations),
            "alarm": self.alarm,
        }


@dataclass(frozen=True)
class CellState:
    """How much of a cell was compared: areas [sq in] without openings."""

    cell: str
    state: Literal["compared", "not comparable", "not examined"]
    wall_sq_in: float
    compared_sq_in: float
    reason: str = ""


@dataclass(frozen=True)
class Comparison:
    """The whole answer: totals, items with findings, queries, and what was left out."""

    before: str
    after: str
    tolerance_in: float
    compared_sq_in: float
    not_compared_sq_in: float
    terms: tuple[SizeRow, ...]
    cells: tuple[SizeRow, ...]
    zones: tuple[SizeRow, ...]
    decks: tuple[SizeRow, ...]
    items: tuple[ItemFinding, ...]
    queries: tuple[Query, ...]
    tested: int
    false_discovery_rate: float
    cell_states: tuple[CellState, ...] = ()
    noise: NoiseModel = NoiseModel()
    baseline: str | None = None
    tested_against_baseline: int = 0

    def to_json(self) -> dict[str, Any]:
        """Return the comparison under the keys that `compare --json` prints."""
        return {
            "before": self.before,
            "after": self.after,
            "baseline": self.baseline,
            "tolerance_in": self.tolerance_in,
            "compared_sq_in": self.compared_sq_in,
            "not_compared_sq_in": self.not_compared_sq_in,
            "terms": [row.to_json(None) for row in self.terms],
            "cells": [row.to_json("cell") for row in self.cells],
            "zones": [row.to_json("zone") for row in self.zones],
            "decks": [row.to_json("deck") for row in self.decks],
            "items": [row.to_json() for row in self.items],
            "queries": [query.to_json() for query in self.queries],
            "tested": self.tested,
            "tested_against_baseline": self.tested_against_baseline,
            "false_discovery_rate": self.false_discovery_rate,
        }


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day is not None else None
