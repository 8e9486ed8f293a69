"""Are terms told apart by hatch, dash and mark alone, by every eye and in grey print?"""

import xml.etree.ElementTree as ElementTree
from itertools import combinations

import numpy as np
import pytest
import shapely

from gridmap.errors import InvalidInput
from gridmap.marks import FINDING_MARKS, TERM_MARKS
from gridmap.symbols import (
    LAYER_HUES,
    PATTERNS_BY_KIND,
    TREATMENT_HUE,
    Symbol,
    hatch_segments,
    svg_pattern,
    symbol_for,
)
from survey.vocabulary.builtin import built_in_vocabulary

TERMS = built_in_vocabulary().terms
QUARTER_TURN_PATTERNS = {"crossed", "crossed dashes"}
KINDS_OF_LINE = [pattern for families in PATTERNS_BY_KIND.values() for pattern, _ in families]
GROUNDS = {"white": "#FFFFFF", "paper": "#FAF7F1", "lamp panel": "#201913", "lamp": "#14100C"}

# source: Machado, Oliveira & Fernandes 2009, "A Physiologically-based Model for Simulation of Color
# Vision Deficiency", IEEE TVCG 15(6), doi:10.1109/TVCG.2009.113, severity 1.0, for linear RGB.
COLOUR_VISION = {
    "protan": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deutan": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritan": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}


def plain_symbol(pattern="lines", angle_deg=0.0, spacing_px=10.0):
    return Symbol("Aa", "#4C719B", pattern, angle_deg, spacing_px, 1.0, None, "")


