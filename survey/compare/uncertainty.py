"""How far may two drawings of the same damage differ when nothing has changed?

Model (own; Var = sigma^2 P L is the variance of the area under a boundary displaced by a
stationary error with standard deviation sigma and integral correlation length L): SD of one area
= sigma * sqrt(P * L). Another hand or session shifts the whole boundary: bias SD * P, in
quadrature. Nothing here knows of surveys or terms.
"""

from collections.abc import Sequence
from math import erfc, hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from survey.compare.model import Growth

THRESHOLD_SE = 1.96  # two-sided 5 %: standard normal table
RELIABLY_SEEN_SE = (
    3.24  # 1.96 + 1.28: seen in nine of ten cases (90 % power), standard normal table
)
ENDS_OF_A_LINE = 2


def drawn_error_in(boundary_error_in: float, picture_error_in: float | None) -> float:
    """Return the standard error [in] of a drawn border: of the drawing, and of the place of the
    picture that it was drawn over, in quadrature (independent of each other).

    >>> round(drawn_error_in(0.06, 0.08), 3)
    0.1
    """
    return hypot(boundary_error_in, picture_error_in or 0.0)


def area_sd_sq_in(
    *, boundary_error_in: float, perimeter_in: float, correlation_length_in: float
) -> float:
    """Return the standard deviation [sq in] of one drawn area.

    >>> round(area_sd_sq_in(boundary_error_in=0.06, perimeter_in=20, correlation_length_in=0.5), 2)
    0.19
    """
    return boundary_error_in * sqrt(perimeter_in * correlation_length_in)


def length_sd_in(*, boundary_error_in: float, ends: int) -> float:
    """Return the standard deviation [in] of one drawn length: each end is placed with the
    boundary error, independently (common practice, no source)."""
    return boundary_error_in * sqrt(ends)


def difference_sd(
    sd_before: float, sd_after: float, *, shift: float, bias_sds_in: Sequence[float]
) -> float:
    """Return the standard error of a difference.

    `shift` is what one inch of bias adds to the size: the perimeter [in] of an area, the number
    of ends of a line. `bias_sds_in` are those that apply (another hand, another session).
    """
    return hypot(sd_before, sd_after, *(bias * shift for bias in bias_sds_in))


def growth(
    before: float,
    after: float,
    *,
    standard_error: float,
    same_hand: bool,
    same_session: bool,
) -> Growth:
    """Return the tested difference of two sizes; a standard error of 0 makes any change certain."""
    difference = after - before
    if standard_error > 0:
        z = difference / standard_error
    else:
        z = 0.0 if difference == 0 else float("inf") * (1 if difference > 0 else -1)
    return Growth(
        before=before,
        after=after,
        standard_error=standard_error,
        z=z,
        p=two_sided_p(z),
        threshold=THRESHOLD_SE * standard_error,
        reliably_seen=RELIABLY_SEEN_SE * standard_error,
        same_hand=same_hand,
        same_session=same_session,
    )


def two_sided_p(z: float) -> float:
    """Return the chance of a standard normal value at least as far from 0 as z."""
    return erfc(abs(z) / sqrt(2.0))


def adjusted_for_false_discoveries(p_values: Sequence[float]) -> NDArray[np.float64]:
    """Return p-values after Benjamini and Hochberg's step-up, in the order given.

    Source: Benjamini and Hochberg 1995, Journal of the Royal Statistical Society B 57, 289-300.
    """
    p = np.asarray(p_values, dtype=float)
    count = len(p)
    if not count:
        return p
    order = np.argsort(p)[::-1]
    scaled = p[order] * count / np.arange(count, 0, -1)
    adjusted = np.empty(count)
    adjusted[order] = np.minimum(np.minimum.accumulate(scaled), 1.0)
    return adjusted
