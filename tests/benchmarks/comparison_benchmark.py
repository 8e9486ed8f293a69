"""How much faster and leaner is a comparison than the same by geopandas, and how does it grow?

Two surveys of 10,000 outlines of 12 terms on 294 cells, one outline in five drawn elsewhere by up
to 0.3 in. The peer cuts by the grid with `overlay`, dissolves per term and cell, and follows items
by `overlay` per term; it has both processors too, though it uses one. Each run is a process of
its own; sides alternate, five pairs. Run: python tests/benchmarks/comparison_benchmark.py
"""

import json
import math
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import geopandas  # noqa: E402
import numpy as np  # noqa: E402
import pandas as pd  # noqa: E402
import shapely  # noqa: E402

from gridmap.grid import Grid  # noqa: E402
from gridmap.measure import cell_boxes, cell_label  # noqa: E402
from survey.compare.areas import ComparedAreas  # noqa: E402
from survey.compare.follow import follow  # noqa: E402
from survey.compare.model import Outline, TermRule  # noqa: E402

PAIRS, TERMS, TOLERANCE_IN, HAND_IN = 5, 12, 0.25, 0.06
LEAST_SPEED_UP, LEAST_SPEED_UP_ITEMS, LEAST_SPEED_UP_EDIT = 4.0, 2.3, 100.0
MOST_GROWTH_POWER, MOST_DISAGREEMENT_SQ_IN, MOST_MEMORY_SHARE = 1.15, 1e-8, 1.0
WALLS = {"demo": (10_000, 42, 7), "large": (10_000, 50, 20), "huge": (50_000, 100, 50)}


class Wall:
    """Two drawings of the same damage by a hand of known unsteadiness, valid, on the lattice."""

    def __init__(self, name: str) -> None:
        count, columns, rows = WALLS[name]
        rng = np.random.default_rng(1936)
        self.grid = Grid.regular(
            width_in=24 * columns, height_in=24 * rows, column_spacing_in=24, row_spacing_in=24
        )
        self.terms = np.array([f"term-{place % TERMS}" for place in range(count)])
        drawn = [_drawn_twice(rng, 24 * columns, 24 * rows, place) for place in range(count)]
        self.before, self.after = (_valid([pair[side] for pair in drawn]) for side in (0, 1))

    def outlines(self, side: str) -> list[Outline]:
        return [
            Outline(f"{side}{place}", f"L{place}", term, "area", shape)
            for place, (term, shape) in enumerate(zip(self.terms, getattr(self, side), strict=True))
        ]


