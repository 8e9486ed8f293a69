"""What became of each item between two surveys?

Each item gets one finding. What was not seen twice is never called changed; what treatment or
better sight explains is told apart from damage. Queries are raised elsewhere.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import shapely
from shapely.geometry.base import BaseGeometry

from survey.compare import model
from survey.compare.follow import Followed
from survey.compare.measured import (
    Measured,
    lies_in,
    measured_inside,
    share_in,
    size_of,
    tested_growth,
)
from survey.compare.model import Act, CompareInput, Growth, Outline, SurveyRecord, TermRule
from survey.compare.regions import MOST_OF_IT, Regions, modes_to_find, union_of
from survey.compare.rules import explains, is_facing, successors
from survey.compare.uncertainty import adjusted_for_false_discoveries

SLIVER = 1e-9  # what overlay arithmetic leaves of a size


@dataclass
class Case:
    """One item while its finding is being worked out; sizes are those inside the region."""

    followed: Followed
    term: TermRule
    before: tuple[Measured, ...]
    after: tuple[Measured, ...]
    growth: Growth | None = None
    finding: str = ""
    reason: str = ""
    became: str | None = None
    before_size: float | None = None
    after_size: float | None = None
    remaining: float | None = None
    first_seen_beside: float | None = None
    size_finding: str = ""
    successors: tuple[Outline, ...] = ()
    sources: tuple[Outline, ...] = ()
    absorbed: bool = False

    @property
    def outlines(self) -> tuple[Outline, ...]:
        return (*self.followed.before, *self.followed.after)

    @property
    def kind(self) -> model.OutlineKind:
        return (self.followed.before or self.followed.after)[0].kind


@dataclass
class Judge:
    """Gives findings to all items of two surveys, with what lay between them."""

    given: CompareInput
    before: SurveyRecord
    regions: Regions
    acts: Sequence[Act]
    _kept: dict[str, BaseGeometry] = field(default_factory=dict, init=False)

    def findings(self, followed: Sequence[Followed]) -> tuple[list[Case], int]:
        """Return every item with its finding, and how many differences were tested."""
        cases = self._cases(followed)
        tested = [case for case in cases if self._is_testable(case)]
        adjusted = adjusted_for_false_discoveries(
            [(case.growth or self._test(case)).p for case in tested]
        )
        for case, p_adjusted in zip(tested, adjusted.tolist(), strict=True):
            case.growth = _with_adjusted(case.growth or self._test(case), p_adjusted)
        for case in cases:
            self._decide(case)
        return cases, len(tested)

    def term(self, code: str) -> TermRule:
        return self.given.terms.get(code) or TermRule(code)

    def explaining(self, term: TermRule) -> BaseGeometry:
        """Where acts that explain a term's going were done between the surveys."""
        return self._kept_as(
            term.code, lambda: union_of(act.shape for act in self.acts if explains(act, term))
        )

    def revealing(self) -> BaseGeometry:
        """Where something was cleaned or uncovered between the surveys."""
        return self._kept_as(
            "revealing", lambda: union_of(act.shape for act in self.acts if act.reveals)
        )

    def _kept_as(self, key: str, work: Callable[[], BaseGeometry]) -> BaseGeometry:
        if key not in self._kept:
            self._kept[key] = work()
            shapely.prepare(self._kept[key])
        return self._kept[key]

    def _cases(self, followed: Sequence[Followed]) -> list[Case]:
        every = (outline for item in followed for outline in (*item.before, *item.after))
        inside = measured_inside(every, lambda code: self.regions.seen_pair(self.term(code)))
        return [
            Case(
                item,
                self.term(_term_of(item, self.given.terms)),
                tuple(inside[id(outline)] for outline in item.before),
                tuple(inside[id(outline)] for outline in item.after),
            )
            for item in followed
        ]

    def _test(self, case: Case) -> Growth:
        case.growth = tested_growth(case.before, case.after, self.given.noise)
        return case.growth

    def _is_testable(self, case: Case) -> bool:
        return (
            bool(case.before and case.after)
            and not self._why_not_comparable(case)
            and not self._progressed_directly(case)
            and case.kind != "point"
            and not _seen_without_drawing(case)
        )

    def _decide(self, case: Case) -> None:
        if case.before and case.after:
            self._decide_followed(case)
        elif not self.regions.both_have_coverage or _in_conflict(case):
            self._close(case, model.NOT_COMPARABLE, self._why_not_comparable(case))
        elif case.before:
            self._decide_missing(case)
        else:
            self._decide_appeared(case)

    def _close(self, case: Case, finding: str, reason: str = "") -> None:
        case.finding, case.reason = finding, reason
        if case.before_size is None and case.before:
            case.before_size = sum(one.size for one in case.before)
        if case.after_size is None and case.after:
            case.after_size = sum(one.size for one in case.after)

    def _why_not_comparable(self, case: Case) -> str:
        """Return why an item cannot be compared; empty if it can."""
        if _in_conflict(case):
            return "two statements about it stand against each other"
        if not self.regions.both_have_coverage:
            return "a survey says nothing of what it looked at"
        if not (case.before and case.after):
            return ""
        earlier, later = case.followed.before, case.followed.after
        kinds = {outline.kind for outline in (*earlier, *later)}
        modes = [{outline.mode for outline in side} for side in (earlier, later)]
        if not self._progressed_directly(case):
            if len(kinds) > 1:
                return f"drawn as {earlier[0].kind} before and as {later[0].kind} now"
            if modes[0].isdisjoint(modes[1]):
                return (
                    f"seen in {_words(modes[0])} light before and in {_words(modes[1])} light now"
                )
            if not self._terms_agree(case):
                return f"recorded as {earlier[0].term} before and as {later[0].term} now"
        if max(one.share for one in (*case.before, *case.after)) < SLIVER:
            return "its place was not seen twice in a mode that it needs"
        return ""

    def _terms_agree(self, case: Case) -> bool:
        codes = {outline.term for outline in case.outlines}
        definite = {code for code in codes if not self.term(code).resolves_to}
        provisional = codes - definite
        return len(definite) <= 1 and all(
            definite <= set(self.term(code).resolves_to) for code in provisional
        )

    def _progressed_directly(self, case: Case) -> bool:
        """Whether a continuation was recorded under a term that its source may turn into."""
        if not (case.before and case.after):
            return False
        sources = {outline.term for outline in case.followed.before}
        became = {outline.term for outline in case.followed.after} - sources
        return bool(became) and all(
            any(code in successors(source, self.given.terms) for source in sources)
            for code in became
        )

    def _decide_followed(self, case: Case) -> None:
        reason = self._why_not_comparable(case)
        if reason:
            self._close(case, model.NOT_COMPARABLE, reason)
        elif self._progressed_directly(case):
            case.became = case.followed.after[0].term
            case.term = self.term(case.followed.before[0].term)
            self._close(case, model.PROGRESSED)
        elif _seen_without_drawing(case):
            self._close(case, model.SEEN_NO_CHANGE_VISIBLE)
        else:
            size_finding = self._size_finding(case)
            count = len(case.before), len(case.after)
            course = model.SPLIT if count[1] > count[0] else model.MERGED
            if count[0] == count[1]:
                self._close(case, size_finding, self._in_part(case))
            else:
                case.size_finding = size_finding
                self._close(case, course, self._in_part(case))

    def _in_part(self, case: Case) -> str:
        share = min(one.share for one in (*case.before, *case.after))
        return "" if share > 1 - 1e-6 else f"compared in part: {share:.0%} of it was seen twice"

    def _size_finding(self, case: Case) -> str:
        """Return what the sizes alone say; counts of points are taken as exact."""
        before, after = (sum(one.size for one in side) for side in (case.before, case.after))
        growth = case.growth
        if growth is not None:
            shown = (growth.p_adjusted or 0.0) <= self.given.false_discovery_rate
        else:
            shown = True
        if not shown or before == after:
            return model.NO_CHANGE_SHOWN
        if after > before:
            seen_now = _share_of_difference(case.after, case.before, self.revealing())
            return model.REVEALED if seen_now >= MOST_OF_IT else model.GROWN
        acted_on = _share_of_difference(case.before, case.after, self.explaining(case.term))
        return model.TREATED if acted_on >= MOST_OF_IT else model.DRAWN_SMALLER

    def _decide_missing(self, case: Case) -> None:
        outline = case.followed.before[0]
        modes = modes_to_find(outline, case.term)
        noise = self.given.noise
        case.before_size = size_of(outline.shape, outline.kind)
        if not lies_in(outline, self.regions.looked_at(self.before, modes, None), noise):
            self._close(case, model.NOT_COMPARABLE, "drawn where its survey did not look")
        elif barred := self._set_aside_over(outline, modes):
            self._close(case, model.NOT_COMPARABLE, barred)
        elif not lies_in(outline, self.regions.looked_at(self.given.after, modes, None), noise):
            self._close(case, model.NOT_LOOKED_AT_AGAIN)
        elif self.under_facing(outline):
            self._close(case, model.NOT_COMPARABLE, "under a facing")
        elif not lies_in(outline, self._searched_after(modes, outline.term), noise):
            self._close(case, model.NOT_LOOKED_AT_AGAIN, "the term was not looked for there")
        elif share_in(outline, self.explaining(case.term)) >= MOST_OF_IT:
            self._close(case, model.TREATED)
        else:
            case.after_size = 0.0
            self._close(case, model.NOT_FOUND)

    def _searched_after(self, modes: tuple[str, ...], term: str) -> BaseGeometry:
        return self.regions.looked_at(self.given.after, modes, term)

    def under_facing(self, outline: Outline) -> bool:
        """Whether a facing, laid between the surveys or drawn by the later one, covers most."""
        facings = self._kept_as("facings", self._facings)
        return not is_facing(outline.term) and share_in(outline, facings) >= MOST_OF_IT

    def _facings(self) -> BaseGeometry:
        acts = [act.shape for act in self.acts if is_facing(act.term)]
        drawn = [one.shape for one in self.given.after.outlines if is_facing(one.term)]
        return union_of([*acts, *drawn])

    def _set_aside_over(self, outline: Outline, modes: tuple[str, ...]) -> str:
        for part in self.given.set_aside:
            if part.mode is not None and set(modes) != {part.mode}:
                continue
            if share_in(outline, part.shape) >= MOST_OF_IT:
                return part.reason
        return ""

    def _decide_appeared(self, case: Case) -> None:
        outline = case.followed.after[0]
        modes = modes_to_find(outline, case.term)
        noise = self.given.noise
        whole = size_of(outline.shape, outline.kind)
        case.after_size = whole
        clean_before = self.regions.looked_at(self.before, modes, outline.term)
        if not lies_in(outline, self.regions.looked_at(self.given.after, modes, None), noise):
            self._close(case, model.NOT_COMPARABLE, "drawn where its survey did not look")
        elif barred := self._set_aside_over(outline, modes):
            self._close(case, model.NOT_COMPARABLE, barred)
        elif share_in(outline, self.revealing()) >= MOST_OF_IT:
            self._close(case, model.REVEALED, "brought to view by cleaning or uncovering")
        elif lies_in(outline, clean_before, noise):
            share = share_in(outline, clean_before)
            case.before_size, case.after_size = 0.0, share * whole
            if share < 1 - 1e-6:
                case.first_seen_beside = (1 - share) * whole
            self._close(case, model.NEW)
        elif self._was_seen_otherwise(outline, modes):
            self._close(case, model.REVEALED, f"brought to view by {_words(set(modes))} light")
        else:
            self._close(case, model.FIRST_SEEN)

    def _was_seen_otherwise(self, outline: Outline, modes: tuple[str, ...]) -> bool:
        """Whether the place was seen before, but never in a mode that would have shown this."""
        if lies_in(outline, self.regions.looked_at(self.before, modes, None), self.given.noise):
            return False
        others = tuple(mode for mode in sorted(self.before.coverage) if mode not in modes)
        seen = self.regions.looked_at(self.before, others, None)
        return lies_in(outline, seen, self.given.noise)


