"""Does a crack open, once what the wall's temperature does to it is taken away?

Cracks breathe: cold opens them, warmth closes them. Width is fitted as a + b·t + c·(T − T̄) with
errors that allow for serial correlation. No trend is stated on a year or less, nor without surface
temperature, because the seasons then pass for a trend. Whether a crack matters is for an engineer.
No Django, no I/O.
"""

from dataclasses import dataclass
from math import hypot, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.regression import least_squares
from survey.watch.spans import YEAR_S, Floats, numbers, positive, series, within
from survey.watch.trend import NoTrend, smallest_detectable_slope, too_short, years_to_detect

WIDEST_MM: Final = 300.0
LEAST_SWING_C: Final = 2.0  # below this the temperature has not moved enough (project choice)
FEWEST_FOR_COEFFICIENT: Final = 10  # readings before the works (common practice, no source)
TWO_SIDED_95: Final = 1.96


@dataclass(frozen=True)
class Thermal:
    """How the width follows temperature [mm/°C], with one standard error."""

    mm_per_c: float
    error_mm_per_c: float
    readings: int


@dataclass(frozen=True)
class CrackTrend:
    """The opening of a crack with the thermal part removed.

    `serial_correlation` is that of neighbouring residuals, not below 0; `detectable_mm_per_year`
    the slope that such readings would show with 90 % power; `years_to_detect` how long so many
    readings a year would take to show the slope found, None if the slope is 0.
    """

    width_mm: float  # at the first reading and mean temperature
    mm_per_year: float
    low_mm_per_year: float
    high_mm_per_year: float
    thermal: Thermal
    residual_sd_mm: float
    serial_correlation: float
    mean_temperature_c: float
    detectable_mm_per_year: float
    years_to_detect: float | None
    statement: str


def crack_trend(
    times_s: ArrayLike,
    width_mm: ArrayLike,
    surface_c: ArrayLike | None,
    *,
    confidence: float = 0.95,
) -> CrackTrend | NoTrend:
    """Return the trend of a crack, or why none is stated.

    Times s UTC, width mm (0 to 300), surface temperature °C at the same moments, NaN = missing.
    Evenly spaced readings, at the same hour of day.
    """
    if surface_c is None:
        return NoTrend(
            "Without surface temperature at each reading no trend is stated: the crack breathes "
            "with the seasons, and that would pass for a trend."
        )
    times, width, temperature = _checked(times_s, width_mm, surface_c)
    reason = too_short(times)
    if reason is not None:
        return NoTrend(reason)
    swing = float(np.ptp(temperature))
    if swing < LEAST_SWING_C:
        return NoTrend(
            f"The surface temperature moved by {swing:.1f} °C only; below {LEAST_SWING_C:g} °C "
            "its effect cannot be told from the trend."
        )
    years, mean_c = (times - times[0]) / YEAR_S, float(temperature.mean())
    design = np.column_stack((np.ones(years.size), years, temperature - mean_c))
    fit = least_squares(design, width)
    low, high = fit.interval(1, confidence=confidence)
    start, slope, per_c = (float(value) for value in fit.coefficients)
    phi = fit.serial_correlation
    detectable, wait = _detectable(fit.residual_sd, years, slope=slope, phi=phi)
    return CrackTrend(
        width_mm=start,
        mm_per_year=slope,
        low_mm_per_year=low,
        high_mm_per_year=high,
        thermal=Thermal(per_c, fit.largest_error(2), int(years.size)),
        residual_sd_mm=fit.residual_sd,
        serial_correlation=phi,
        mean_temperature_c=mean_c,
        detectable_mm_per_year=detectable,
        years_to_detect=wait,
        statement=_in_words(slope, low, high, confidence=confidence, per_c=per_c),
    )


def thermal_coefficient(times_s: ArrayLike, width_mm: ArrayLike, surface_c: ArrayLike) -> Thermal:
    """Return how the width follows temperature, from at least ten readings before the works.

    A slow drift is fitted along, so that it is not taken for the temperature's doing.
    """
    times, width, temperature = _checked(times_s, width_mm, surface_c)
    if times.size < FEWEST_FOR_COEFFICIENT:
        raise InvalidInput(
            f"{times.size} readings with temperature; {FEWEST_FOR_COEFFICIENT} from before the "
            "works are the least for a thermal coefficient.",
            field="readings",
        )
    if np.ptp(temperature) < LEAST_SWING_C:
        raise InvalidInput(
            f"The temperature moved by {np.ptp(temperature):.1f} °C only; at least "
            f"{LEAST_SWING_C:g} °C are needed to see what it does.",
            field="surface_c",
        )
    days = (times - times[0]) / 86_400.0
    fit = least_squares(
        np.column_stack((np.ones(days.size), days, temperature - temperature.mean())), width
    )
    return Thermal(float(fit.coefficients[2]), fit.largest_error(2), int(days.size))


