"""Do readings rise or fall over the years, and how small a change could have been seen at all?

Mann-Kendall with ties and the correction of Hamed & Rao for serial correlation, the slope of
Theil and Sen, and what is detectable. With a few dozen readings that correction alone still shows
a trend in one series out of five that has none (serial correlation 0.6), so the variance is taken
no smaller than that of a first-order process. On a year or less no trend is stated, because the
seasons alone make one. No Django, no I/O.
"""

from dataclasses import dataclass
from math import erfc, sqrt
from statistics import NormalDist
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.regression import least_squares
from survey.watch.spans import YEAR_S, Floats, heard, numbers, positive

FEWEST_READINGS: Final = 10  # the normal approximation of S; Kendall 1975, from memory
MOST_READINGS: Final = 3000  # pairs grow with the square
RELIABLY_SEEN: Final = 3.24  # 1.96 + 1.28: two-sided 95 %, seen with 90 % power


@dataclass(frozen=True)
class MannKendall:
    """The test of Mann and Kendall; `p` takes no heed of serial correlation, `corrected_p` does.

    `factor` is that of the variance (Hamed & Rao); below 1 it would make the test less strict,
    so that `governing_p` is the larger of the two. At 0 or below it says nothing and both are
    alike.
    """

    readings: int
    s: int
    variance: float
    z: float
    p: float
    factor: float
    corrected_z: float
    corrected_p: float

    @property
    def governing_p(self) -> float:
        """The p of the stricter of both tests."""
        return max(self.p, self.corrected_p)


@dataclass(frozen=True)
class Slope:
    """The median of all slopes between two readings, with its interval."""

    slope: float
    low: float
    high: float


@dataclass(frozen=True)
class Trend:
    """A trend in units per year, with its interval and the tests behind it.

    `variance_factor` is the larger of Hamed & Rao's and that of a first-order process, not below
    1; `p` and the interval use it.
    """

    slope: Slope
    least_squares_slope: float
    test: MannKendall
    variance_factor: float
    p: float
    years: float
    statement: str


@dataclass(frozen=True)
class NoTrend:
    """Why no trend is stated."""

    reason: str


def trend(
    times_s: ArrayLike, values: ArrayLike, *, unit: str, confidence: float = 0.95
) -> Trend | NoTrend:
    """Return the trend of a series per year, or why none is stated (times s UTC; NaN = missing).

    Readings should be evenly spaced (monthly, or means of like stretches).
    """
    times, held = heard(times_s, values)
    reason = too_short(times)
    if reason is not None:
        return NoTrend(reason)
    if np.ptp(held) == 0:
        return NoTrend("All readings are alike: a change below the instrument's step is not seen.")
    years = (times - times[0]) / YEAR_S
    test = mann_kendall(held)
    line = least_squares(np.column_stack((np.ones(years.size), years)), held)
    phi = line.serial_correlation
    factor = max(test.factor, (1 + phi) / (1 - phi))  # the second is never below 1
    slope = theil_sen(years, held, confidence=confidence, variance_factor=factor)
    p = _two_sided(test.z / sqrt(factor))
    verdict = "a trend is shown" if p < 1 - confidence else "no trend is shown"
    statement = (
        f"{verdict.capitalize()} at {confidence:.0%} confidence: {slope.slope:+.3g} {unit} "
        f"per year ({slope.low:+.3g} to {slope.high:+.3g}), {test.readings} readings in "
        f"{years[-1]:.1f} years, Mann-Kendall p = {p:.2g} with serial "
        "correlation allowed for."
    )
    return Trend(
        slope=slope,
        least_squares_slope=float(line.coefficients[1]),
        test=test,
        variance_factor=factor,
        p=p,
        years=float(years[-1]),
        statement=statement,
    )


def too_short(times_s: Floats) -> str | None:
    """Return why a record is too short for a trend; None if it is not."""
    if times_s.size < FEWEST_READINGS:
        return (
            f"{times_s.size} readings are too few for a trend; {FEWEST_READINGS} in more than a "
            "year are the least."
        )
    if times_s.size > MOST_READINGS:
        raise InvalidInput(
            f"{times_s.size:,} readings: take daily or monthly means first; at most "
            f"{MOST_READINGS:,} can be compared each with each.",
            field="values",
        )
    days = float(times_s[-1] - times_s[0]) / 86_400.0
    if times_s[-1] - times_s[0] <= YEAR_S:
        return (
            f"The record covers {days:.0f} days. On a year or less the seasons alone make a "
            "trend, so none is stated."
        )
    return None


def mann_kendall(values: ArrayLike, *, significance: float = 0.05) -> MannKendall:
    """Test evenly spaced readings for a rise or fall (Mann 1945, Kendall 1975; ties corrected).

    The variance correction is that of K. H. Hamed & A. R. Rao, J. Hydrol. 204 (1998) 182: of the
    autocorrelations of the ranks, Theil-Sen's slope taken off, those beyond the bounds of
    `significance` count.
    """
    held = numbers(values, name="values")
    held = held[~np.isnan(held)]
    count = held.size
    if not FEWEST_READINGS <= count <= MOST_READINGS:
        raise InvalidInput(
            f"{count} readings: the test needs {FEWEST_READINGS} to {MOST_READINGS:,}.",
            field="values",
        )
    s = int(sum(np.sign(held[i + 1 :] - held[i]).sum() for i in range(count - 1)))
    variance = _variance(held)
    if variance == 0:
        raise InvalidInput("All readings are alike: there is nothing to test.", field="values")
    factor = _hamed_rao_factor(held, significance=significance)
    z = _z(s, variance)
    corrected = _z(s, variance * factor) if factor > 0 else z
    return MannKendall(
        count, s, variance, z, _two_sided(z), factor, corrected, _two_sided(corrected)
    )


