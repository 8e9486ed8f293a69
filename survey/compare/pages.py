"""How a comparison reads on a page: rows with words, marks of the strip, and what stands out."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from gridmap.lengths import SQ_IN_PER_SQ_FT
from gridmap.marks import finding_mark
from gridmap.strip import CellInk
from survey.compare.model import FINDINGS, Comparison, ItemFinding, Query
from survey.compare.reading_order import PLACE_OF_FINDING, changed_first
from survey.record.models import Decision, Survey
from survey.vocabulary.selectors import vocabulary_of

QUERY_CHOICES = {
    "other-hand": "Drawn by another hand",
    "other-light": "Seen in other light",
    "hidden-edge": "An edge was hidden",
    "unlogged-act": "An act that nobody logged",
    "wrong-item": "Wrong item continued",
    "real-change": "The wall did change so",
    "correct-entry": "An entry is wrong and will be corrected",
}
CELLS_PRINTED = 3
UNITS = {"area": "sq in", "line": "in", "point": "count"}


@dataclass(frozen=True)
class ItemRow:
    """One item's finding as the table prints it."""

    found: ItemFinding
    term_name: str
    item_id: UUID

    @property
    def unit(self) -> str:
        return UNITS[self.found.kind]

    @property
    def cell(self) -> str:
        return self.found.cells[0] if self.found.cells else ""

    @property
    def more_cells(self) -> int:
        """How many cells the table does not print."""
        return max(len(self.found.cells) - CELLS_PRINTED, 0)

    @property
    def order(self) -> int:
        return PLACE_OF_FINDING[self.found.finding]

    @property
    def change(self) -> float | None:
        if self.found.before is None or self.found.after is None:
            return None
        return self.found.after - self.found.before


@dataclass(frozen=True)
class QueryRow:
    """A query with the decision that stands, if any."""

    query: Query
    decision: Decision | None
    item_id: str


def term_names(survey: Survey) -> dict[str, str]:
    """Return the trade name of every term by its code."""
    return {term.code: term.name for term in vocabulary_of(survey.vocabulary).terms}


def item_rows(found: Comparison, after: Survey) -> list[ItemRow]:
    """Return the items, those that changed first."""
    names = term_names(after)
    return [
        ItemRow(item, names.get(item.term, item.term), UUID(item.id))
        for item in changed_first(found.items)
    ]


def finding_counts(found: Comparison) -> list[tuple[str, int]]:
    """Return how many items have each finding, in the order of the legend."""
    counts = Counter(item.finding for item in found.items)
    return [(finding, counts[finding]) for finding in FINDINGS if counts[finding]]


def query_rows(found: Comparison) -> list[QueryRow]:
    """Return the queries, undecided first; a decision lapses when the key changes."""
    keys = [query.key for query in found.queries]
    decisions = {
        row.query_key: row for row in Decision.objects.filter(query_key__in=keys, conflict=False)
    }
    rows = [
        QueryRow(query, decisions.get(query.key), (query.object_ids or ("",))[-1])
        for query in found.queries
    ]
    return sorted(rows, key=lambda row: (row.decision is not None, row.query.item))


def cell_inks(found: Comparison, link: str) -> dict[str, CellInk]:
    """Return the strip's cells by their foremost finding; `link` has CELL for the label."""
    foremost: dict[str, str] = {}
    counts: Counter[str] = Counter()
    for item in changed_first(found.items):
        for cell in item.cells:
            counts[cell] += 1
            foremost.setdefault(cell, item.finding)
    inks = {}
    for state in found.cell_states:
        finding = foremost.get(state.cell)
        inks[state.cell] = CellInk(
            style=f"cell-{state.state.replace(' ', '-')} {_style(finding)}".strip(),
            mark=finding_mark(finding) if finding else None,
            words=_words(state.cell, state.state, finding, counts[state.cell]),
            link=link.replace("CELL", state.cell),
        )
    return inks


def _style(finding: str | None) -> str:
    return f"finding-{finding.replace(',', '').replace(' ', '-')}" if finding else ""


def _words(cell: str, state: str, finding: str | None, count: int) -> str:
    items = "no items" if not count else f"{count} item{'s' if count > 1 else ''}"
    return f"{cell}: {state}, {items}" + (f", foremost {finding}" if finding else "")


def left_out(found: Comparison) -> Mapping[str, list[tuple[str, str]]]:
    """Return the cells that could not be compared whole, with the reason, by state."""
    lists: dict[str, list[tuple[str, str]]] = {"not comparable": [], "not examined": []}
    for state in found.cell_states:
        if state.state in lists:
            lists[state.state].append((state.cell, state.reason))
    return lists


def compared_share(found: Comparison) -> dict[str, float]:
    """Return the compared and left-out areas in square feet, and the share in percent."""
    whole = found.compared_sq_in + found.not_compared_sq_in
    return {
        "compared_sq_ft": found.compared_sq_in / SQ_IN_PER_SQ_FT,
        "left_out_sq_ft": found.not_compared_sq_in / SQ_IN_PER_SQ_FT,
        "pct": 100.0 * found.compared_sq_in / whole if whole else 0.0,
    }
