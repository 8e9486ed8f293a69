"""A hand that draws a known outline again: noise made without any code of the project.

The boundary is displaced along its normal by a stationary Gaussian process whose correlation
exp(-pi (s/L)^2) has the integral L. The drawing has one vertex each tenth of an inch.
"""

import numpy as np
import shapely

CORRELATION_LENGTH_IN = 0.5
STEP_IN = 0.1


def ring(*, radius_in, centre=(0.0, 0.0)):
    """A three-lobed outline with a vertex each tenth of an inch."""
    count = round(2 * np.pi * radius_in / STEP_IN)
    angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
    reach = radius_in * (1 + 0.1 * np.sin(3 * angle))
    return shapely.Polygon(
        np.column_stack([centre[0] + reach * np.cos(angle), centre[1] + reach * np.sin(angle)])
    )


def redrawn(shape, rng, *, error_in):
    """The same outline as an unsteady hand of no bias draws it."""
    points = shapely.get_coordinates(shape)[:-1]
    forward = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    normal = np.column_stack([forward[:, 1], -forward[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    step = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    shift = error_in * _noise(step, rng)
    return shapely.make_valid(
        shapely.Polygon(points + shift[:, None] * normal), method="structure", keep_collapsed=False
    )


def _noise(step, rng):
    """Unit noise along a closed line, correlated over the distance along it."""
    along = np.r_[0, np.cumsum(step)]
    apart = np.abs(along[:-1, None] - along[None, :-1])
    apart = np.minimum(apart, along[-1] - apart)
    key = (len(step), round(float(along[-1]), 6))
    if key not in _FACTORS:
        correlation = np.exp(-np.pi * (apart / CORRELATION_LENGTH_IN) ** 2)
        values, vectors = np.linalg.eigh(correlation)
        _FACTORS[key] = vectors * np.sqrt(np.maximum(values, 0))
    return _FACTORS[key] @ rng.standard_normal(len(step))


_FACTORS: dict = {}