def theil_sen(
    at: ArrayLike, values: ArrayLike, *, confidence: float = 0.95, variance_factor: float = 1.0
) -> Slope:
    """Return the median of all slopes between two readings and its interval.

    P. K. Sen, J. Am. Stat. Assoc. 63 (1968) 1379. `at` in any unit, rising; a variance factor
    above 1 (serial correlation) widens the interval.
    """
    places, held = numbers(at, name="at"), numbers(values, name="values")
    if places.shape != held.shape or places.ndim != 1 or not 2 <= held.size <= MOST_READINGS:
        raise InvalidInput("Slopes need two readings or more, one for each time.", field="values")
    first, second = np.triu_indices(held.size, k=1)
    run = places[second] - places[first]
    slopes = np.sort((held[second] - held[first])[run > 0] / run[run > 0])
    if slopes.size == 0:
        raise InvalidInput("All readings belong to one moment.", field="at")
    reach = NormalDist().inv_cdf((1 + confidence) / 2) * sqrt(_variance(held) * variance_factor)
    low = max(round((slopes.size - reach) / 2) - 1, 0)
    high = min(round((slopes.size + reach) / 2), slopes.size - 1)
    return Slope(float(np.median(slopes)), float(slopes[low]), float(slopes[high]))


def smallest_detectable_change(standard_error: float) -> float:
    """Return the change between two readings that their own error does not explain (MDC95).

    1.96 · √2 · SEM, in the unit of the standard error of one reading.

    >>> round(smallest_detectable_change(0.01), 4)
    0.0277
    """
    return 1.96 * sqrt(2.0) * positive(standard_error, name="standard error", unit="")


def smallest_detectable_slope(residual_sd: float, *, readings: int, step_years: float) -> float:
    """Return the slope per year that would be seen with 90 % power from so many even readings.

    3.24 σ √(12 / (n (n² − 1))) / Δt with independent residuals; with serial correlation it is
    larger.
    """
    if readings < 3:
        raise InvalidInput(f"readings: {readings} must be 3 or more.", field="readings")
    spread = 12.0 / (readings * (readings**2 - 1))
    sigma = positive(residual_sd, name="residual SD", unit="")
    return RELIABLY_SEEN * sigma * sqrt(spread) / positive(step_years, name="step", unit="years")


def years_to_detect(residual_sd: float, *, slope_per_year: float, autocorrelation: float) -> float:
    """Return how many years of monthly readings would show a slope with 90 % power.

    E. C. Weatherhead et al., J. Geophys. Res. 103 (1998) 17149, from memory:
    [3.3 σ / |ω| · √((1 + φ) / (1 − φ))]^(2/3), σ and φ those of the monthly residuals.
    """
    if not -1 < autocorrelation < 1:
        raise InvalidInput(
            f"autocorrelation: {autocorrelation} must be above -1 and below 1.",
            field="autocorrelation",
        )
    omega = positive(abs(slope_per_year), name="slope", unit="per year")
    sigma = positive(residual_sd, name="residual SD", unit="")
    memory = sqrt((1 + autocorrelation) / (1 - autocorrelation))
    return float((3.3 * sigma / omega * memory) ** (2 / 3))


def _variance(held: Floats) -> float:
    """Return the variance of S without a trend, less ties."""
    n = held.size
    _, ties = np.unique(held, return_counts=True)
    tied = float((ties * (ties - 1.0) * (2.0 * ties + 5.0)).sum())
    return (n * (n - 1.0) * (2.0 * n + 5.0) - tied) / 18.0


def _z(s: int, variance: float) -> float:
    return float(s - np.sign(s)) / sqrt(variance)


def _two_sided(z: float) -> float:
    return erfc(abs(z) / sqrt(2.0))


def _hamed_rao_factor(held: Floats, *, significance: float) -> float:
    n = held.size
    order = np.arange(1.0, n + 1.0)
    ranks = _ranks(held - order * theil_sen(order, held).slope)
    apart = ranks - ranks.mean()
    if not apart.any():
        return 1.0
    lagged = np.correlate(apart, apart, "full")[n - 1 :] / float(apart @ apart)
    bound = NormalDist().inv_cdf(1 - significance / 2) / sqrt(n)
    lags = np.arange(1.0, n)
    counted = np.where(np.abs(lagged[1:]) > bound, lagged[1:], 0.0)
    weight = (n - lags) * (n - lags - 1) * (n - lags - 2)
    return 1.0 + 2.0 / (n * (n - 1.0) * (n - 2.0)) * float((weight * counted).sum())


def _ranks(held: Floats) -> Floats:
    """Return ranks from 1, ties sharing their mean."""
    _, inverse, counts = np.unique(held, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(counts) - (counts - 1) / 2.0)[inverse])
