"""Which statements on record contradict each other?

Broken term rules and contradictions across records become queries. Nothing is corrected and
nothing is decided here.
"""

from collections.abc import Iterable, Sequence

import shapely

from survey.compare import model
from survey.compare.items import Case, Judge
from survey.compare.measured import share_in
from survey.compare.model import CompareInput, ItemFinding, Query
from survey.compare.regions import MOST_OF_IT, modes_to_find, union_of
from survey.compare.rules import (
    FACING_RULE,
    TERM_RULE,
    UNEXAMINED_OUTLINE_RULE,
    UNEXAMINED_TREATMENT_RULE,
    breaks_rule,
    is_facing,
    query,
    rule_of,
    rule_query,
    size_finding,
)

WHOLE = 1 - 1e-6


def all_queries(
    given: CompareInput, judge: Judge, cases: Sequence[Case], items: Sequence[ItemFinding]
) -> tuple[Query, ...]:
    """Return every query of a comparison, in the order of its items, then of its acts."""
    found: list[Query] = []
    for case, item in zip(cases, items, strict=True):
        if breaks_rule(item, case.term) and not _is_explained(judge, case, item):
            edge_hidden = any(one.share < WHOLE for one in (*case.before, *case.after))
            found.append(rule_query(item, case.term, case.outlines, edge_hidden=edge_hidden))
        found += _of_record(judge, case, item)
    return (*found, *_treated_unseen(given, judge))


def _is_explained(judge: Judge, case: Case, item: ItemFinding) -> bool:
    """Whether a logged act lies where a term that changes only by acts came or grew."""
    if rule_of(case.term) != "R" or size_finding(item) not in (model.NEW, model.GROWN):
        return False
    acted = union_of(act.shape for act in judge.acts)
    return all(share_in(outline, acted) >= MOST_OF_IT for outline in case.followed.after)


def _of_record(judge: Judge, case: Case, item: ItemFinding) -> Iterable[Query]:
    earlier, later = case.followed.before, case.followed.after
    if earlier and not later and judge.under_facing(earlier[0]):
        yield _query(case, item, FACING_RULE, "was not drawn again, but a facing lies over it")
    codes = {outline.term for outline in earlier}, {outline.term for outline in later}
    if earlier and later and "recorded as" in case.reason:
        yield _query(
            case, item, TERM_RULE, f"was {_words(codes[0])} and is continued as {_words(codes[1])}"
        )
    for survey, outlines in ((judge.before, earlier), (judge.given.after, later)):
        if not survey.coverage:
            continue
        for outline in outlines:
            seen = judge.regions.looked_at(
                survey, modes_to_find(outline, judge.term(outline.term)), None
            )
            if not shapely.intersects(seen, outline.shape):
                yield _query(
                    case,
                    item,
                    UNEXAMINED_OUTLINE_RULE,
                    f"is drawn in survey {survey.code} where that survey says it did not look",
                )


def _query(case: Case, item: ItemFinding, rule: str, what: str) -> Query:
    return query(
        item=item.item,
        rule=rule,
        message=f"{case.term.name or case.term.code} {item.item} {what}.",
        objects=[(outline.id, outline.head) for outline in case.outlines],
        explanations=("correct-entry", "wrong-item"),
    )


def _treated_unseen(given: CompareInput, judge: Judge) -> list[Query]:
    """A treatment where the later survey saw nothing was not followed up."""
    if not given.after.coverage:
        return []
    return [
        query(
            item=act.name or act.term,
            rule=UNEXAMINED_TREATMENT_RULE,
            message=(
                f"{act.name or act.term} is logged where survey {given.after.code} "
                f"examined nothing."
            ),
            objects=[(act.id or act.term, act.head)],
            explanations=("correct-entry",),
        )
        for act in judge.acts
        if not is_facing(act.term) and not shapely.intersects(judge.regions.seen_after, act.shape)
    ]


def _words(codes: set[str]) -> str:
    return " and ".join(sorted(codes))
