"""What is the invented wall: its size, grid, openings, zones, decks and what hides it?

Gives one plain mapping in the form of an `import_wall` file. All polygons are in wall inches, x to
the right from the left end, y up from the painting's lower edge. Invented demo data.
"""

import math

from demo_fixtures import INVENTED
from demo_fixtures.people import TELEPHONES
from demo_fixtures.phases import CONTRACTOR, INSURER, OWNER

WIDTH_IN, HEIGHT_IN = 1008.0, 168.0  # 84 ft x 14 ft
SLUG = "harvest-train"

CLOCK_CENTRE_IN, CLOCK_RADIUS_IN = (504.0, 126.0), 18.0
DOOR_CENTRE_X_IN, DOOR_HALF_WIDTH_IN, DOOR_RISE_IN = 756.0, 36.0, 18.0
DOOR_RADIUS_IN = (DOOR_HALF_WIDTH_IN**2 + DOOR_RISE_IN**2) / (2 * DOOR_RISE_IN)  # 45 in
DOOR_ARC_Y_IN = DOOR_RISE_IN - DOOR_RADIUS_IN  # -27 in, below the painting
ARCH_BAND_IN = 6.0  # painted band round the doorway head
FRIEZE_IN, PILASTER_IN = 14.0, 10.0

BOARDS_STRIP_IN = (66.0, 78.0)  # deck 2's boards, 13 ft 6 in to 14 ft 6 in above the floor
OUT_OF_REACH_Y_IN = 150.0  # row A's top 18 in is seen, not touched

Point = tuple[float, float]


def _on_lattice(value_in: float) -> float:
    return round(value_in * 256) / 256


def _arc(centre: Point, radius_in: float, degrees: tuple[float, float], steps: int) -> list[Point]:
    start, end = degrees
    angles = [math.radians(start + (end - start) * i / steps) for i in range(steps + 1)]
    return [
        (
            _on_lattice(centre[0] + radius_in * math.cos(a)),
            _on_lattice(centre[1] + radius_in * math.sin(a)),
        )
        for a in angles
    ]


def clock_opening() -> list[Point]:
    """Return the round clock opening as a ring of 96 points."""
    return _arc(CLOCK_CENTRE_IN, CLOCK_RADIUS_IN, (0.0, 360.0), 96)[:-1]


def doorway_opening() -> list[Point]:
    """Return the doorway head: a segmental arch whose chord lies on the lower edge."""
    half = math.degrees(math.asin(DOOR_HALF_WIDTH_IN / DOOR_RADIUS_IN))
    return _arc((DOOR_CENTRE_X_IN, DOOR_ARC_Y_IN), DOOR_RADIUS_IN, (90 - half, 90 + half), 48)


def _arch_band() -> list[Point]:
    """Return the upper edge of the painted arch band, right to left, from frieze top to frieze top."""
    radius_in = DOOR_RADIUS_IN + ARCH_BAND_IN
    half = math.degrees(math.acos((FRIEZE_IN - DOOR_ARC_Y_IN) / radius_in))
    band = _arc((DOOR_CENTRE_X_IN, DOOR_ARC_Y_IN), radius_in, (90 - half, 90 + half), 16)
    return [(band[0][0], FRIEZE_IN), *band[1:-1], (band[-1][0], FRIEZE_IN)]


# Shared runs of vertices, so that neighbouring zones meet without gap or overlap.
TRAIN_TOP: list[Point] = [(10, 92), (66, 98), (180, 100), (300, 100), (352, 104), (432, 106)]
SMOKE_UNDER: list[Point] = [
    (432, 106),
    (410, 112),
    (372, 112),
    (330, 116),
    (286, 114),
    (240, 120),
    (196, 119),
    (150, 126),
    (104, 126),
    (64, 132),
    (40, 138),
]
SMOKE_OVER: list[Point] = [
    (40, 138),
    (36, 148),
    (60, 156),
    (112, 160),
    (170, 157),
    (226, 162),
    (290, 158),
    (340, 153),
    (388, 146),
    (424, 134),
    (448, 120),
    (452, 106),
]
TRAIN_FRONT: list[Point] = [(452, 106), (470, 98), (480, 92)]
FIGURES_TOP: list[Point] = [(480, 92), (520, 98), (600, 102), (640, 96), (652, 80)]
RIVER_TOP: list[Point] = [(652, 80), (700, 84), (782, 82)]
TOWN_TOP: list[Point] = [
    (782, 82),
    (796, 100),
    (850, 112),
    (872, 144),
    (884, 150),
    (896, 144),
    (906, 116),
    (960, 108),
    (998, 98),
]


