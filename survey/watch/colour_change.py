"""Has the colour of a spot changed by more than measuring it twice would show?

CIEDE2000 between the means of two sets of readings of one spot, the instrument lifted and laid
again for each. A difference under the repeatability is nothing; one above it is a difference of
readings, and dirt, damp or another instrument make one as well as fading. No Django, no I/O.
"""

from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.colour import ciede2000
from gridmap.errors import InvalidInput
from survey.watch.spans import Floats, numbers, within

FEWEST_READINGS: Final = 3  # per set; five lifts through a template are usual (no source)
USUAL_READINGS: Final = 5
THRESHOLD, RELIABLY_SEEN = 1.96, 3.24  # of the standard error of the difference
JUST_NOTICEABLE: Final = 1.0  # ΔE00, a convention


@dataclass(frozen=True)
class SpotSet:
    """One set of readings of a spot: mean L*a*b* and the scatter about it.

    `scatter_de` is the standard deviation of a single reading in ΔE00, all directions together.
    """

    mean_lab: Floats
    readings: int
    scatter_de: float


@dataclass(frozen=True)
class ColourChange:
    """ΔE00 between two sets, with what can be told apart.

    `threshold_de`: a larger difference is shown. `reliably_seen_de`: a change of this size would
    be shown nine times in ten.
    """

    delta_e: float
    delta_l: float
    delta_a: float
    delta_b: float
    repeatability_de: float
    threshold_de: float
    reliably_seen_de: float
    shown: bool
    statement: str


def spot_set(readings_lab: ArrayLike) -> SpotSet:
    """Return mean and scatter of readings: rows of L* (0 to 100), a*, b* (-150 to 150).

    Rows with a missing value are left out.
    """
    held = numbers(readings_lab, name="readings")
    if held.ndim != 2 or held.shape[1] != 3:
        raise InvalidInput("Each reading needs L*, a* and b*.", field="readings")
    held = held[~np.isnan(held).any(axis=1)]
    within(held[:, 0], name="L*", unit="", least=0.0, most=100.0)
    within(held[:, 1:], name="a* or b*", unit="", least=-150.0, most=150.0)
    count = held.shape[0]
    if count < FEWEST_READINGS:
        raise InvalidInput(
            f"{count} reading{'' if count == 1 else 's'} of this spot; at least {FEWEST_READINGS} "
            f"show how well they repeat ({USUAL_READINGS} are usual, lifting each time).",
            field="readings",
        )
    mean = held.mean(axis=0)
    apart = ciede2000(held, mean)
    return SpotSet(mean, count, sqrt(float((apart**2).sum()) / (count - 1)))


def repeatability_de(*sets: SpotSet) -> float:
    """Return the pooled standard deviation of one reading [ΔE00]."""
    freedom = sum(one.readings - 1 for one in sets)
    squares = sum((one.readings - 1) * one.scatter_de**2 for one in sets)
    return sqrt(squares / freedom)


def colour_change(before: SpotSet, after: SpotSet, *, instrument_de: float = 0.0) -> ColourChange:
    """Return the difference of two sets of readings of one spot.

    `instrument_de` is the standard error between the two days by the instrument itself (its white
    tile read on both), in ΔE00. The threshold is 1.96 standard errors of a difference of means; as
    ΔE00 gathers three directions this errs on the side of showing too little.
    """
    within(instrument_de, name="instrument error", unit="ΔE00", least=0.0, most=20.0)
    found = float(ciede2000(before.mean_lab, after.mean_lab))
    single = repeatability_de(before, after)
    error = sqrt(single**2 * (1 / before.readings + 1 / after.readings) + instrument_de**2)
    threshold = THRESHOLD * error
    shown = found > threshold
    steps = after.mean_lab - before.mean_lab
    said = (
        f"ΔE00 {found:.2f} between {before.readings} and {after.readings} readings; one reading "
        f"repeats within {single:.2f}"
    )
    said += (
        f": more than the {threshold:.2f} that repeating explains."
        if shown
        else f": no change shown, up to {threshold:.2f} is explained by repeating."
    )
    if shown and found < JUST_NOTICEABLE:
        said += " By convention an eye does not see a difference under 1."
    return ColourChange(
        delta_e=found,
        delta_l=float(steps[0]),
        delta_a=float(steps[1]),
        delta_b=float(steps[2]),
        repeatability_de=single,
        threshold_de=threshold,
        reliably_seen_de=RELIABLY_SEEN * error,
        shown=shown,
        statement=said,
    )
