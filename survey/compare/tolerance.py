"""Which drawing tolerance a person means. No Django, no I/O."""

from gridmap.errors import InvalidInput
from gridmap.lengths import parse_length_in

LARGEST_TOLERANCE_IN = 12.0


def read_tolerance_in(text: str) -> float:
    """Read a drawing tolerance; raises InvalidInput below 0 or beyond 12 in."""
    tolerance_in = parse_length_in(text, field="tolerance", minimum_in=0.0)
    if tolerance_in > LARGEST_TOLERANCE_IN:
        raise InvalidInput(
            f"tolerance: {text!r} is above the limit of {LARGEST_TOLERANCE_IN:g} in.",
            field="tolerance",
        )
    return tolerance_in
