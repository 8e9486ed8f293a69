"""Which strokes of a drawn ring double back on themselves, and how often do they cross?

Rings are closed arrays of vertices on the 1/256 in lattice, where every product here is exact.
This module must not change what goes on record: it serves the derivation of shapes.
"""

import numpy as np
from numpy.typing import NDArray

from gridmap.vertices import Vertices

_SAMPLED_STROKES = 100

_Vertex = tuple[float, float]


def is_flat(ring: Vertices) -> bool:
    """Whether all vertices lie on one line, so that the ring goes round nothing."""
    if len(ring) < 4:
        return True
    offsets = ring - ring[0]
    far = offsets[np.argmax(np.abs(offsets).sum(axis=1))]
    return not np.any(offsets[:, 0] * far[1] - offsets[:, 1] * far[0])


def without_spikes(ring: Vertices) -> Vertices:
    """Return a ring without repeated vertices and without strokes that go out and straight back.

    It goes round the same area; of a ring that is all spikes nothing is left. GEOS 3.14 now and
    then loses a whole triangle beside such a stroke when it makes the ring valid.
    """
    vertices: list[_Vertex] = list(map(tuple, ring[:-1].tolist()))
    while True:
        kept = _folded(vertices)
        middle = len(kept) // 2
        vertices = _folded(kept[middle:] + kept[:middle])  # the seam now lies inside
        if len(vertices) == len(kept):
            break
    if len(vertices) < 3:
        return np.empty((0, 2))
    return np.array([*vertices, vertices[0]])


def crossings_estimate(rings: list[Vertices]) -> int:
    """Return about how often the strokes of rings cross, from a sample of them (an even spread)."""
    starts = np.concatenate([ring[:-1] for ring in rings])
    ends = np.concatenate([ring[1:] for ring in rings])
    if len(starts) < 2:
        return 0
    sample = np.unique(np.linspace(0, len(starts) - 1, _SAMPLED_STROKES).astype(np.intp)).tolist()
    crossed = sum(int(_crossed(starts[one], ends[one], starts, ends).sum()) for one in sample)
    return crossed * len(starts) // (2 * len(sample))  # each crossing is met from two strokes


def _folded(vertices: list[_Vertex]) -> list[_Vertex]:
    """Return vertices in order without repeats and spikes, the ends' seam left alone."""
    kept: list[_Vertex] = []
    for vertex in vertices:
        kept.append(vertex)
        while len(kept) >= 2 and kept[-1] == kept[-2]:
            kept.pop()
        while len(kept) >= 3 and _doubles_back(*kept[-3:]):
            kept[-2:] = kept[-1:]
            if kept[-1] == kept[-2]:
                kept.pop()
    return kept


def _doubles_back(before: _Vertex, turn: _Vertex, after: _Vertex) -> bool:
    out_x, out_y = turn[0] - before[0], turn[1] - before[1]
    back_x, back_y = after[0] - turn[0], after[1] - turn[1]
    return out_x * back_y == out_y * back_x and out_x * back_x + out_y * back_y < 0


def _crossed(start: Vertices, end: Vertices, starts: Vertices, ends: Vertices) -> NDArray[np.bool_]:
    """Return which strokes properly cross the stroke from start to end."""
    along, strokes = end - start, ends - starts
    to_starts, to_ends, back = starts - start, ends - start, end - starts
    start_side = along[0] * to_starts[:, 1] - along[1] * to_starts[:, 0]
    end_side = along[0] * to_ends[:, 1] - along[1] * to_ends[:, 0]
    own_start_side = strokes[:, 1] * to_starts[:, 0] - strokes[:, 0] * to_starts[:, 1]
    own_end_side = strokes[:, 0] * back[:, 1] - strokes[:, 1] * back[:, 0]
    crossed: NDArray[np.bool_] = (start_side * end_side < 0) & (own_start_side * own_end_side < 0)
    return crossed
