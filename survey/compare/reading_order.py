"""In which order are findings read? What changed first, then by term and item. Pure."""

import re
from collections.abc import Iterable

from survey.compare.model import FINDINGS, ItemFinding

PLACE_OF_FINDING = {finding: place for place, finding in enumerate(FINDINGS)}


def changed_first(items: Iterable[ItemFinding]) -> list[ItemFinding]:
    """Return the items, those that changed first; within a finding by term, L9 before L10."""
    return sorted(items, key=_place)


def _place(item: ItemFinding) -> tuple[int, str, list[tuple[int, str]]]:
    parts = [
        (int(part), "") if part.isdigit() else (-1, part)
        for part in re.findall(r"[0-9]+|[^0-9]+", item.item)
    ]
    return PLACE_OF_FINDING[item.finding], item.term, parts
