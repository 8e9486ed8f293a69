"""What changed between two surveys, how sure is it, and what could not be compared?

One pure function, `compare`, ties the parts together. The order of results follows the order of
the outlines given; the same input gives the same answer.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from gridmap.grid import Grid
from gridmap.measure import cell_label, cut_by_grid
from survey.compare.areas import ComparedAreas
from survey.compare.checks import all_queries
from survey.compare.coverage import cell_states
from survey.compare.follow import Followed, follow
from survey.compare.items import Case, Judge
from survey.compare.model import (
    CompareInput,
    Comparison,
    ItemFinding,
    Outline,
    OutlineKind,
    Part,
    SizeRow,
    Sizes,
    SurveyRecord,
    TermRule,
)
from survey.compare.points import (
    counted_places,
    counts_by_cell,
    counts_by_part,
    counts_by_term,
)
from survey.compare.progress import join_progressions
from survey.compare.provisional import counted_outlines
from survey.compare.regions import Regions, areas_of
from survey.compare.windows import WITH_WINDOW, acts_between, events_between, loss_window

ByKind = dict[OutlineKind, Sizes]


def compare(given: CompareInput) -> Comparison:
    """Return the comparison of two surveys of one wall.

    All lengths are wall inches. Raises nothing of its own: what cannot be compared is said.
    """
    regions = Regions(given)
    followed = _followed(given, given.before)
    totals = Totals(given, regions, followed)
    judge, cases, tested = _judged(given, given.before, regions, followed)
    against_baseline, tested_against_baseline = _against_baseline(given)
    cells = _cells_by_outline(given)
    items = tuple(
        _with_window(_finding(case, cells, given.grid), case, given, judge) for case in cases
    )
    items = tuple(_with_baseline(item, against_baseline) for item in items)
    return Comparison(
        before=given.before.code,
        after=given.after.code,
        tolerance_in=given.tolerance_in,
        compared_sq_in=regions.seen_twice.area,
        not_compared_sq_in=max(areas_of(regions.wall - regions.seen_twice).area, 0.0),
        terms=totals.term_rows(),
        cells=totals.cell_rows(),
        zones=totals.part_rows(given.zones),
        decks=totals.part_rows(given.decks),
        items=items,
        queries=all_queries(given, judge, cases, items),
        tested=tested,
        false_discovery_rate=given.false_discovery_rate,
        cell_states=cell_states(regions, given.grid),
        noise=given.noise,
        baseline=given.baseline.code if given.baseline else None,
        tested_against_baseline=tested_against_baseline,
    )


class Totals:
    """Areas, lines and points of every term: on the wall, per cell, per zone and per deck."""

    def __init__(self, given: CompareInput, regions: Regions, followed: Sequence[Followed]) -> None:
        self._grid = given.grid
        before, after, items = counted_outlines(followed, given.terms)
        codes = list(dict.fromkeys(outline.term for outline in (*before, *after)))
        in_vocabulary = {code: place for place, code in enumerate(given.terms)}
        codes.sort(key=lambda code: (in_vocabulary.get(code, len(in_vocabulary)), code))
        self._rules = {code: given.terms.get(code) or TermRule(code) for code in codes}
        self._regions = {code: regions.compared(rule) for code, rule in self._rules.items()}
        self._kinds = {(outline.term, outline.kind) for outline in (*before, *after)}
        self.areas = self._compared("area", before, after, given.tolerance_in)
        self.lines = self._compared("line", before, after, given.tolerance_in)
        self.places = counted_places(items, self._regions, given.tolerance_in)

    def _compared(
        self,
        kind: OutlineKind,
        before: Sequence[Outline],
        after: Sequence[Outline],
        tolerance_in: float,
    ) -> ComparedAreas:
        return ComparedAreas(
            grid=self._grid,
            regions=self._regions,
            before=[outline for outline in before if outline.kind == kind],
            after=[outline for outline in after if outline.kind == kind],
            tolerance_in=tolerance_in,
            dimension=2 if kind == "area" else 1,
        )

    def term_rows(self) -> tuple[SizeRow, ...]:
        """Return one row per term that either survey drew, zeros included."""
        found: dict[OutlineKind, dict[str, Sizes]] = {
            "area": self.areas.by_term(),
            "line": self.lines.by_term(),
            "point": counts_by_term(self.places),
        }
        return tuple(
            SizeRow(
                term=code,
                place="",
                sizes={
                    kind: sizes.get(code, Sizes())
                    for kind, sizes in found.items()
                    if (code, kind) in self._kinds
                },
                compared_sq_in=self._regions[code].area,
            )
            for code in self._rules
        )

    def cell_rows(self) -> tuple[SizeRow, ...]:
        """Return one row per cell and term where something stood, in reading order."""
        order = {label: place for place, label in enumerate(self._grid.labels())}
        return self._rows(
            {
                "area": self.areas.by_cell(),
                "line": self.lines.by_cell(),
                "point": counts_by_cell(self.places, self._grid),
            },
            order,
        )

    def part_rows(self, parts: Sequence[Part]) -> tuple[SizeRow, ...]:
        """Return one row per zone (or deck) and term where something stood."""
        return self._rows(
            {
                "area": self.areas.by_part(parts),
                "line": self.lines.by_part(parts),
                "point": counts_by_part(self.places, parts),
            },
            {part.name: place for place, part in enumerate(parts)},
        )

    def _rows(
        self,
        found: Mapping[OutlineKind, Mapping[tuple[str, str], Sizes]],
        order: Mapping[str, int],
    ) -> tuple[SizeRow, ...]:
        rows: dict[tuple[str, str], ByKind] = {}
        for kind, by_place in found.items():
            for key, sizes in by_place.items():
                if sizes.before or sizes.after:
                    rows.setdefault(key, {})[kind] = sizes
        terms = {code: place for place, code in enumerate(self._rules)}
        return tuple(
            SizeRow(term=term, place=place, sizes=rows[place, term])
            for place, term in sorted(rows, key=lambda key: (order[key[0]], terms[key[1]]))
        )


def _followed(given: CompareInput, before: SurveyRecord) -> list[Followed]:
    return follow(
        before.outlines,
        given.after.outlines,
        terms=given.terms,
        lineage=_lineage(given),
        tolerance_in=given.tolerance_in,
        default_error_in=given.noise.default_boundary_error_in,
    )


def _lineage(given: CompareInput) -> Mapping[str, tuple[str, ...]]:
    own = {outline.id: outline.continues for outline in given.before.outlines}
    return {**own, **given.lineage}


def _judged(
    given: CompareInput, before: SurveyRecord, regions: Regions, followed: Sequence[Followed]
) -> tuple[Judge, list[Case], int]:
    acts = acts_between(given.acts, before, given.after)
    judge = Judge(given, before, regions, acts)
    cases, tested = judge.findings(followed)
    return judge, join_progressions(cases, given.terms, given.noise), tested


def _against_baseline(given: CompareInput) -> tuple[dict[str, ItemFinding], int]:
    """Hold the later survey against the baseline too: creep hides below each round's tolerance."""
    baseline = given.baseline
    if baseline is None or baseline.code in (given.before.code, given.after.code):
        return {}, 0
    regions = Regions(given, before=baseline)
    followed = _followed(given, baseline)
    _, cases, tested = _judged(given, baseline, regions, followed)
    findings = [_finding(case, {}, given.grid) for case in cases]
    return {after_id: found for found in findings for after_id in found.after_ids}, tested


