"""Does a comparison of some cells say what they allow to be said of all, and nothing otherwise?"""

from survey.compare.model import CellState, Comparison, ItemFinding
from survey.compare.sampled import sampled


def comparison_of(compared, cells=294, items=()):
    states = tuple(
        CellState(f"X{n}", "compared" if n < compared else "not examined", 576.0, 576.0)
        for n in range(cells)
    )
    return Comparison(
        before="B1",
        after="W1",
        tolerance_in=0.0,
        compared_sq_in=0.0,
        not_compared_sq_in=0.0,
        terms=(),
        cells=(),
        zones=(),
        decks=(),
        items=tuple(items),
        queries=(),
        tested=0,
        false_discovery_rate=0.05,
        cell_states=states,
    )


def test_sixty_unchanged_cells_of_the_wall_leave_room_for_twelve():
    statement = sampled(comparison_of(60))

    # source: hypergeometric bound; 12 of 294, and 16 if four changes in five are noticed, are the
    # worked figures of the invented wall, checked against scipy in tests/survey/record
    assert (statement.looked_at, statement.changed) == (60, 0)
    assert (statement.at_most, statement.at_most_with_detection) == (12, 16)


def test_only_changes_inside_compared_cells_count():
    items = [
        ItemFinding("L1", "paint-loss", "area", "new", 0.0, 4.0, after_ids=("a",), cells=("X3",)),
        ItemFinding("L2", "paint-loss", "area", "new", 0.0, 4.0, after_ids=("b",), cells=("X99",)),
        ItemFinding(
            "L3", "paint-loss", "area", "no change shown", 4.0, 4.0, after_ids=("c",), cells=("X4",)
        ),
    ]

    assert sampled(comparison_of(60, items=items)).changed == 1


def test_more_than_half_a_wall_and_no_wall_need_no_sampling():
    assert sampled(comparison_of(147)) is not None
    assert sampled(comparison_of(148)) is None
    assert sampled(comparison_of(294)) is None
    assert sampled(comparison_of(0)) is None
