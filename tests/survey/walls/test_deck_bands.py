"""Which band of the wall is worked from which deck?"""

from gridmap.models import Layout, Wall


def bands(*levels_in, base_in=96.0, height_in=168.0):
    decks = [
        {"name": str(place), "level_above_floor_in": level} for place, level in enumerate(levels_in)
    ]
    wall = Wall(base_above_floor_in=base_in)
    layout = Layout(wall=wall, width_in=1008.0, height_in=height_in, decks=decks)
    return [deck["band"] for deck in layout.deck_bands]


def test_a_wall_without_scaffold_has_no_bands():
    assert bands() == []


def test_the_only_deck_reaches_the_whole_wall():
    assert bands(84.0) == [[0.0, 168.0]]


def test_a_band_runs_to_the_next_boards():
    # The invented wall: decks 7 ft and 14 ft above the floor, lower edge 8 ft, 14 ft high.
    # source: plain arithmetic, 14 ft - 8 ft = 6 ft
    assert bands(84.0, 168.0) == [[0.0, 72.0], [72.0, 168.0]]
