"""Are findings read in the order in which a person wants them?"""

from survey.compare.model import ItemFinding
from survey.compare.reading_order import changed_first


def found(item, finding, term="paint-loss"):
    return ItemFinding(item, term, "area", finding, 1.0, 1.0, after_ids=(item,))


def test_what_changed_comes_before_what_did_not():
    items = [found("L1", "no change shown"), found("L2", "grown"), found("L3", "new")]

    assert [item.item for item in changed_first(items)] == ["L3", "L2", "L1"]


def test_numbers_in_labels_count_as_numbers():
    items = [found(label, "new") for label in ("L10", "L9", "C17-2", "C17-10", "L")]

    assert [item.item for item in changed_first(items)] == ["C17-2", "C17-10", "L", "L9", "L10"]