def _term_of(item: Followed, terms: Mapping[str, TermRule]) -> str:
    """The item's term: a definite one before a provisional one, the later before the earlier."""
    codes = [outline.term for outline in (*item.after, *item.before)]
    definite = [code for code in codes if code not in terms or not terms[code].resolves_to]
    return (definite or codes)[0]


def _in_conflict(case: Case) -> bool:
    return any(outline.conflict for outline in case.outlines)


def _seen_without_drawing(case: Case) -> bool:
    return all(outline.basis == model.SEEN_NO_CHANGE for outline in case.followed.after)


def _share_of_difference(
    larger: Iterable[Measured], smaller: Iterable[Measured], region: BaseGeometry
) -> float:
    """Return how much of what the larger drawing has beyond the smaller one lies in a region."""
    if region.is_empty:
        return 0.0
    one, other = (shapely.union_all([part.inside for part in side]) for side in (larger, smaller))
    difference = shapely.difference(one, other)
    whole = _extent(difference)
    return _extent(shapely.intersection(difference, region)) / whole if whole else 0.0


def _extent(shape: BaseGeometry) -> float:
    return float(shape.area or shape.length or shapely.get_num_coordinates(shape))


def _words(modes: set[str]) -> str:
    return " or ".join(sorted(modes))


def _with_adjusted(growth: Growth, p_adjusted: float) -> Growth:
    return Growth(**{**growth.__dict__, "p_adjusted": p_adjusted})
