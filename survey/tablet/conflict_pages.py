"""How does a conflict stand on its page: each version drawn and listed beside the others?"""

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import shapely
from django.utils.safestring import SafeString, mark_safe

from gridmap.plate_cut import PlaceInk, plate_cut_svg, window_round
from survey.ledger.models import Entry
from survey.record.conflicts import Conflict, conflicts_of
from survey.record.models import Survey
from survey.record.projection import examined_areas
from survey.record.said import said_side_by_side
from survey.vocabulary.selectors import vocabulary_of
from survey.vocabulary.words import MODE_NAMES

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_VERBS = {"observation": "Outline as stated", "withdrawal": "Withdrawal: not there"}
_OBJECTS = {
    "session": "Session",
    "stop": "Stop",
    "daily-check": "Daily check",
    "spot-reading": "Spot reading",
    "fragment": "Fragment",
    "photograph": "Photograph",
    "decision": "Decision",
    "opinion": "Opinion of a cause",
}


@dataclass(frozen=True)
class Version:
    """One head of a conflict, with its letter, who said it and its drawing."""

    letter: str
    entry: Entry
    words: str
    device: str
    made_at: datetime
    drawing: SafeString


@dataclass(frozen=True)
class ConflictSheet:
    """A conflict with its versions and the fields side by side, those that differ first."""

    conflict: Conflict
    title: str
    cell: str
    versions: list[Version]
    fields: list[tuple[str, list[str], bool]]

    @property
    def object_id(self) -> uuid.UUID:
        return self.conflict.object_id

    @property
    def drawn(self) -> bool:
        return any(version.drawing for version in self.versions)

    @property
    def differing(self) -> int:
        return sum(differs for _, _, differs in self.fields)


def conflict_sheets(survey: Survey, device_name: Callable[[str], str]) -> list[ConflictSheet]:
    """Return every conflict of a survey as its page shows it; `device_name` names a device."""
    terms = {term.code: term.name for term in vocabulary_of(survey.vocabulary).terms}
    return [_sheet(survey, conflict, terms, device_name) for conflict in conflicts_of(survey)]


def _sheet(
    survey: Survey,
    conflict: Conflict,
    terms: Mapping[str, str],
    device_name: Callable[[str], str],
) -> ConflictSheet:
    heads = conflict.heads
    drawings = _drawings(survey, heads)
    versions = [
        Version(
            letter=LETTERS[place % len(LETTERS)],
            entry=head,
            words=_VERBS.get(head.kind, "As stated"),
            device=device_name(head.device),
            made_at=head.made_at,
            drawing=drawings[place],
        )
        for place, head in enumerate(heads)
    ]
    return ConflictSheet(
        conflict=conflict,
        title=_title(conflict, terms),
        cell=_cell(conflict),
        versions=versions,
        fields=said_side_by_side([head.content for head in heads], terms),
    )


def _title(conflict: Conflict, terms: Mapping[str, str]) -> str:
    body = conflict.last_said
    if conflict.family == "observation":
        return f"Outline {body['item']}, {terms.get(body['term'], body['term'])}"
    if conflict.family == "examination":
        return f"Examination of cell {body['cell']}, {MODE_NAMES.get(body['mode'], body['mode'])}"
    name = _OBJECTS.get(conflict.family, conflict.family.replace("-", " ").capitalize())
    about = body.get("label") or body.get("bag") or body.get("cell") or body.get("name")
    about = about or body.get("noticed_at") or body.get("checked_on") or ""
    return f"{name} {about}".strip()


def _cell(conflict: Conflict) -> str:
    body = conflict.last_said
    return str(body.get("cell") or next(iter(body.get("cells", [])), ""))


def _drawings(survey: Survey, heads: Sequence[Entry]) -> list[SafeString]:
    """Draw each version on the same piece of the wall, with the others faint beneath it."""
    inks = [_inks(survey, head) for head in heads]
    geometries = [ink.geometry for of_head in inks for ink in of_head]
    if not geometries:
        return [mark_safe("") for _ in heads]
    layout = survey.layout
    size = {"width_in": layout.width_in, "height_in": layout.height_in}
    window = window_round(geometries, **size)
    drawn = []
    for place in range(len(heads)):
        others = [
            PlaceInk(ink.geometry, "cut-other", "the other version")
            for other, of_head in enumerate(inks)
            if other != place
            for ink in of_head
        ]
        drawn.append(
            plate_cut_svg(
                window_in=window,
                grid=layout.grid,
                openings=layout.openings,
                places=[*others, *inks[place]],
                title=f"Version {LETTERS[place % len(LETTERS)]} on the wall",
                **size,
            )
        )
    return [mark_safe(svg) for svg in drawn]


def _inks(survey: Survey, head: Entry) -> list[PlaceInk]:
    body = head.content
    if head.kind == "observation":
        return [PlaceInk(body["geometry"], "cut-this", "this version")]
    if head.kind == "examination":
        return _examined(survey, body)
    cells = [cell for cell in body.get("cells", []) if isinstance(cell, str)][:40]
    boxes = [shapely.box(*survey.layout.grid.bounds(cell)) for cell in cells]
    return [PlaceInk(shapely.geometry.mapping(box), "cut-cell", "named cell") for box in boxes]


def _examined(survey: Survey, body: Mapping[str, Any]) -> list[PlaceInk]:
    cell = shapely.box(*survey.layout.grid.bounds(body["cell"]))
    inks = [PlaceInk(shapely.geometry.mapping(cell), "cut-cell", f"cell {body['cell']}")]
    seen, touch = examined_areas(dict(body), survey.layout)
    for shape, style, words in ((seen, "cut-seen", "seen"), (touch, "cut-touch", "within touch")):
        inks += [
            PlaceInk(shapely.geometry.mapping(part), style, words)
            for part in shapely.get_parts(shape)
            if isinstance(part, shapely.Polygon) and not part.is_empty
        ]
    hidden = body.get("hidden", [])
    return inks + [PlaceInk(area["geometry"], "cut-hidden", area["cause"]) for area in hidden]
