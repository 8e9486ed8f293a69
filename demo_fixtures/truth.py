"""What has happened to the invented wall, piece by piece and day by day?

The truth behind photographs and surveys, from one seed. A survey never sees it: it sees a
photograph of it, or a hand's drawing of it. Invented demo data.
"""

import numpy as np

from demo_fixtures import truth_before, truth_during, truth_made
from demo_fixtures.damage import Damage
from demo_fixtures.site import Site, Tally

SEED = 1936
# What has a fixed place comes first, what needs most room before what fits anywhere.
MAKERS = (
    *truth_before.FIRST_MAKERS,
    *truth_made.FIRST_MAKERS,
    *truth_before.MAKERS,
    *truth_made.MAKERS,
    *truth_during.MAKERS,
)


def all_damage(seed: int = SEED) -> tuple[Damage, ...]:
    """Return every piece of damage, of making and of earlier repair, in a fixed order."""
    site, tally = Site(np.random.default_rng([seed, 2026])), Tally()
    found: list[Damage] = []
    for maker in MAKERS:
        found += maker(site, tally)
    return tuple(found)
