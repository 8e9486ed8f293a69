"""What does a long series look like in so many columns, without one peak of it lost?

Each column holds the least and the most of its readings; a column without a reading is empty, and
what lies in a silence is unknown. No Django, no I/O.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gridmap.errors import InvalidInput
from survey.watch.spans import Floats

Moments = NDArray[np.int64]
MOST_COLUMNS: Final = 4000


@dataclass(frozen=True)
class Picture:
    """Columns that hold readings: which they are, their least and their most."""

    columns: NDArray[np.int64]
    least: Floats
    most: Floats


def picture_of(
    times_us: Moments, values: Floats, *, start_us: int, end_us: int, columns: int
) -> Picture:
    """Return the picture of readings (times rising) from start to end.

    Raises InvalidInput for no span or no columns.
    """
    if not 1 <= columns <= MOST_COLUMNS:
        raise InvalidInput(
            f"columns is {columns}; it must be 1 to {MOST_COLUMNS}.", field="columns"
        )
    if end_us <= start_us:
        raise InvalidInput("The span to be shown must end after its start.", field="to")
    # Whole microseconds, rounded up: a reading on an edge belongs to the column that begins there.
    edges = start_us - np.arange(columns + 1) * (start_us - end_us) // columns
    edges[-1] = end_us + 1  # the last reading belongs to the last column
    bounds = np.searchsorted(times_us, edges)
    filled = np.flatnonzero(np.diff(bounds) > 0)
    if filled.size == 0:
        return Picture(filled, np.zeros(0), np.zeros(0))
    inside = values[: bounds[-1]]
    least = np.fmin.reduceat(inside, bounds[filled])
    most = np.fmax.reduceat(inside, bounds[filled])
    heard = ~np.isnan(least)
    return Picture(filled[heard], least[heard], most[heard])
