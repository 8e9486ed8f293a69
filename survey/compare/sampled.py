"""What a comparison of some cells allows to be said of all, if those were drawn at random."""

from survey.compare.model import UNITS, Comparison
from survey.record.sampling import SamplingStatement, sampling_statement

MOST_SHARE = 0.5  # of all cells; a larger part is no sample any more
NOTICED_SHARE = 0.8  # of changes, in the headline; common practice, no source
CHANGED = frozenset({"new", "grown", "progressed", "split", "merged", "not found"})


def sampled(found: Comparison) -> SamplingStatement | None:
    """Return the statement where at most half of the cells were compared, else None.

    Beyond half, the cells left out are few and stand in a list of their own.
    """
    compared = {state.cell for state in found.cell_states if state.state == "compared"}
    if not 0 < len(compared) <= MOST_SHARE * len(found.cell_states):
        return None
    changed = {
        cell for item in found.items if item.finding in CHANGED for cell in item.cells
    } & compared
    return sampling_statement(
        cells=len(found.cell_states),
        looked_at=len(compared),
        changed=len(changed),
        size_of_change=_size_of_change(found),
        detection=NOTICED_SHARE,
    )


def _size_of_change(found: Comparison) -> str:
    """Name the change that every tested area would reliably have shown."""
    areas = [
        item.growth.reliably_seen for item in found.items if item.growth and item.kind == "area"
    ]
    if not areas:
        return "what the eye shows"
    return f"at least {max(areas):.1f} {UNITS['area'].replace('_', ' ')}"
