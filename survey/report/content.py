"""What does a condition report say? Frozen records only.

Everything a report prints stands here, already measured and decided by other rooms: the layout
computes no quantity and reads no database. Lengths are wall inches, x to the right from the left
end as one faces the wall, y up from the painting's lower edge. Texts are plain, never markup.
An empty sequence means "none recorded", and the layout says so in a sentence.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path
from typing import Any, Protocol

from shapely import to_geojson
from shapely.geometry.base import BaseGeometry

from gridmap.axis import Axis


class TermSymbol(Protocol):
    """What the layout asks of a term's symbol; gridmap.symbols.Symbol answers it."""

    @property
    def hue(self) -> str: ...  # "#rrggbb"
    @property
    def letters(self) -> str: ...


class ReportKind(StrEnum):
    """Which of the three papers this is."""

    CONDITION = "condition"
    PHASE = "phase"
    INCIDENT = "incident"


class ReportState(StrEnum):
    """A draft may still change; an issued report is kept and only ever superseded."""

    DRAFT = "draft"
    ISSUED = "issued"


class Finding(StrEnum):
    """What a comparison says of one item, in the words printed."""

    NEW = "new"
    SPLIT = "split"
    MERGED = "merged"
    GROWN = "grown"
    PROGRESSED = "progressed"
    REVEALED = "revealed"
    FIRST_SEEN = "first seen"
    DRAWN_SMALLER = "drawn smaller"
    NOT_FOUND = "not found"
    TREATED = "treated"
    NO_CHANGE_SHOWN = "no change shown"
    SEEN_NO_CHANGE = "seen, no change visible"
    NOT_LOOKED_AT = "not looked at again"
    NOT_COMPARABLE = "not comparable"


@dataclass(frozen=True)
class Document:
    """Which paper this is, in which version, and how it came about."""

    number: str
    version: int
    state: ReportState
    kind: ReportKind
    survey_code: str
    produced_at: datetime  # aware UTC
    against_code: str | None = None
    issued_on: date | None = None
    supersedes: str | None = None  # "PR-0001 version 1"
    layout_version: int | None = None
    vocabulary_version: int | None = None
    software: str = "Pontata"
    # Sentences that every page carries: "Invented demo data.", "Sealed 25 days after works began."
    standing_notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class WorkOfArt:
    """The painting's identity. Unknown texts stay empty and are printed as "not recorded"."""

    title: str
    width_in: float
    height_in: float
    artist: str = ""
    made: str = ""
    technique: str = ""
    place: str = ""
    owner: str = ""
    inventory_number: str = ""
    base_above_floor_in: float | None = None


@dataclass(frozen=True)
class Instruction:
    """Who asked for the report, when, what for, and who may rely on it."""

    instructed_by: str = ""
    instructed_on: date | None = None
    purpose: str = ""
    reader: str = ""


@dataclass(frozen=True)
class Party:
    """Somebody with a part in the matter: owner, insurer, contractor, engineer."""

    role: str
    name: str
    person: str = ""


@dataclass(frozen=True)
class Author:
    """A person who examined or wrote, with standing and independence."""

    name: str
    role: str
    qualification: str = ""
    independence: str = ""


@dataclass(frozen=True)
class ModeUsed:
    """One way of looking: its light, its instruments and the terms it was searched for."""

    code: str
    name: str
    light: str = ""
    instruments: str = ""
    calibration: str = ""
    searched_for: tuple[str, ...] = ()  # trade names


@dataclass(frozen=True)
class SurveyFacts:
    """When and under which conditions the survey was made, and how."""

    code: str
    kind: str
    starts_on: date
    ends_on: date | None = None
    state: str = "open"
    weather: str = ""
    light: str = ""
    access: str = ""  # decks, lifts, what stood before the wall
    method: tuple[str, ...] = ()  # paragraphs
    modes: tuple[ModeUsed, ...] = ()
    searched_by: tuple[str, ...] = ()


