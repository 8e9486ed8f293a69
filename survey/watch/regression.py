"""Which straight relation fits the readings, and how sure are its numbers?

Ordinary least squares with errors that stay honest when neighbouring readings resemble each other,
and Student's distribution for intervals. The robust errors of Newey & West alone are too small with
a few dozen readings (at a serial correlation of 0.6 a trend would be "shown" in one series out of
four that has none), so intervals take the largest of three errors. No Django, no I/O.
"""

from dataclasses import dataclass
from math import atan, cos, floor, pi, sin, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.spans import Floats, numbers

MOST_SERIAL: Final = 0.95  # above it a few dozen readings say nothing of a trend
SMALLEST_SHARE: Final = 1e-12  # singular values below this share of the largest say nothing


@dataclass(frozen=True)
class Fit:
    """Coefficients in the order of the design's columns, with what speaks of their error.

    `errors` take the residuals as independent; `robust_errors` allow for autocorrelation up to
    `lags` readings; `serial_correlation` is that of neighbouring residuals, corrected for few
    readings and not below 0.
    """

    coefficients: Floats
    errors: Floats
    robust_errors: Floats
    lags: int
    residuals: Floats
    residual_sd: float
    freedom: int  # readings less coefficients
    serial_correlation: float

    def largest_error(self, index: int) -> float:
        """Return the largest of the plain, the robust and the serial standard error.

        The serial one is the plain one times √((1 + φ)/(1 − φ)), as for a first-order process.
        """
        phi = self.serial_correlation
        serial = float(self.errors[index]) * sqrt((1 + phi) / (1 - phi))
        return max(float(self.robust_errors[index]), serial)

    def interval(self, index: int, *, confidence: float = 0.95) -> tuple[float, float]:
        """Return the interval of one coefficient from its largest standard error."""
        half = student_quantile(confidence, self.freedom) * self.largest_error(index)
        return float(self.coefficients[index]) - half, float(self.coefficients[index]) + half


def least_squares(design: ArrayLike, values: ArrayLike, *, lags: int | None = None) -> Fit:
    """Fit values = design · coefficients (one row per reading, in order of time, none missing).

    `lags` of the robust errors: if None, the whole part of 4 (n/100)^(2/9) (Newey & West 1994,
    from memory). They suppose evenly spaced readings. Raises InvalidInput if there are too few
    readings or if two columns say the same.
    """
    matrix, held = numbers(design, name="design"), numbers(values, name="values")
    if matrix.ndim != 2 or held.shape != matrix.shape[:1] or np.isnan(matrix).any():
        raise InvalidInput("Each reading needs one row of known influences.", field="design")
    if np.isnan(held).any():
        raise InvalidInput("A missing reading cannot be fitted; leave it out.", field="values")
    count, columns = matrix.shape
    if count <= columns:
        raise InvalidInput(
            f"{count} readings cannot settle {columns} numbers and their error; at least "
            f"{columns + 1} can.",
            field="values",
        )
    scale = np.sqrt((matrix**2).sum(axis=0))
    if (scale == 0).any():
        raise InvalidInput("One influence is 0 in every reading and explains nothing.")
    left, sizes, right = np.linalg.svd(matrix / scale, full_matrices=False)
    if sizes[-1] < SMALLEST_SHARE * sizes[0]:
        raise InvalidInput(
            "Two influences always change together here, so their effects cannot be told apart.",
            field="design",
        )
    found = (right.T / sizes) @ (left.T @ held) / scale
    residuals = held - matrix @ found
    freedom = count - columns
    variance = float(residuals @ residuals) / freedom
    inverse = (right.T / sizes**2) @ right / np.outer(scale, scale)
    used = floor(4 * (count / 100) ** (2 / 9)) if lags is None else lags
    if not 0 <= used < count:
        raise InvalidInput(f"lags: {used} must be from 0 to {count - 1}.", field="lags")
    return Fit(
        coefficients=found,
        errors=np.sqrt(variance * np.diag(inverse)),
        robust_errors=_robust_errors(matrix, residuals, inverse, lags=used),
        lags=used,
        residuals=residuals,
        residual_sd=sqrt(variance),
        freedom=freedom,
        serial_correlation=_serial_correlation(residuals, columns=columns),
    )


def _robust_errors(matrix: Floats, residuals: Floats, inverse: Floats, *, lags: int) -> Floats:
    """Return standard errors by Newey & West, Econometrica 55 (1987) 703.

    Bartlett weights 1 - l/(lags + 1), without a correction for small samples.
    """
    moments = matrix * residuals[:, None]
    middle = moments.T @ moments
    for lag in range(1, lags + 1):
        across = moments[lag:].T @ moments[:-lag]
        middle += (1 - lag / (lags + 1)) * (across + across.T)
    return np.sqrt(np.maximum(np.diag(inverse @ middle @ inverse), 0.0))


def _serial_correlation(residuals: Floats, *, columns: int) -> float:
    """Return the correlation of neighbouring residuals, 0 to 0.95.

    That of the residuals is too small by about (k + 2kφ)/n, k being the number of coefficients
    (first order in 1/n; the form is this program's, its tests show by simulation that it serves).
    """
    count = residuals.size
    if count <= 2 * columns:
        return MOST_SERIAL
    found = (autocorrelation(residuals) * count + columns) / (count - 2 * columns)
    return min(max(found, 0.0), MOST_SERIAL)


def autocorrelation(residuals: ArrayLike) -> float:
    """Return the correlation of each residual with the next one, -1 to 1; 0 if all are alike."""
    held = numbers(residuals, name="residuals")
    apart = held - held.mean()
    total = float(apart @ apart)
    return float(apart[1:] @ apart[:-1]) / total if total > 0 else 0.0


def student_share_within(t: float, freedom: int) -> float:
    """Return the chance that |Student's t| stays below t.

    Abramowitz & Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4.

    >>> round(student_share_within(12.706, 1), 4)
    0.95
    """
    if freedom < 1:
        raise InvalidInput(f"freedom: {freedom} must be 1 or more.", field="freedom")
    angle = atan(abs(t) / sqrt(freedom))
    odd = freedom % 2 == 1
    term = cos(angle) if odd else 1.0
    total = term if freedom > 1 else 0.0
    for step in range(3 if odd else 2, freedom - 1, 2):
        term *= cos(angle) ** 2 * ((step - 1) / step)
        total += term
    share = 2 / pi * (angle + sin(angle) * total) if odd else sin(angle) * total
    return min(max(share, 0.0), 1.0)


def student_quantile(confidence: float, freedom: int) -> float:
    """Return the t within which a share of `confidence` lies (0.5 to 0.999, two-sided)."""
    if not 0.5 <= confidence <= 0.999:
        raise InvalidInput(
            f"confidence: {confidence} must be from 0.5 to 0.999.", field="confidence"
        )
    low, high = 0.0, 1000.0
    for _ in range(80):
        middle = (low + high) / 2
        if student_share_within(middle, freedom) < confidence:
            low = middle
        else:
            high = middle
    return (low + high) / 2
