"""Which rings can a hand draw? Hypothesis strategies for rings on the 1/256 in lattice.

Every ring is a closed list of [x, y] in wall inches, inside the wall of `WALL` unless its name
says otherwise.
"""

import math

from hypothesis import strategies as st

WALL = {"width_in": 1008.0, "height_in": 168.0}
LATTICE = 256


def on_lattice(value: float) -> float:
    return math.floor(value * LATTICE + 0.5) / LATTICE


def lattice_points(low_in: float, high_in: float) -> st.SearchStrategy[float]:
    return st.integers(math.ceil(low_in * LATTICE), math.floor(high_in * LATTICE)).map(
        lambda steps: steps / LATTICE
    )


def closed(ring: list[list[float]]) -> list[list[float]]:
    return [*ring, list(ring[0])]


def scribbles(*, vertices: int = 14, size_in: float = 4.0) -> st.SearchStrategy[list[list[float]]]:
    """Any vertices in any order: self-crossing, spikes, repeats, flat or with area."""
    place = st.tuples(lattice_points(20, 20 + size_in), lattice_points(30, 30 + size_in)).map(list)
    return st.lists(place, min_size=3, max_size=vertices).map(closed)


def coarse_scribbles(*, vertices: int = 10) -> st.SearchStrategy[list[list[float]]]:
    """Scribbles on whole inches only, so that vertices and strokes often fall on each other."""
    place = st.tuples(st.integers(20, 24), st.integers(30, 34)).map(
        lambda pair: [float(pair[0]), float(pair[1])]
    )
    return st.lists(place, min_size=3, max_size=vertices).map(closed)


@st.composite
def simple_rings(draw: st.DrawFn) -> list[list[float]]:
    """A ring round a centre, never crossing itself, drawn either way round."""
    count = draw(st.integers(3, 24))
    radii = draw(st.lists(st.floats(1.0, 6.0), min_size=count, max_size=count))
    ring = [
        [
            on_lattice(100 + radius * math.cos(2 * math.pi * place / count)),
            on_lattice(80 + radius * math.sin(2 * math.pi * place / count)),
        ]
        for place, radius in enumerate(radii)
    ]
    return closed(ring[::-1] if draw(st.booleans()) else ring)


@st.composite
def rings_over_their_start(draw: st.DrawFn) -> list[list[float]]:
    """A round outline whose pen runs on over its own start, on the same convex curve."""
    count = draw(st.integers(8, 60))
    overlap = draw(st.integers(1, count // 3))
    radius = draw(st.floats(2.0, 20.0))
    places = range(count + overlap)
    ring = [
        [
            on_lattice(200 + radius * math.cos(2 * math.pi * place / count)),
            on_lattice(80 + radius * math.sin(2 * math.pi * place / count)),
        ]
        for place in places
    ]
    return closed(ring[::-1] if draw(st.booleans()) else ring)