@dataclass(frozen=True)
class Band:
    """One named column (along x) or row (along y) of the grid."""

    name: str
    from_in: float
    to_in: float


@dataclass(frozen=True)
class NamedArea:
    """A named polygon on the wall: an opening or a zone."""

    name: str
    shape: BaseGeometry


@dataclass(frozen=True)
class Deck:
    """A working deck; its level is counted from the painting's lower edge and may be negative."""

    name: str
    level_in: float


@dataclass(frozen=True)
class WallMap:
    """The measured plane under every drawing: grid, openings, zones, decks."""

    columns: tuple[Band, ...]  # left to right
    rows: tuple[Band, ...]  # bottom to top
    openings: tuple[NamedArea, ...] = ()
    zones: tuple[NamedArea, ...] = ()
    decks: tuple[Deck, ...] = ()


@dataclass(frozen=True)
class HiddenArea:
    """A part that was hidden, out of reach or not looked at, and why."""

    cause: str
    shape: BaseGeometry
    area_sq_in: float
    out_of_reach_only: bool = False  # seen, but not within touch


@dataclass(frozen=True)
class Coverage:
    """What one mode saw. Areas exclude the openings; `seen` and `touch` are the areas' shapes."""

    mode: str  # name as printed
    painted_sq_in: float
    seen_sq_in: float
    touch_sq_in: float
    seen: BaseGeometry
    touch: BaseGeometry
    hidden: tuple[HiddenArea, ...] = ()


@dataclass(frozen=True)
class TermEntry:
    """A term of the vocabulary as it stood for this survey, with its own-worded definition."""

    code: str
    name: str
    layer: str
    kind: str
    definition: str
    symbol: TermSymbol
    rule: str = ""  # the rule's meaning in words


@dataclass(frozen=True)
class Size:
    """A measured size in one unit, with its standard error when the boundary error is known."""

    value: float
    unit: str  # "sq in" | "in" | "count"
    error: float | None = None


@dataclass(frozen=True)
class PlateOutline:
    """One outline to draw on plates and elevation: the valid shape derived from what was drawn."""

    item: str
    term: str  # code
    kind: str  # "area" | "line" | "point"
    shape: BaseGeometry
    size: Size | None = None
    finding: Finding | None = None
    note: str = ""
    earlier: bool = False  # the last survey's outline, drawn for comparison only


# Gives a part of the wall as RGB rows from the top, so many pixels wide.
Region = Callable[[tuple[float, float, float, float], int], Any]


@dataclass(frozen=True)
class BasePicture:
    """A rectified photograph or a mosaic of the wall or a part, never tinted or enhanced."""

    name: str
    bounds_in: tuple[float, float, float, float]  # x0, y0, x1, y1
    mode: str
    source: bytes | Path | Region = field(repr=False)  # the encoded picture, or where it is had
    taken_on: date | None = None
    digest: str = ""
    error_in: float | None = None  # of a mosaic: one standard deviation of a place on it
    px_per_in: float | None = None  # of a mosaic


@dataclass(frozen=True)
class CellPlate:
    """A cell that has something to show; its outlines may reach beyond the cell."""

    cell: str
    bounds_in: tuple[float, float, float, float]
    outlines: tuple[PlateOutline, ...] = ()
    picture: BasePicture | None = None
    note: str = ""


@dataclass(frozen=True)
class PairSide:
    """One picture of a detail pair: of which survey, when, in which light and by whom taken."""

    survey: str
    name: str
    source: bytes | Path = field(repr=False)  # the whole pair's picture, square to the wall
    taken_on: date
    digest: str  # of the file that it was made from
    light: str = ""  # mode, lamp and its side, in words
    operator: str = ""
    taken_on_certain: bool = True  # False: the day is that of the survey


@dataclass(frozen=True)
class PlacedItem:
    """An item that a person accepted from a hint, and the middle of its outline on the wall."""

    item: str
    at_in: tuple[float, float]
    words: str  # term and size


