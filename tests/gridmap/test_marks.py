"""Do marks draw the shapes that their names promise?"""

import math

import pytest

from gridmap.marks import (
    FINDING_MARKS,
    MARKS_BY_KIND,
    TERM_MARKS,
    finding_mark,
    svg_path,
    term_mark,
)

# look of findings: one mark per finding that a comparison may give
FINDINGS = {
    "new", "split", "merged", "grown", "progressed", "revealed", "first seen", "drawn smaller",
    "not found", "treated", "no change shown", "seen, no change visible", "not looked at again",
    "not comparable",
}  # fmt: skip


def points(path):
    return [numbers[i : i + 2] for _, *numbers in path for i in range(0, len(numbers), 2)]


def test_each_finding_has_its_own_mark():
    assert set(FINDING_MARKS) == FINDINGS
    assert len({(mark.fill, mark.stroke) for mark in FINDING_MARKS.values()}) == len(FINDINGS)


@pytest.mark.parametrize(
    "mark", [*FINDING_MARKS.values(), *TERM_MARKS.values()], ids=lambda m: m.name
)
def test_a_mark_has_ink_and_keeps_to_its_square(mark):
    assert mark.fill or mark.stroke
    for x, y in points(mark.fill + mark.stroke):
        assert -1.15 <= x <= 1.15
        assert -1.15 <= y <= 1.15


@pytest.mark.parametrize(
    "mark", [*FINDING_MARKS.values(), *TERM_MARKS.values()], ids=lambda m: m.name
)
def test_filled_paths_are_closed(mark):
    starts = sum(command[0] == "M" for command in mark.fill)

    assert sum(command[0] == "Z" for command in mark.fill) == starts


def test_marks_of_terms_are_shared_out_among_kinds_without_overlap():
    shared_out = [name for names in MARKS_BY_KIND.values() for name in names]

    assert sorted(shared_out) == sorted(TERM_MARKS)


def test_a_wedge_for_grown_points_up_and_one_for_drawn_smaller_points_down():
    highest = max(points(finding_mark("grown").fill), key=lambda point: point[1])
    lowest = min(points(finding_mark("drawn smaller").fill), key=lambda point: point[1])

    assert highest[0] == 0.0
    assert lowest[0] == 0.0


def test_the_disc_is_round():
    start, *curves = term_mark("disc").fill[:-1]
    radius, here = start[1], start[1:]
    for _, *numbers in curves:
        a, b, c = numbers[:2], numbers[2:4], numbers[4:]
        middle = [(here[i] + 3 * a[i] + 3 * b[i] + c[i]) / 8 for i in (0, 1)]

        # source: from memory, a quarter circle by one cubic curve errs by less than 0.03 %
        assert math.hypot(*middle) == pytest.approx(radius, rel=3e-4)
        here = c


def test_svg_paths_have_y_down_and_take_a_size():
    path = (("M", 0.0, 1.0), ("L", 1.0, -0.5), ("C", 0.0, 0.0, 1.0, 1.0, 0.5, 0.25), ("Z",))

    # Worked by hand: x times 8, y times -8.
    assert svg_path(path, size=8) == "M0 -8L8 4C0 0 8 -8 4 -2Z"


def test_an_unknown_finding_has_no_mark():
    with pytest.raises(KeyError):
        finding_mark("verdict")
