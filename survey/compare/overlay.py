"""How are many shapes united, cut and subtracted at once, on two threads, without surprises?

Arrays of valid shapely geometries in and out; GEOS releases Python's lock, so threads share the
work. Nothing here knows of terms, cells or surveys.
"""

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.errors import GEOSException

Shapes = NDArray[np.object_]
Overlay = Callable[..., Any]

THREADS = min(2, os.cpu_count() or 1)
WORTH_SHARING = 64  # below this many shapes a second thread costs more than it saves
SHARES = 4  # interleaved shares per thread, so that no thread is left with the hard ones

ROUND_QUAD_SEGS = 16  # segments per quarter circle of a tolerance buffer


def shared(work: Callable[..., Shapes], *arrays: Shapes) -> Shapes:
    """Return work(*arrays), done in interleaved shares on two threads."""
    count = len(arrays[0])
    if THREADS < 2 or count < WORTH_SHARING:
        return work(*arrays)
    result = np.empty(count, dtype=object)
    step = THREADS * SHARES

    def share(start: int) -> None:
        result[start::step] = work(*(array[start::step] for array in arrays))

    list(_pool().map(share, range(step)))
    return result


def intersections(left: Shapes, right: Shapes) -> Shapes:
    """Return the common part of each pair."""
    return shared(lambda a, b: _robust(shapely.intersection, a, b), left, right)


def differences(left: Shapes, right: Shapes) -> Shapes:
    """Return each left shape without its right one."""
    return shared(lambda a, b: _robust(shapely.difference, a, b), left, right)


def covers(left: Shapes, right: Shapes) -> NDArray[np.bool_]:
    """Return of each pair whether no point of the right shape lies outside the left one."""
    return shared(lambda a, b: np.asarray(shapely.covers(a, b)), left, right).astype(bool)


def grown_round(shapes: Shapes, distance_in: float) -> Shapes:
    """Return each shape's round buffer (16 segments to the quarter circle)."""
    return shared(
        lambda a: np.asarray(shapely.buffer(a, distance_in, quad_segs=ROUND_QUAD_SEGS)), shapes
    )


def unions(bundles: Sequence[Sequence[Any]], dimension: int) -> Shapes:
    """Return the union of each bundle; an empty geometry of an empty one."""
    result = np.empty(len(bundles), dtype=object)
    by_count: dict[int, list[int]] = {}
    for place, bundle in enumerate(bundles):
        by_count.setdefault(len(bundle), []).append(place)
    for count, places in by_count.items():
        if count == 0:
            result[places] = shapely.Polygon() if dimension == 2 else shapely.LineString()
        elif count == 1 and dimension == 2:
            result[places] = [bundles[place][0] for place in places]
        else:
            flat = np.empty((len(places), count), dtype=object)
            flat[:] = [list(bundles[place]) for place in places]
            result[places] = shared(lambda a: _union_rows(a, dimension), flat)
    return result


def _union_rows(rows: Shapes, dimension: int) -> Shapes:
    unite = shapely.disjoint_subset_union_all if dimension == 2 else shapely.union_all
    try:
        return np.asarray(unite(rows, axis=1), dtype=object)
    except GEOSException:
        made = shapely.make_valid(rows, method="structure", keep_collapsed=False)
        return np.asarray(shapely.union_all(made, axis=1), dtype=object)


def _robust(overlay: Overlay, left: Shapes, right: Shapes) -> Shapes:
    """Overlay all at once; if GEOS refuses one pair, overlay one by one and make that one valid.

    A cut may leave a shape invalid in its last digit; its drawn outline is not touched.
    """
    try:
        return np.asarray(overlay(left, right), dtype=object)
    except GEOSException:
        result = np.empty(len(left), dtype=object)
        result[:] = [_one(overlay, a, b) for a, b in zip(left, right, strict=True)]
        return result


def _one(overlay: Overlay, left: Any, right: Any) -> Any:
    try:
        return overlay(left, right)
    except GEOSException:
        return overlay(shapely.make_valid(left), shapely.make_valid(right))


@lru_cache(maxsize=1)
def _pool() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=THREADS, thread_name_prefix="overlay")