@dataclass(frozen=True)
class DetailPair:
    """A detail of the wall before and after, at equal scale and in equal light, not enhanced."""

    cell: str
    bounds_in: tuple[float, float, float, float]  # the detail that is printed
    whole_in: tuple[float, float, float, float]  # what the two pictures cover
    px_per_in: float
    before: PairSide
    after: PairSide
    laid_error_in: float  # of the later picture on the earlier one: one standard deviation
    place_error_in: float  # of a place on the earlier picture
    items: tuple[PlacedItem, ...] = ()


@dataclass(frozen=True)
class PairRow:
    """A pair of pictures that was asked for, and what became of it; refused ones included."""

    cell: str
    mode: str
    before: str  # survey, picture and day
    after: str
    outcome: str
    answers: str = ""  # how its hints were answered


@dataclass(frozen=True)
class ScheduleRow:
    """One item of the schedule of recorded condition."""

    item: str
    cells: tuple[str, ...]
    term: str  # code
    size: Size | None = None
    condition: int | None = None  # 0–3
    urgency: int | None = None  # 0–3
    first_seen: str = ""  # survey code and date
    finding: Finding | None = None
    note: str = ""
    drawn_error: str = ""  # "boundary error 0.06 in, picture 0.03 in"; empty without a picture


@dataclass(frozen=True)
class LossWindow:
    """Between which moments something came about, as far as the record can narrow it down."""

    last_sound: str  # date, mode and photograph, or "no earlier record"
    first_found: str
    between: tuple[str, ...] = ()  # works and events
    edge: str = ""  # "fresh" | "dirty" | "unclear"
    debris: str = ""
    opinions: tuple[str, ...] = ()  # "1. vibration, in the opinion of I. Fallow"
    standing: str = ""  # "agreed" | "disputed" | "reserved"


@dataclass(frozen=True)
class ChangeRow:
    """One item's change between the two surveys, with what could have been noticed."""

    item: str
    cells: tuple[str, ...]
    term: str  # code
    finding: Finding
    before: Size | None = None
    after: Size | None = None
    standard_error: float | None = None
    threshold: float | None = None
    reliably_seen: float | None = None
    p_adjusted: float | None = None
    loss_window: LossWindow | None = None
    explanation: str = ""


@dataclass(frozen=True)
class FindingCount:
    """How many items carry one finding."""

    finding: Finding
    count: int


@dataclass(frozen=True)
class ComparisonSummary:
    """What was compared, what was not, and how sure the comparison is."""

    before: str
    after: str
    compared_sq_in: float
    not_compared_sq_in: float
    tested: int
    false_discovery_rate: float
    tolerance_in: float | None = None
    cells_compared: int | None = None
    cells_not_comparable: int | None = None
    cells_not_examined: int | None = None
    counts: tuple[FindingCount, ...] = ()
    assumptions: tuple[str, ...] = ()
    changes: tuple[ChangeRow, ...] = ()


@dataclass(frozen=True)
class CellNote:
    """A cell and why it could not be compared or was not seen."""

    cell: str
    cause: str
    mode: str = ""


@dataclass(frozen=True)
class Treatment:
    """A treatment carried out, as its record holds it. Empty texts are left out of the print."""

    cells: tuple[str, ...]
    term: str  # code
    started: str
    ended: str = ""
    reason: str = ""
    decided_by: str = ""
    consent: str = ""
    details: tuple[tuple[str, str], ...] = ()  # label, value: method, product, batch, dwell, …
    operators: tuple[str, ...] = ()
    result: str = ""
    adverse_effects: str = ""


@dataclass(frozen=True)
class RefusedOption:
    """An option that was considered and refused, and why."""

    option: str
    reason: str


@dataclass(frozen=True)
class Decision:
    """What was decided about an item or a query; a decision not to treat is one of them."""

    item: str
    cells: tuple[str, ...]
    choice: str
    reason: str
    decided_by: str
    decided_on: date | None = None
    consented_by: str = ""
    refused: tuple[RefusedOption, ...] = ()
    review_on: date | None = None
    recommendation: int | None = None  # 0–3


