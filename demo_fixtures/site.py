"""Where on the invented wall is there room for a piece of damage, and on which days things happened?"""

import math
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from demo_fixtures import wall
from demo_fixtures.phases import VIBRATION_EVENT
from demo_fixtures.shapes import Island, Point, contains, island

CLEANED_ON = date(2026, 6, 26)
TESTED_ON = date(2026, 6, 22)
CONSOLIDATED_ON = date(2026, 6, 25)
FACED_ON = date(2026, 7, 22)
PHASE_1_DAY = date(2026, 5, 5)
PHASE_2_DAY = VIBRATION_EVENT.on
LEAK_DAY = date(2026, 10, 1)  # crystals come when the wall dries, about a fortnight after water
PHASE_3_DAY = date(2026, 11, 10)
SHAKEN_X_IN, WETTED_X_IN = (312.0, 456.0), (840.0, 936.0)  # columns 14 to 19, 36 to 39

EDGE_MARGIN_IN = 1.5


@dataclass
class Site:
    """Places damage on the wall: within a zone, clear of openings, edges and the boards strip."""

    rng: np.random.Generator
    zones: dict[str, list[Point]] = field(default_factory=wall.zones)
    taken: list[tuple[float, float, float]] = field(default_factory=list)

    def place(
        self,
        zone: str,
        reach_in: float,
        *,
        x_in: tuple[float, float] = (0, wall.WIDTH_IN),
        y_in: tuple[float, float] = (0, wall.HEIGHT_IN),
        strip: bool = False,
    ) -> Point:
        """Return a free point of a zone with `reach_in` of room about it."""
        for _ in range(4000):
            x, y = self.rng.uniform(*x_in), self.rng.uniform(*y_in)
            if contains(self.zones[zone], x, y) and self._clear(x, y, reach_in, strip):
                self.taken.append((x, y, reach_in))
                return float(x), float(y)
        raise ValueError(f"No room of {reach_in} in within zone {zone}, x {x_in}, y {y_in}.")

    def _clear(self, x: float, y: float, reach_in: float, strip: bool) -> bool:
        room = reach_in + EDGE_MARGIN_IN
        if not (room < x < wall.WIDTH_IN - room and room < y < wall.HEIGHT_IN - room):
            return False
        clock = math.dist((x, y), wall.CLOCK_CENTRE_IN) < wall.CLOCK_RADIUS_IN + room
        door = (
            math.dist((x, y), (wall.DOOR_CENTRE_X_IN, wall.DOOR_ARC_Y_IN))
            < wall.DOOR_RADIUS_IN + room
        )
        low, high = wall.BOARDS_STRIP_IN
        in_strip = low + reach_in < y < high - reach_in
        by_strip = low - reach_in - 0.3 < y < high + reach_in + 0.3
        if clock or door or (in_strip if not strip else not in_strip) or (by_strip and not strip):
            return False
        return all(math.dist((x, y), (u, v)) > r + reach_in + 0.8 for u, v, r in self.taken)


class Tally:
    """Gives items their labels: a letter for the sort of damage and a running number."""

    def __init__(self) -> None:
        self._next: dict[str, int] = {}

    def label(self, letter: str) -> str:
        """Return the next label of a letter."""
        self._next[letter] = self._next.get(letter, 0) + 1
        return f"{letter}{self._next[letter]}"


def spread(
    site: Site,
    zone: str,
    area_sq_in: float,
    *,
    ragged: float = 0.3,
    stretch: float = 1.4,
    x_in: tuple[float, float] = (0, wall.WIDTH_IN),
    y_in: tuple[float, float] = (0, wall.HEIGHT_IN),
    strip: bool = False,
    room_in: float = 0.0,
) -> Island:
    """Return an island of some area somewhere in a zone, with room to grow."""
    form = island(site.rng, (0.0, 0.0), area_sq_in, ragged=ragged, stretch=stretch)
    centre = site.place(zone, form.reach_in + room_in, x_in=x_in, y_in=y_in, strip=strip)
    return Island(centre, form.radii_in)