def linear_rgb(hue):
    """Linear RGB of #rrggbb."""
    # source: W3C, Web Content Accessibility Guidelines 2.2, definition of relative luminance
    channels = np.array([int(hue[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)


def contrast(one, other):
    """Contrast of two colours in linear RGB."""
    # source: W3C, Web Content Accessibility Guidelines 2.2, definition of contrast ratio
    weights = np.array([0.2126, 0.7152, 0.0722])
    low, high = sorted((float(one @ weights), float(other @ weights)))
    return (high + 0.05) / (low + 0.05)


def apart_without_letters_or_hue(one, other):
    """The rule, worked out here again: 22.5° of angle, 1.5 times of spacing, or kind of line."""
    if one.pattern != other.pattern:
        return True
    period_deg = 90.0 if one.pattern in QUARTER_TURN_PATTERNS else 180.0
    turn_deg = (one.angle_deg - other.angle_deg) % period_deg
    angle_tells = min(turn_deg, period_deg - turn_deg) >= 22.5
    wide, narrow = max(one.spacing_px, other.spacing_px), min(one.spacing_px, other.spacing_px)
    return angle_tells or wide / narrow >= 1.5


def test_no_pair_of_terms_needs_its_letters_or_its_hue_to_be_told_apart():
    alike = [
        (one.code, other.code)
        for one, other in combinations(TERMS, 2)
        if not apart_without_letters_or_hue(one.symbol, other.symbol)
    ]

    assert alike == []


def test_two_letters_are_unique_per_term():
    letters = [term.symbol.letters for term in TERMS]

    assert len(set(letters)) == len(letters) == 62


def test_line_terms_differ_in_the_rhythm_of_their_strokes():
    rhythms = {}
    for term in TERMS:
        if "line" in term.geometry:
            rhythms.setdefault(_rhythm(term.symbol.dash), []).append(term.code)

    assert [codes for codes in rhythms.values() if len(codes) > 1] == []
    assert sum(map(len, rhythms.values())) == 18


def _rhythm(dash):
    """Strokes as letters, from any start: the rhythm of an endless line."""
    strokes = "".join("d" if px <= 2 else "s" if px <= 7 else "l" for px in dash[::2])
    shortest = next(
        (
            strokes[:n]
            for n in range(1, len(strokes))
            if strokes[:n] * (len(strokes) // n) == strokes
        ),
        strokes,
    )
    return min((shortest[i:] + shortest[:i] for i in range(len(shortest))), default="unbroken")


def test_dash_strokes_of_a_class_leap_in_length():
    lengths_px = {px for term in TERMS for px in (term.symbol.dash or ())[::2]}

    for one, other in combinations(sorted(lengths_px), 2):
        assert other / one >= 1.5


def test_point_terms_have_each_their_own_mark_and_none_of_a_finding():
    marks = [term.symbol.mark for term in TERMS if "point" in term.geometry]
    shapes_of_findings = {(mark.fill, mark.stroke) for mark in FINDING_MARKS.values()}

    assert len(marks) == len(set(marks)) == 12
    assert not {(TERM_MARKS[m].fill, TERM_MARKS[m].stroke) for m in marks} & shapes_of_findings


def test_hue_follows_layer_and_pattern_follows_kind():
    patterns = {
        kind: {term.symbol.pattern for term in TERMS if term.kind == kind} for kind in "DAIT"
    }

    for one, other in combinations(patterns.values(), 2):
        assert not one & other
    for term in TERMS:
        expected = TREATMENT_HUE if term.kind == "T" else LAYER_HUES[term.layer]
        assert term.symbol.hue == expected


def test_black_on_white_has_the_highest_contrast_there_is():
    # source: W3C, Web Content Accessibility Guidelines 2.2: contrast ranges from 1 to 21
    assert contrast(linear_rgb("#000000"), linear_rgb("#FFFFFF")) == pytest.approx(21.0)
    # source: from memory, the common example of a grey that just fails 4.5 on white
    assert contrast(linear_rgb("#777777"), linear_rgb("#FFFFFF")) == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("hue", [*LAYER_HUES.values(), TREATMENT_HUE])
def test_every_hue_stands_out_from_every_ground(hue, ground):
    assert contrast(linear_rgb(hue), linear_rgb(GROUNDS[ground])) >= 3.0


@pytest.mark.parametrize("vision", COLOUR_VISION)
def test_the_colour_vision_matrices_leave_white_white(vision):
    # Each row of a published matrix sums to 1: a slip in copying one would show here.
    assert np.array(COLOUR_VISION[vision]).sum(axis=1) == pytest.approx(1.0, abs=2e-6)


@pytest.mark.parametrize("ground", ["white", "paper"])
@pytest.mark.parametrize("vision", COLOUR_VISION)
@pytest.mark.parametrize("hue", [*LAYER_HUES.values(), TREATMENT_HUE])
def test_hatches_stay_visible_to_the_three_colour_vision_deficiencies(hue, vision, ground):
    matrix = np.array(COLOUR_VISION[vision])

    seen_hue, seen_ground = (
        np.clip(matrix @ linear_rgb(colour), 0, 1) for colour in (hue, GROUNDS[ground])
    )

    assert contrast(seen_hue, seen_ground) >= 3.0


def test_level_lines_hang_on_the_walls_origin_in_the_middle_of_their_spacing():
    found = hatch_segments((0, 0, 20, 30), plain_symbol(spacing_px=10))

    # Worked by hand: one line at half a spacing, then one per spacing, wall to wall.
    assert found.tolist() == [[0, 5, 20, 5], [0, 15, 20, 15], [0, 25, 20, 25]]


def test_angles_count_anticlockwise_with_y_up():
    x0, y0, x1, y1 = hatch_segments((0, 0, 40, 40), plain_symbol(angle_deg=45.0)).T

    # A line at 45° rises to the right.
    assert (y1 - y0) == pytest.approx(x1 - x0)


def test_units_per_pixel_scale_the_spacing():
    found = hatch_segments((0, 0, 1, 1), plain_symbol(spacing_px=10), unit_per_px=0.025)

    # Worked by hand: a spacing of 0.25 with the first line at half of it.
    assert found[:, 1] == pytest.approx([0.125, 0.375, 0.625, 0.875])


@pytest.mark.parametrize("angle_deg", [0.0, 22.5, 45.0, 67.5, 90.0, 112.5, 135.0, 157.5])
@pytest.mark.parametrize(
    ("pattern", "lines_per_spacing"), [("lines", 1), ("pairs", 2), ("crossed", 2)]
)
def test_unbroken_lines_cover_an_area_at_their_spacing(pattern, lines_per_spacing, angle_deg):
    side, spacing = 400.0, 8.0

    a = hatch_segments((0, 0, side, side), plain_symbol(pattern, angle_deg, spacing))

    # Lines at a spacing s have a length of area / s, whatever their angle.
    length = np.hypot(a[:, 2] - a[:, 0], a[:, 3] - a[:, 1]).sum()
    assert length == pytest.approx(lines_per_spacing * side * side / spacing, rel=0.01)


@pytest.mark.parametrize("angle_deg", [0.0, 22.5, 135.0])
@pytest.mark.parametrize("pattern", KINDS_OF_LINE)
def test_a_hatch_is_the_same_as_a_larger_one_cut_to_the_rectangle(pattern, angle_deg):
    symbol = plain_symbol(pattern, angle_deg, 8.0)
    bounds = (-31.0, 17.0, 64.5, 90.25)

    own = hatch_segments(bounds, symbol)
    larger = hatch_segments((-200, -200, 300, 300), symbol)

    # source: shapely's intersection as the outside reference for cutting
    cut = shapely.intersection(shapely.linestrings(larger.reshape(-1, 2, 2)), shapely.box(*bounds))
    assert np.hypot(*(own[:, 2:] - own[:, :2]).T).sum() == pytest.approx(shapely.length(cut).sum())
    dots = (larger[:, :2] == larger[:, 2:]).all(axis=1)
    inside = shapely.covers(shapely.box(*bounds), shapely.points(larger[dots][:, :2]))
    assert (own[:, :2] == own[:, 2:]).all(axis=1).sum() == inside.sum()


@pytest.mark.parametrize("pattern", KINDS_OF_LINE)
def test_hatches_of_neighbouring_pieces_line_up(pattern):
    symbol = plain_symbol(pattern, 22.5, 8.0)

    def length(bounds):
        a = hatch_segments(bounds, symbol)
        return np.hypot(a[:, 2] - a[:, 0], a[:, 3] - a[:, 1]).sum()

    # A cut off the lattice of the tiles: nothing is doubled and nothing lost at the seam.
    whole = length((0, 0, 100, 60))
    assert length((0, 0, 37.3, 60)) + length((37.3, 0, 100, 60)) == pytest.approx(whole)


def test_dots_stand_as_close_along_a_row_as_the_tile_says():
    dots = hatch_segments((0, 0, 600, 600), plain_symbol("dots", 22.5, 10.0))

    # One dot per tile of 6 by 10.
    assert len(dots) == pytest.approx(600 * 600 / 60, rel=0.01)


@pytest.mark.parametrize("bounds", [(0, 0, 0, 1), (0, 0, float("nan"), 1), (5, 0, 1, 1)])
def test_a_rectangle_without_extent_is_refused(bounds):
    with pytest.raises(InvalidInput, match="rectangle with extent"):
        hatch_segments(bounds, plain_symbol())


def test_a_rectangle_of_millions_of_strokes_is_refused():
    with pytest.raises(InvalidInput, match="too large"):
        hatch_segments((0, 0, 1e5, 1e5), plain_symbol("dots"))


def test_a_new_term_gets_a_combination_that_nobody_uses():
    taken = [term.symbol for term in TERMS]

    new = symbol_for("limewash-run", layer="surface", kind="D", geometry=["area"], taken=taken)

    assert all(apart_without_letters_or_hue(new, symbol) for symbol in taken)
    assert new.letters not in {symbol.letters for symbol in taken}


def test_a_kind_that_has_used_all_its_combinations_says_so():
    taken = []
    with pytest.raises(InvalidInput, match="No hatch is left"):
        for number in range(500):
            code = f"term-{chr(97 + number // 26)}{chr(97 + number % 26)}"
            taken.append(symbol_for(code, layer="any", kind="T", geometry=["area"], taken=taken))

    # Two kinds of crossed line, four angles each, at three and at two spacings.
    assert len(taken) == 4 * 3 + 4 * 2


def test_letters_in_use_are_refused():
    taken = [term.symbol for term in TERMS]

    with pytest.raises(InvalidInput, match="taken"):
        symbol_for("x", layer="any", kind="D", geometry=["area"], letters="Fl", taken=taken)


def test_an_unknown_kind_is_refused_with_the_known_ones_named():
    with pytest.raises(InvalidInput, match="D, A, I, T"):
        symbol_for("x", layer="any", kind="M", geometry=["area"])


@pytest.mark.parametrize("term", TERMS, ids=lambda term: term.code)
def test_a_symbol_survives_its_json(term):
    assert Symbol.from_json(term.symbol.to_json()) == term.symbol


@pytest.mark.parametrize("pattern", KINDS_OF_LINE)
def test_an_svg_pattern_is_well_formed_and_turned_the_other_way_for_y_down(pattern):
    element = ElementTree.fromstring(svg_pattern(plain_symbol(pattern, 22.5), "hatch-1"))

    assert element.get("patternTransform") == "rotate(-22.5)"
    assert float(element.get("width")) > 0
    assert element.find("path").get("d").startswith("M")


def test_a_pattern_id_with_markup_is_refused():
    with pytest.raises(InvalidInput, match="cannot name a pattern"):
        svg_pattern(plain_symbol(), '"><script>')
