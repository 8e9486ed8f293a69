"""Which changes cannot happen of themselves, and what may explain them?

A broken rule raises a query that a person decides; nothing is corrected here. Rules: N never
smaller, G gap may open or close but not shorten, V may come and go, F fixed evidence, R changes
only by a logged act, A accumulates freely and diminishes only by a logged act.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence

from survey.compare.model import (
    DRAWN_SMALLER,
    GROWN,
    NEW,
    NOT_FOUND,
    Act,
    ItemFinding,
    Outline,
    Query,
    TermRule,
)

EXPLANATIONS: Mapping[str, str] = {
    "other-hand": "another hand drew it",
    "other-light": "it was seen in another light",
    "hidden-edge": "a part of its edge was hidden",
    "unlogged-act": "an act was not logged",
    "wrong-item": "the wrong item was followed",
    "real-change": "the wall changed",
}
LIKELIEST_FIRST = tuple(EXPLANATIONS)  # story's order; evidence on record moves one to the front

FACING_RULE = "facing"
TERM_RULE = "term"
UNEXAMINED_TREATMENT_RULE = "treatment-unexamined"
UNEXAMINED_OUTLINE_RULE = "outline-unexamined"

_BROKEN_BY: Mapping[str, frozenset[str]] = {
    "N": frozenset({DRAWN_SMALLER, NOT_FOUND}),
    "G": frozenset({DRAWN_SMALLER, NOT_FOUND}),
    "A": frozenset({DRAWN_SMALLER, NOT_FOUND}),
    "F": frozenset({DRAWN_SMALLER, NOT_FOUND, GROWN, NEW}),
    "R": frozenset({DRAWN_SMALLER, NOT_FOUND, GROWN, NEW}),
    "V": frozenset(),
}
_SAYS: Mapping[str, str] = {
    "N": "It does not grow smaller of itself, and no act that explains it is logged",
    "G": "A gap may close but its length does not shorten of itself",
    "A": "It diminishes only by a logged act, and none is logged here",
    "F": "It is fixed evidence: any change is damage or a matter of visibility",
    "R": "It changes only by a logged act, and none is logged here",
    "V": "A change of it is to be looked at",
}


def rule_of(term: TermRule) -> str:
    """Return the rule's letter; an unknown one counts as V, which claims nothing."""
    letter = term.rule[:1].upper()
    return letter if letter in _BROKEN_BY else "V"


def breaks_rule(finding: ItemFinding, term: TermRule) -> bool:
    """Whether a finding contradicts its term's rule.

    Split and merged items break it only if their sizes together shrank beyond the threshold.
    """
    broken = _BROKEN_BY[rule_of(term)]
    if term.query_on_change:
        broken = broken | {DRAWN_SMALLER, NOT_FOUND, GROWN}
    return size_finding(finding) in broken


def size_finding(finding: ItemFinding) -> str:
    """Return what the sizes say where *split* or *merged* names the item's course instead."""
    if finding.finding in ("split", "merged") and finding.growth is not None:
        return finding.size_finding or finding.finding
    return finding.finding


def rule_query(
    finding: ItemFinding,
    term: TermRule,
    outlines: Sequence[Outline],
    *,
    edge_hidden: bool,
) -> Query:
    """Return the query of a broken rule, explanations ranked by what is on record."""
    rule = rule_of(term)
    return query(
        item=finding.item,
        rule=rule,
        message=f"{_what_happened(finding, term)} {_SAYS[rule]}. Undecided until a person decides.",
        objects=[(outline.id, outline.head) for outline in outlines],
        explanations=_ranked(finding, outlines, edge_hidden=edge_hidden),
        alarm=rule == "F" and size_finding(finding) in (DRAWN_SMALLER, NOT_FOUND, GROWN),
    )


def query(
    *,
    item: str,
    rule: str,
    message: str,
    objects: Iterable[tuple[str, str]],
    explanations: Sequence[str] = (),
    alarm: bool = False,
) -> Query:
    """Return a query with its key over rule, object ids and head digests."""
    pairs = sorted(set(objects))
    return Query(
        item=item,
        rule=rule,
        message=message,
        key=query_key(rule=rule, objects=pairs),
        object_ids=tuple(dict.fromkeys(object_id for object_id, _ in pairs)),
        explanations=tuple(explanations),
        alarm=alarm,
    )


def query_key(*, rule: str, objects: Iterable[tuple[str, str]]) -> str:
    """Return the SHA-256 [hex] of rule, object ids and head digests in canonical JSON."""
    sealed = {"objects": [list(pair) for pair in sorted(set(objects))], "rule": rule}
    text = json.dumps(sealed, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def successors(term: str, terms: Mapping[str, TermRule]) -> frozenset[str]:
    """Return every term that this one may turn into, directly or in steps."""
    found: set[str] = set()
    waiting = [term]
    while waiting:
        rule = terms.get(waiting.pop())
        for code in rule.progresses_to if rule else ():
            if code not in found:
                found.add(code)
                waiting.append(code)
    return frozenset(found - {term})


def explains(act: Act, term: TermRule) -> bool:
    """Whether an act can make a term vanish or shrink.

    Cleaning takes what lies on the surface and what rests on a logged act; a facing only hides;
    a sample or a hole takes nothing of the kind away; fills and consolidation the rest.
    """
    code = act.term
    if is_facing(code) or code.startswith(("sample", "drilled", "adhesive")):
        return False
    if code.startswith("clean"):
        return term.layer.lower() == "surface" or rule_of(term) in "RAV"
    return True


def is_facing(code: str) -> bool:
    return code.split("-")[0] == "facing"


def _what_happened(finding: ItemFinding, term: TermRule) -> str:
    name = term.name or term.code
    where = f" in {', '.join(finding.cells[:3])}" if finding.cells else ""
    said = f"{name} {finding.item}{where}".strip()
    if finding.before is None or finding.after is None:
        return f"{said}: {finding.finding}."
    unit = {"area": "sq in", "line": "in", "point": "places"}[finding.kind]
    digits = 0 if finding.kind == "point" else 2
    sizes = f"{finding.before:.{digits}f} → {finding.after:.{digits}f} {unit}"
    if finding.growth is None:
        return f"{said}: {size_finding(finding)}, {sizes}."
    return f"{said}: {size_finding(finding)}, {sizes}, threshold {finding.growth.threshold:.2f}."


def _ranked(
    finding: ItemFinding, outlines: Sequence[Outline], *, edge_hidden: bool
) -> tuple[str, ...]:
    growth = finding.growth
    evidence = {
        "other-hand": len({outline.hand for outline in outlines}) > 1,
        "other-light": len({outline.mode for outline in outlines}) > 1,
        "hidden-edge": edge_hidden,
        "wrong-item": finding.followed_by == "overlap",
    }
    if growth is not None and growth.same_hand:
        unlikely = {"other-hand"}
    else:
        unlikely = set()
    first = [code for code in LIKELIEST_FIRST if evidence.get(code)]
    rest = [code for code in LIKELIEST_FIRST if code not in first and code not in unlikely]
    return (*first, *rest, *sorted(unlikely - set(first)))