def _with_baseline(item: ItemFinding, found: Mapping[str, ItemFinding]) -> ItemFinding:
    for after_id in item.after_ids:
        if after_id in found:
            return replace(item, against_baseline=found[after_id])
    return item


def _finding(case: Case, cells: Mapping[str, tuple[str, ...]], grid: Grid) -> ItemFinding:
    earlier = (*case.followed.before, *case.sources)
    later = (*case.followed.after, *case.successors)
    first = (earlier or later)[0]
    after_items = tuple(dict.fromkeys(outline.item for outline in later))
    after_kind = later[-1].kind if later and later[-1].kind != first.kind else None
    return ItemFinding(
        item=first.item,
        term=case.term.code,
        kind=first.kind,
        finding=case.finding,
        before=case.before_size,
        after=case.after_size,
        before_ids=tuple(outline.id for outline in earlier),
        after_ids=tuple(outline.id for outline in later),
        growth=case.growth,
        became=case.became,
        after_items=after_items if after_items not in ((), (first.item,)) else (),
        reason=case.reason,
        cells=_in_order(
            {label for one in later or earlier for label in cells.get(one.id, ())}, grid
        ),
        remaining=case.remaining,
        followed_by=case.followed.followed_by,
        first_seen_beside=case.first_seen_beside,
        size_finding=case.size_finding,
        after_kind=after_kind,
    )


def _in_order(labels: Iterable[str], grid: Grid) -> tuple[str, ...]:
    some = set(labels)
    if len(some) < 2:
        return tuple(some)
    return tuple(sorted(some, key=lambda label: _reading_key(label, grid)))


def _reading_key(label: str, grid: Grid) -> tuple[int, int]:
    column, row = grid.position(label)
    return (
        -row if grid.rows.reads_backwards else row,
        -column if grid.columns.reads_backwards else column,
    )


def _cells_by_outline(given: CompareInput) -> dict[str, tuple[str, ...]]:
    outlines = (*given.before.outlines, *given.after.outlines)
    shapes = np.empty(len(outlines), dtype=object)
    shapes[:] = [outline.shape for outline in outlines]
    owners, cells, _ = cut_by_grid(shapes, given.grid)
    labels: dict[str, tuple[str, ...]] = {}
    names = {cell: cell_label(cell, given.grid) for cell in set(cells.tolist())}
    for owner, cell in zip(owners.tolist(), cells.tolist(), strict=True):
        outline_id = outlines[owner].id
        labels[outline_id] = (*labels.get(outline_id, ()), names[cell])
    return labels


def _with_window(
    finding: ItemFinding, case: Case, given: CompareInput, judge: Judge
) -> ItemFinding:
    if finding.finding not in WITH_WINDOW and finding.size_finding not in WITH_WINDOW:
        return finding
    later = case.successors or case.followed.after
    return replace(
        finding,
        window=loss_window(
            before=given.before,
            after=given.after,
            earlier=(*case.followed.before, *case.sources),
            later=later,
            term=case.term,
            acts=judge.acts,
            events=events_between(given.events, given.before, given.after),
        ),
    )