@dataclass(frozen=True)
class CrackChange:
    """A change between two readings, before and after its thermal part is taken away."""

    raw_mm: float
    threshold_mm: float
    explained_mm: float
    remainder_mm: float
    remainder_threshold_mm: float
    statement: str


def crack_change(
    *,
    before_mm: float,
    after_mm: float,
    reading_error_mm: float,
    before_c: float | None,
    after_c: float | None,
    thermal: Thermal | None,
) -> CrackChange:
    """Return whether a change exceeds what two readings and the temperature explain.

    `reading_error_mm` is one standard error of a reading; the threshold is 1.96·√2 of it. The
    remainder's threshold also holds the error of the thermal coefficient.
    """
    both = within([before_mm, after_mm], name="width", unit="mm", least=0.0, most=WIDEST_MM)
    raw = float(both[1] - both[0])
    error = sqrt(2.0) * positive(reading_error_mm, name="reading error", unit="mm")
    threshold = TWO_SIDED_95 * error
    exceeds = "exceeds" if abs(raw) > threshold else "does not exceed"
    said = f"Raw change {raw:+.2f} mm {exceeds} the error of two readings ({threshold:.2f} mm)"
    if thermal is None or before_c is None or after_c is None:
        return CrackChange(
            raw, threshold, 0.0, raw, threshold,
            f"{said}; the part of temperature is unknown, so nothing more is said.",
        )  # fmt: skip
    warmer = float(after_c - before_c)
    explained = thermal.mm_per_c * warmer
    remainder = raw - explained
    wider = TWO_SIDED_95 * hypot(error, thermal.error_mm_per_c * warmer)
    verdict = "exceeds" if abs(remainder) > wider else "does not exceed"
    return CrackChange(
        raw, threshold, explained, remainder, wider,
        f"{said}; temperature explains {explained:+.2f} mm ({warmer:+.1f} °C at "
        f"{thermal.mm_per_c:+.4f} ± {thermal.error_mm_per_c:.4f} mm/°C, {thermal.readings} "
        f"readings); the remainder {remainder:+.2f} mm {verdict} its error ({wider:.2f} mm).",
    )  # fmt: skip


def _checked(
    times_s: ArrayLike, width_mm: ArrayLike, surface_c: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Return times, widths and temperatures of the moments at which both were read."""
    times, width = series(times_s, width_mm, name="width")
    within(width, name="width", unit="mm", least=0.0, most=WIDEST_MM)
    temperature = within(
        numbers(surface_c, name="surface temperature"),
        name="surface temperature",
        unit="°C",
        least=-40.0,
        most=60.0,
        advice="Is it in °F?",
    )
    if temperature.shape != width.shape:
        raise InvalidInput(
            f"surface temperature: {temperature.size} values for {width.size} widths.",
            field="surface_c",
        )
    there = ~(np.isnan(width) | np.isnan(temperature))
    return times[there], width[there], temperature[there]


def _detectable(
    residual_sd: float, years: Floats, *, slope: float, phi: float
) -> tuple[float, float | None]:
    """Return the detectable slope, widened for serial correlation, and the years for this one."""
    step = float(years[-1]) / (years.size - 1)
    if residual_sd == 0:
        return 0.0, 0.0 if slope else None
    widened = residual_sd * sqrt((1 + phi) / (1 - phi))
    detectable = smallest_detectable_slope(widened, readings=years.size, step_years=step)
    if slope == 0:
        return detectable, None
    # The formula is for monthly readings: σ of another rhythm is brought to a month.
    monthly = residual_sd * sqrt(step * 12.0)
    return detectable, years_to_detect(monthly, slope_per_year=slope, autocorrelation=phi)


def _in_words(slope: float, low: float, high: float, *, confidence: float, per_c: float) -> str:
    shown = "A trend is shown" if low > 0 or high < 0 else "No trend is shown"
    return (
        f"{shown} at {confidence:.0%} confidence: {slope:+.4f} mm per year ({low:+.4f} to "
        f"{high:+.4f}) with {per_c:+.4f} mm/°C of temperature taken away. Not an "
        "engineer's opinion."
    )