@dataclass(frozen=True)
class Query:
    """Two records that cannot both be right, and what was decided about it, if anything was."""

    item: str
    cells: tuple[str, ...]
    message: str
    rule: str = ""
    explanations: tuple[str, ...] = ()
    decision: str = ""  # empty: undecided
    decided_by: str = ""
    decided_on: date | None = None


@dataclass(frozen=True)
class SignatureField:
    """A line to sign on. Contractors may sign, refuse, or lodge reservations by cell."""

    role: str
    name: str = ""
    organisation: str = ""
    statement: str = ""
    takes_reservations: bool = False
    attended: str = ""  # "2026-03-02 to 2026-03-04", "absent, invited 2026-02-20"


@dataclass(frozen=True)
class ImageRow:
    """An image the report rests on, with the digest that proves it unchanged."""

    name: str
    digest: str
    taken_at: datetime | None = None
    operator: str = ""
    mode: str = ""
    place: str = ""
    survey: str = ""


@dataclass(frozen=True)
class VersionRow:
    """One version of this report and what changed in it."""

    version: int
    state: ReportState
    on: date | None
    changed: str


@dataclass(frozen=True)
class CustodyRow:
    """Who held or handed out the data, and when."""

    when: datetime
    who: str
    what: str


@dataclass(frozen=True)
class ReportContent:
    """The whole of one report."""

    document: Document
    work: WorkOfArt
    survey: SurveyFacts
    wall: WallMap
    terms: Mapping[str, TermEntry]  # by code; the legend prints only those used
    instruction: Instruction = field(default_factory=Instruction)
    parties: tuple[Party, ...] = ()
    authors: tuple[Author, ...] = ()
    summary: tuple[str, ...] = ()  # sentences, most pressing first
    coverage: tuple[Coverage, ...] = ()
    openings_sq_in: float = 0.0
    further_limits: tuple[str, ...] = ()
    plates: tuple[CellPlate, ...] = ()
    pairs: tuple[DetailPair, ...] = ()
    pairs_asked: tuple[PairRow, ...] = ()
    schedule: tuple[ScheduleRow, ...] = ()
    comparison: ComparisonSummary | None = None
    not_comparable: tuple[CellNote, ...] = ()
    not_seen: tuple[CellNote, ...] = ()
    queries: tuple[Query, ...] = ()
    decisions: tuple[Decision, ...] = ()
    treatments: tuple[Treatment, ...] = ()
    further_cautions: tuple[str, ...] = ()
    signatures: tuple[SignatureField, ...] = ()
    images: tuple[ImageRow, ...] = ()
    versions: tuple[VersionRow, ...] = ()
    custody: tuple[CustodyRow, ...] = ()


def bands_of(axis: Axis) -> tuple[Band, ...]:
    """Return the named strips of a grid's axis in wall order."""
    lines = axis.lines_in
    return tuple(map(Band, axis.strip_names, lines, lines[1:]))


def used_terms(content: ReportContent) -> tuple[TermEntry, ...]:
    """Return the terms that the report prints anywhere, in vocabulary order."""
    used = {outline.term for plate in content.plates for outline in plate.outlines}
    used |= {row.term for row in content.schedule}
    used |= {treatment.term for treatment in content.treatments}
    if content.comparison is not None:
        used |= {change.term for change in content.comparison.changes}
    return tuple(term for code, term in content.terms.items() if code in used)


def to_plain(value: object) -> Any:
    """Return content as JSON-ready values, pictures by digest only: what an issued report keeps."""
    if isinstance(value, BasePicture | PairSide):
        kept = {f.name: to_plain(getattr(value, f.name)) for f in fields(value)}
        kept.pop("source")
        return kept
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, BaseGeometry):
        return to_geojson(value)
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [to_plain(item) for item in value]
    return value