def _drawn_twice(rng: Any, width_in: float, height_in: float, place: int) -> tuple[Any, Any]:
    centre = rng.uniform([8, 8], [width_in - 8, height_in - 8])
    angle = np.linspace(0, 2 * np.pi, rng.integers(24, 60), endpoint=False)
    radius = np.exp(rng.normal(np.log(3), 0.5)) * (
        1 + 0.15 * np.sin(3 * angle + rng.uniform(0, 6)) + 0.08 * rng.normal(size=len(angle))
    )
    first = centre + radius[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    second = first + rng.normal(0, HAND_IN, first.shape)
    if place % 5 == 0:
        second = second + rng.uniform(-0.3, 0.3, 2)
    return np.round(first * 256) / 256, np.round(second * 256) / 256


def _valid(rings: list[Any]) -> Any:
    shapes = np.array([shapely.Polygon(ring) for ring in rings], dtype=object)
    return shapely.make_valid(shapes, method="structure", keep_collapsed=False)


def sizes_here(wall: Wall) -> ComparedAreas:
    field = shapely.box(*wall.grid.extent_in)
    return ComparedAreas(
        grid=wall.grid,
        regions=dict.fromkeys(wall.terms.tolist(), field),
        before=wall.outlines("before"),
        after=wall.outlines("after"),
        tolerance_in=TOLERANCE_IN,
    )


def sizes_peer(wall: Wall) -> pd.DataFrame:
    """Sizes per term and cell by geopandas: cut by the grid, dissolve, overlay."""
    boxes = cell_boxes(wall.grid)
    cells = geopandas.GeoDataFrame({"cell": range(len(boxes))}, geometry=list(boxes))

    def dissolved(shapes: Any) -> geopandas.GeoSeries:
        frame = geopandas.GeoDataFrame({"term": wall.terms}, geometry=shapes)
        cut = geopandas.overlay(frame, cells, how="intersection", keep_geom_type=True)
        return cut.dissolve(by=["term", "cell"]).geometry

    before, after = dissolved(wall.before), dissolved(wall.after)
    rows = before.index.union(after.index)
    grown_before, grown_after = (
        dissolved(geopandas.GeoSeries(side).buffer(TOLERANCE_IN, quad_segs=16).values).reindex(
            rows, fill_value=shapely.Polygon()
        )
        for side in (wall.before, wall.after)
    )
    before, after = (side.reindex(rows, fill_value=shapely.Polygon()) for side in (before, after))
    return pd.DataFrame(
        {
            "before": before.area,
            "after": after.area,
            "common": before.intersection(after).area,
            "added_beyond": after.difference(grown_before).area,
            "removed_beyond": before.difference(grown_after).area,
        }
    )


def items_here(wall: Wall) -> list[Any]:
    return follow(
        wall.outlines("before"),
        wall.outlines("after"),
        terms={term: TermRule(term) for term in wall.terms.tolist()},
        lineage={},
        tolerance_in=TOLERANCE_IN,
        default_error_in=HAND_IN,
    )


def items_peer(wall: Wall) -> pd.DataFrame:
    """Overlapping pairs with their common area by geopandas, term by term."""
    before, after = (
        geopandas.GeoDataFrame({name: range(len(side)), "term": wall.terms}, geometry=side)
        for name, side in (("earlier", wall.before), ("later", wall.after))
    )
    found = pd.concat(
        geopandas.overlay(
            before[before.term == term], after[after.term == term], keep_geom_type=True
        )
        for term in dict.fromkeys(wall.terms.tolist())
    )
    found["common"] = found.area
    return found[["earlier", "later", "common"]]


def disagreement_sq_in(wall: Wall) -> float:
    """The largest difference of any size of any term in any cell between the two sides."""
    found, peer = sizes_here(wall).by_cell(), sizes_peer(wall)
    labels = [(cell_label(cell, wall.grid), term) for term, cell in peer.index]
    assert set(found) <= set(labels)
    worst = 0.0
    for key, row in zip(labels, peer.itertuples(index=False), strict=True):
        for name in peer.columns:
            here = getattr(found[key], name) if key in found else 0.0
            worst = max(worst, abs(here - getattr(row, name)))
    return worst


def edit_s(wall: Wall) -> float:
    """The median time [s] to renew everything that one redrawn outline touches."""
    areas, later = sizes_here(wall), wall.outlines("after")
    times = []
    for place in range(0, 2_000, 50):
        moved = shapely.transform(later[place].shape, lambda xy: xy + 0.25)
        edited = Outline(later[place].id, later[place].item, later[place].term, "area", moved)
        start = time.perf_counter()
        areas.replace_outline("after", edited.id, edited)
        times.append(time.perf_counter() - start)
    return median(times)


WORK: dict[str, Callable[[Wall], Any]] = {
    "sizes_here": sizes_here,
    "sizes_peer": sizes_peer,
    "items_here": items_here,
    "items_peer": items_peer,
    "disagreement": disagreement_sq_in,
    "edit": edit_s,
}


def measure(what: str, wall_name: str) -> dict[str, Any]:
    """Run one piece of work in this process; memory is what it took beyond the data."""
    wall = Wall(wall_name)
    Path("/proc/self/clear_refs").write_text("5")  # the peak starts again from here
    resting = _kib("VmRSS")
    start = time.perf_counter()
    result = WORK[what](wall)
    seconds = time.perf_counter() - start
    answer = result if isinstance(result, float) else None
    return {"s": seconds, "mib": (_kib("VmHWM") - resting) / 1024, "answer": answer}


def _kib(line: str) -> int:
    status = Path("/proc/self/status").read_text()
    return int(next(row.split()[1] for row in status.splitlines() if row.startswith(line)))


def in_own_process(what: str, wall_name: str = "demo") -> dict[str, Any]:
    command = [sys.executable, __file__, "--measure", what, wall_name]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return json.loads(done.stdout.splitlines()[-1])


def alternating(here: str, peer: str) -> tuple[float, float, float, float]:
    """Return the median ratio of speed, both medians [s] and the median share of memory."""
    pairs = [(in_own_process(here), in_own_process(peer)) for _ in range(PAIRS)]
    return (
        median(b["s"] / a["s"] for a, b in pairs),
        median(a["s"] for a, _ in pairs),
        median(b["s"] for _, b in pairs),
        median(a["mib"] / max(b["mib"], 1.0) for a, b in pairs),
    )


def growth_power(what: str) -> float:
    """Return the power of N with which time grows from 10,000 to 50,000 outlines."""
    runs = [(in_own_process(what, "large"), in_own_process(what, "huge")) for _ in range(PAIRS)]
    return median(math.log(huge["s"] / large["s"]) / math.log(5) for large, huge in runs)


def main() -> int:
    if sys.argv[1:2] == ["--measure"]:
        print(json.dumps(measure(*sys.argv[2:4])))
        return 0
    kept = []

    def say(what: str, value: float, limit: float, *, at_most: bool = False) -> None:
        good = value <= limit if at_most else value >= limit
        kept.append(good)
        sign = "at most" if at_most else "at least"
        print(
            f"{what}: {value:.3g} ({sign} {limit:g}){'' if good else '  NOT REACHED'}", flush=True
        )

    speed, here_s, peer_s, memory = alternating("sizes_here", "sizes_peer")
    say(
        f"sizes per term and cell, times faster ({here_s:.2f} s to {peer_s:.2f} s)",
        speed,
        LEAST_SPEED_UP,
    )
    say("memory beyond the data, share of the peer's", memory, MOST_MEMORY_SHARE, at_most=True)
    speed, items_s, peer_s, _ = alternating("items_here", "items_peer")
    say(
        f"following items, times faster ({items_s:.2f} s to {peer_s:.2f} s)",
        speed,
        LEAST_SPEED_UP_ITEMS,
    )
    worst = in_own_process("disagreement")["answer"]
    say("largest disagreement in a cell, sq in", worst, MOST_DISAGREEMENT_SQ_IN, at_most=True)
    edit = in_own_process("edit")["answer"]
    say(
        f"one edit, times faster than the whole ({edit * 1000:.1f} ms)",
        here_s / edit,
        LEAST_SPEED_UP_EDIT,
    )
    for what, name in (("sizes_here", "sizes"), ("items_here", "items")):
        say(f"growth of {name}, power of N", growth_power(what), MOST_GROWTH_POWER, at_most=True)
    return 0 if all(kept) else 1


if __name__ == "__main__":
    raise SystemExit(main())
