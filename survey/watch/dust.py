"""How fast does dust settle, and how long until it can be seen?

From glass slides laid horizontally: the share of the glass that dust covers, or the loss of
reflectance in soiling units. Published thresholds differ sixtyfold with the task that observers
were given, and none was found for patterned matt paint: they are offered with that caution. The
works are judged against the wall's own weeks before. No Django, no I/O.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.spans import DAY_S, Floats, positive, within

CAUTION: Final = "No threshold is published for patterned matt paint."


@dataclass(frozen=True)
class DustThreshold:
    """A published threshold of coverage [% of area], with its task and source."""

    key: str
    coverage_pct: float
    task: str
    source: str
    label: str = "confirmed"


_HANCOCK: Final = "R. P. Hancock et al., Visual Response to Dustiness (1976), abstract"
_BELLAN: Final = "L. M. Bellan, L. G. Salmon & G. R. Cass, Environ. Sci. Technol. 34 (2000) 1946"
OFFERED: Final = (
    DustThreshold("just-seen", 0.2, "just perceptible, best contrast", _HANCOCK),
    DustThreshold("difference-seen", 0.45, "smallest perceptible difference", _HANCOCK),
    DustThreshold("unfit", 0.7, "object judged unfit", _HANCOCK),
    DustThreshold("soot-some", 2.4, "soot on art, edge to edge, some observers", _BELLAN),
    DustThreshold("soot-most", 3.6, "soot on art, edge to edge, nine in ten", _BELLAN),
    DustThreshold("soot-apart", 12.0, "soot, samples apart", _BELLAN),
)
TOLERABLE_PCT_PER_DAY: Final = 0.17  # source: Hancock et al. 1976, abstract


def coverage_rate_pct_per_day(
    before_pct: float, after_pct: float, *, start_s: float, end_s: float
) -> float:
    """Return how much of the glass dust covers per day [% of area per day] (0 to 100 %).

    Times s UTC. A negative rate is given as it is: the slide was wiped, or the readings' error is
    larger than the dust.

    >>> round(coverage_rate_pct_per_day(0.5, 1.9, start_s=0.0, end_s=7 * 86400.0), 2)
    0.2
    """
    both = within([before_pct, after_pct], name="coverage", unit="%", least=0.0, most=100.0)
    days = positive(end_s - start_s, name="time on the wall", unit="s") / DAY_S
    return float(both[1] - both[0]) / days


def soiling_units(reflectance: ArrayLike, clean_reflectance: ArrayLike) -> Floats:
    """Return soiling units: percent of the clean reflectance or gloss that is lost.

    100 (1 − R/R₀) (dust-gauge literature, from memory). R and R₀ in one unit, R₀ above 0.
    """
    dusty = within(reflectance, name="reflectance", unit="", least=0.0, most=2000.0)
    clean = within(clean_reflectance, name="clean reflectance", unit="", least=0.0, most=2000.0)
    if (clean == 0).any():
        raise InvalidInput("clean reflectance: 0 cannot become less.", field="clean_reflectance")
    return 100.0 * (1.0 - dusty / clean)


def days_to(threshold_pct: float, *, rate_pct_per_day: float, now_pct: float = 0.0) -> float | None:
    """Return the days until a coverage is reached at this rate; 0 if it is, None if it never is."""
    within([threshold_pct, now_pct], name="coverage", unit="%", least=0.0, most=100.0)
    left = threshold_pct - now_pct
    if left <= 0:
        return 0.0
    return left / rate_pct_per_day if rate_pct_per_day > 0 else None


@dataclass(frozen=True)
class DustWeek:
    """A week's rate against the median of the weeks before the works."""

    rate_pct_per_day: float
    usual_pct_per_day: float
    weeks_before: int
    ratio: float
    statement: str


def against_before(rate_pct_per_day: float, before_pct_per_day: Sequence[float]) -> DustWeek:
    """Return how many times the pre-works median a rate is (limits are agreed on this ratio)."""
    before = within(
        before_pct_per_day, name="rate before the works", unit="%/day", least=-100.0, most=100.0
    )
    known = before[~np.isnan(before)]
    if known.size == 0:
        raise InvalidInput(
            "No week before the works was measured, so nothing can be said against it.",
            field="before",
        )
    usual = float(np.median(known))
    if not usual > 0:
        raise InvalidInput(
            f"The median before the works is {usual:g} %/day; a ratio needs one above 0. Longer "
            "exposures show smaller rates.",
            field="before",
        )
    ratio = float(within(rate_pct_per_day, name="rate", unit="%/day", least=-100, most=100)) / usual
    return DustWeek(
        rate_pct_per_day,
        usual,
        int(known.size),
        ratio,
        f"{rate_pct_per_day:.2f} % of area per day, {ratio:.1f} times the median of "
        f"{known.size} week{'' if known.size == 1 else 's'} before the works "
        f"({usual:.2f}). {CAUTION}",
    )