def zones() -> dict[str, list[Point]]:
    """Return the picture's eight zones; together they cover the wall once."""
    band = _arch_band()
    crown = len(band) // 2
    border = [
        (0, 0), (WIDTH_IN, 0), (WIDTH_IN, HEIGHT_IN), (998, HEIGHT_IN), (998, FRIEZE_IN), *band,
        (10, FRIEZE_IN), (10, HEIGHT_IN), (0, HEIGHT_IN),
    ]  # fmt: skip
    river_bank = [(782, 82), (784, 56), (772, 36), band[crown]]
    return {
        "border": border,
        "wheat": [(10, FRIEZE_IN), (480, FRIEZE_IN), (480, 54), (10, 54)],
        "figures": [(480, FRIEZE_IN), (650, FRIEZE_IN), (652, 80), *FIGURES_TOP[-2::-1], (480, 54)],
        "river": [(650, FRIEZE_IN), *band[: crown - 1 : -1], *river_bank[-2::-1], *RIVER_TOP[-2::-1]],
        "town": [*river_bank, *band[crown - 1 :: -1], (998, FRIEZE_IN), *TOWN_TOP[:0:-1]],
        "train": [(10, 54), (480, 54), *TRAIN_FRONT[::-1], *TRAIN_TOP[::-1]],
        "smoke": [*SMOKE_UNDER, *SMOKE_OVER[1:]],
        "upland": [
            *TRAIN_TOP, *SMOKE_UNDER[1:], *SMOKE_OVER[1:], *TRAIN_FRONT[1:], *FIGURES_TOP[1:],
            *RIVER_TOP[1:], *TOWN_TOP[1:], (998, HEIGHT_IN), (10, HEIGHT_IN),
        ],
    }  # fmt: skip


def obstructions() -> list[dict[str, object]]:
    """Return what hides the wall or keeps hands off it while both decks stand."""
    low, high = BOARDS_STRIP_IN
    return [
        {
            "name": "deck 2 boards",
            "cause": "boards of deck 2",
            "mode": None,
            "polygon": [[0.0, low], [WIDTH_IN, low], [WIDTH_IN, high], [0.0, high]],
            "touch_only": False,
        },
        {
            "name": "above reach",
            "cause": "out of reach from deck 2 without a podium",
            "mode": None,
            "polygon": [
                [0.0, OUT_OF_REACH_Y_IN],
                [WIDTH_IN, OUT_OF_REACH_Y_IN],
                [WIDTH_IN, HEIGHT_IN],
                [0.0, HEIGHT_IN],
            ],
            "touch_only": True,
        },
    ]


def wall_description() -> dict[str, object]:
    """Return the wall as the mapping that an `import_wall` file holds."""
    openings = {"clock": clock_opening(), "doorway head": doorway_opening()}
    return {
        "wall": SLUG,
        "name": "The Harvest Train",
        "title": "The Harvest Train",
        "width": "84 ft",
        "height": "14 ft",
        "base_above_floor": "8 ft",
        "artist": "Orla Benning",
        "made": "1936",
        "technique": "secco over fresco, on three-coat lime plaster on brick",
        "place": "former railway booking hall of Marrowby Station, now the town's library",
        "owner": OWNER,
        "contractor": CONTRACTOR,
        "insurer": INSURER,
        "note": INVENTED,
        "grid": {
            "columns": {"spacing": "2 ft", "names": "numbers", "from": "left"},
            "rows": {"spacing": "2 ft", "names": "letters", "from": "top"},
        },
        "openings": [{"name": name, "polygon": _pairs(ring)} for name, ring in openings.items()],
        "zones": [{"name": name, "polygon": _pairs(ring)} for name, ring in zones().items()],
        "decks": [
            {"name": "1", "level_above_floor": "7 ft"},
            {"name": "2", "level_above_floor": "14 ft"},
        ],
        "obstructions": obstructions(),
        "telephones": TELEPHONES,
    }


def _pairs(ring: list[Point]) -> list[list[float]]:
    return [[float(x), float(y)] for x, y in ring]
