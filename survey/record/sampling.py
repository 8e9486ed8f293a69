"""What may be said of the cells that nobody looked at, when a random part was looked at?

Exact finite-wall statements (hypergeometric). Only cells drawn at random count: cells picked
because they are at risk prove nothing about the rest. No Django, no I/O.
"""

from dataclasses import dataclass
from math import comb, exp, lgamma

from gridmap.errors import InvalidInput

MAXIMUM_CELLS = 10_000


@dataclass(frozen=True)
class SamplingStatement:
    """An upper bound on changed cells from a random look at some of them.

    `at_most` holds if every change is noticed, `at_most_with_detection` if only the stated share
    of changes is. `detection` None means that no imperfect detection was asked for.
    """

    cells: int
    looked_at: int
    changed: int
    confidence: float
    size_of_change: str
    at_most: int
    detection: float | None
    at_most_with_detection: int | None

    @property
    def text(self) -> str:
        """The statement in one sentence, imperfect detection in it."""
        found = "none" if self.changed == 0 else f"{self.changed}"
        sentence = (
            f"{self.looked_at} of {self.cells} cells drawn at random, {found} found changed by "
            f"{self.size_of_change}: at {self.confidence:.0%} confidence at most {self.at_most} of "
            f"{self.cells} cells ({self.at_most / self.cells:.1%}) changed if every change is "
            f"noticed"
        )
        if self.detection is None or self.at_most_with_detection is None:
            return sentence + "."
        return (
            f"{sentence}; {self.at_most_with_detection} "
            f"({self.at_most_with_detection / self.cells:.1%}) if {self.detection:.0%} are."
        )


def sampling_statement(
    *,
    cells: int,
    looked_at: int,
    changed: int,
    size_of_change: str,
    detection: float | None = None,
    confidence: float = 0.95,
) -> SamplingStatement:
    """Return what a random look at some of the reachable cells allows to be said of all.

    Raises InvalidInput naming the field, its value and its limit.
    """
    return SamplingStatement(
        cells=cells,
        looked_at=looked_at,
        changed=changed,
        confidence=confidence,
        size_of_change=size_of_change,
        at_most=upper_bound(
            cells=cells, looked_at=looked_at, changed=changed, confidence=confidence
        ),
        detection=detection,
        at_most_with_detection=None
        if detection is None
        else upper_bound(
            cells=cells,
            looked_at=looked_at,
            changed=changed,
            detection=detection,
            confidence=confidence,
        ),
    )


def upper_bound(
    *,
    cells: int,
    looked_at: int,
    changed: int = 0,
    detection: float = 1.0,
    confidence: float = 0.95,
) -> int:
    """Return the largest number of changed cells that the sample does not rule out.

    The number D is ruled out when as few as `changed` would be noticed with a chance below
    1 - confidence (Clopper and Pearson's one-sided bound in its hypergeometric form).
    """
    _require(cells=cells, looked_at=looked_at, detection=detection, confidence=confidence)
    if not 0 <= changed <= looked_at:
        raise InvalidInput(
            f"changed: {changed} must be from 0 to the {looked_at} cells looked at.",
            field="changed",
        )
    limit = 1.0 - confidence
    low, high = changed, cells
    while low < high:  # the chance falls as D rises, so halving finds the last D not ruled out
        middle = (low + high + 1) // 2
        chance = chance_of_noticing_at_most(
            changed, cells=cells, changed_cells=middle, looked_at=looked_at, detection=detection
        )
        low, high = (middle, high) if chance >= limit else (low, middle - 1)
    return low


def cells_to_rule_out(
    changed_cells: int, *, cells: int, detection: float = 1.0, confidence: float = 0.95
) -> int | None:
    """Return how many random cells, all found unchanged, rule out so many changed cells or more.

    None if not even looking at every cell would (detection too low).
    """
    _require(cells=cells, looked_at=0, detection=detection, confidence=confidence)
    if not 1 <= changed_cells <= cells:
        raise InvalidInput(
            f"changed_cells: {changed_cells} must be from 1 to the {cells} cells of the wall.",
            field="changed_cells",
        )
    for looked_at in range(1, cells + 1):
        chance = chance_of_noticing_at_most(
            0, cells=cells, changed_cells=changed_cells, looked_at=looked_at, detection=detection
        )
        if chance < 1.0 - confidence:
            return looked_at
    return None


def chance_of_noticing_at_most(
    noticed: int, *, cells: int, changed_cells: int, looked_at: int, detection: float = 1.0
) -> float:
    """Return the chance of noticing at most so many changes.

    Changed cells in the sample are hypergeometric; each is noticed independently with the
    chance `detection`.
    """
    ways = _log_comb(cells, looked_at)
    total = 0.0
    for hit in range(max(0, looked_at + changed_cells - cells), min(changed_cells, looked_at) + 1):
        drawn = _log_comb(changed_cells, hit) + _log_comb(cells - changed_cells, looked_at - hit)
        total += exp(drawn - ways) * _noticing_at_most(noticed, hit, detection)
    return min(total, 1.0)


def _log_comb(of: int, chosen: int) -> float:
    return lgamma(of + 1) - lgamma(chosen + 1) - lgamma(of - chosen + 1)


def _noticing_at_most(noticed: int, hit: int, detection: float) -> float:
    if hit <= noticed:
        return 1.0
    return sum(
        comb(hit, count) * detection**count * (1.0 - detection) ** (hit - count)
        for count in range(noticed + 1)
    )


def _require(*, cells: int, looked_at: int, detection: float, confidence: float) -> None:
    if not 1 <= cells <= MAXIMUM_CELLS:
        raise InvalidInput(f"cells: {cells} must be from 1 to {MAXIMUM_CELLS:,}.", field="cells")
    if not 0 <= looked_at <= cells:
        raise InvalidInput(
            f"looked_at: {looked_at} must be from 0 to the {cells} cells of the wall.",
            field="looked_at",
        )
    if not 0.0 < detection <= 1.0:
        raise InvalidInput(
            f"detection: {detection} must be above 0 and at most 1.", field="detection"
        )
    if not 0.5 <= confidence < 1.0:
        raise InvalidInput(
            f"confidence: {confidence} must be at least 0.5 and below 1.", field="confidence"
        )
