"""Does a plate show what was drawn: in size, in place, over an untouched picture?"""

from dataclasses import replace
from io import BytesIO
from random import Random

import numpy as np
import pikepdf
import pytest
from PIL import Image
from shapely.geometry import Point, Polygon, box

from survey.report import content as c
from survey.report.build import build_pdf
from survey.report.layout.plates import size_texts
from tests.survey.report.harvest_report import (
    bare_report,
    blob,
    document,
    grid,
    outlines_of,
    terms,
)
from tests.survey.report.reading import DrawnPath, area_of, outline_of, pages_of, paths_of

CELL = "C17"
X0, Y0, X1, Y1 = 384.0, 96.0, 408.0, 120.0  # source: column 17 and row C of 2 ft cells, by hand
SQUARE = Polygon([(390, 100), (396, 100), (396, 106), (390, 106)])


def plate_pdf(*outlines: c.PlateOutline, picture: c.BasePicture | None = None) -> bytes:
    issued = replace(document(), state=c.ReportState.ISSUED)
    plate = c.CellPlate(CELL, (X0, Y0, X1, Y1), outlines, picture)
    return build_pdf(bare_report(terms=terms(), plates=(plate,), document=issued))


def area_outline(shape: Polygon, item: str = "L1", **more: object) -> c.PlateOutline:
    return c.PlateOutline(
        item, "paint-loss", "area", shape, c.Size(shape.area, "sq in", 0.1), **more
    )  # type: ignore[arg-type]


def plate_paths(pdf: bytes) -> list[DrawnPath]:
    return paths_of(pdf, dict(outline_of(pdf))[f"Cell {CELL}"])


def hue_of(term: str) -> tuple[float, ...]:
    hue = terms()[term].symbol.hue
    return tuple(round(int(hue[i : i + 2], 16) / 255, 3) for i in (1, 3, 5))


def inked(pdf: bytes) -> list[DrawnPath]:
    """Return the outlines drawn in the term's own colour."""
    return [p for p in plate_paths(pdf) if p.stroke == hue_of("paint-loss") and p.operator == "S"]


def scale_of(pdf: bytes) -> float:
    """Return points per inch of wall, measured between the outermost ticks of the lower edge."""
    upright = [p.points for p in plate_paths(pdf) if len(p.points) == 2 and p.width == 0.5]
    places = [a[0] for a, b in upright if a[0] == pytest.approx(b[0]) and a[1] > b[1]]
    return (max(places) - min(places)) / (X1 - X0)


def test_the_cell_lies_where_the_plate_says() -> None:
    assert grid().bounds(CELL) == (X0, Y0, X1, Y1)


def test_an_outline_is_drawn_with_its_true_area() -> None:
    shape = blob(Random(5), 395, 108, 4, points=40)
    pdf = plate_pdf(area_outline(shape))

    (drawn,) = inked(pdf)

    # The stream holds hundredths of a point: 0.005 pt along the boundary at most.
    scale = scale_of(pdf)
    slack = 0.006 * shape.length * scale / scale**2
    assert area_of(drawn.points) / scale**2 == pytest.approx(shape.area, abs=slack)


def test_an_outline_is_drawn_in_its_place() -> None:
    pdf = plate_pdf(area_outline(SQUARE))
    scale = scale_of(pdf)

    (drawn,) = inked(pdf)

    corners = np.array(drawn.points)
    ticks = [p.points for p in plate_paths(pdf) if len(p.points) == 2 and p.width == 0.5]
    left = min(a[0] for a, b in ticks if a[0] == b[0])
    assert corners[:, 0].min() - left == pytest.approx((390 - X0) * scale, abs=0.02)
    assert np.ptp(corners[:, 0]) == pytest.approx(6 * scale, abs=0.02)
    assert np.ptp(corners[:, 1]) == pytest.approx(6 * scale, abs=0.02)


def test_a_hole_is_drawn_and_not_hatched() -> None:
    ring = SQUARE.difference(box(392, 102, 394, 104))
    pdf = plate_pdf(area_outline(ring))
    page = dict(outline_of(pdf))[f"Cell {CELL}"]

    with pikepdf.open(BytesIO(pdf)) as read:
        operators = [str(o) for _, o in pikepdf.parse_content_stream(read.pages[page - 1])]
    (drawn,) = inked(pdf)

    assert len(drawn.points) == 5 + 5
    assert "W*" in operators  # clipped by the even-odd rule, so the hole stays free


def test_the_outline_lies_on_a_white_rim() -> None:
    paths = plate_paths(plate_pdf(area_outline(SQUARE)))

    white = [p for p in paths if p.stroke == (1.0,) and len(p.points) == 5]

    assert white and white[0].width > inked(plate_pdf(area_outline(SQUARE)))[0].width


def test_the_earlier_outline_has_neither_hatch_nor_row_in_the_list() -> None:
    earlier = area_outline(SQUARE.buffer(-1), "L9", earlier=True)
    pdf = plate_pdf(area_outline(SQUARE), earlier)

    text = pages_of(pdf)[dict(outline_of(pdf))[f"Cell {CELL}"] - 1]

    assert "L1" in text and "L9" not in text
    assert len(inked(pdf)) == 1


def test_letters_and_item_stand_beside_each_outline_and_in_the_list() -> None:
    outlines = outlines_of(CELL, count=12, seed=3)
    pdf = plate_pdf(*outlines)
    text = pages_of(pdf)[dict(outline_of(pdf))[f"Cell {CELL}"] - 1]

    for outline in outlines:
        letters = terms()[outline.term].symbol.letters
        assert f"{letters} {outline.item}" in text
        assert terms()[outline.term].name in text


def test_ticks_count_feet_and_inches_from_the_cell() -> None:
    pdf = plate_pdf(area_outline(SQUARE))
    text = pages_of(pdf)[dict(outline_of(pdf))[f"Cell {CELL}"] - 1]

    for tick in ("0″", "6″", "1′ 0″", "1′ 6″", "2′ 0″"):
        assert text.count(tick) >= 2
    assert "32′ 0″ to 34′ 0″ from the left end, 8′ 0″ to 10′ 0″ above" in text


def test_forty_items_are_all_listed() -> None:
    outlines = outlines_of(CELL, count=40, seed=8)
    pdf = plate_pdf(*outlines)
    text = pages_of(pdf)[dict(outline_of(pdf))[f"Cell {CELL}"] - 1]

    assert all(f" {outline.item} " in text for outline in outlines)


def test_more_items_than_a_page_holds_run_on_under_the_cells_name() -> None:
    outlines = outlines_of(CELL, count=160, seed=8)
    text = " ".join(pages_of(plate_pdf(*outlines)))

    assert f"{CELL}, list continued" in text
    assert all(f" {outline.item} " in text for outline in outlines)


def test_a_photograph_is_cut_to_the_cell_and_not_tinted() -> None:
    # Red left of the cell, a steady grey-green within it: only the latter may be embedded.
    colour = (120, 140, 110)
    image = Image.new("RGB", (480, 240), (200, 0, 0))
    image.paste(colour, (240, 0, 480, 240))
    kept = BytesIO()
    image.save(kept, "PNG")
    bounds = (X0 - 24, Y0, X1, Y1)
    picture = c.BasePicture("p", bounds, "normal light", kept.getvalue())
    pdf = plate_pdf(area_outline(SQUARE), picture=picture)
    page = dict(outline_of(pdf))[f"Cell {CELL}"]

    with pikepdf.open(BytesIO(pdf)) as read:
        (embedded,) = read.pages[page - 1].get_images().values()
        pixels = np.asarray(pikepdf.PdfImage(embedded).as_pil_image())

    assert pixels.shape[0] == pixels.shape[1]
    assert np.abs(pixels.astype(int) - colour).max() <= 3  # JPEG


def test_points_outside_the_cell_and_empty_plates_do_no_harm() -> None:
    outside = c.PlateOutline("P1", "pop-out", "point", Point(10, 10), c.Size(1, "count"))

    assert plate_pdf(outside) and plate_pdf()


@pytest.mark.parametrize(
    ("size", "printed"),
    [
        (c.Size(12.9, "sq in", 0.27), ("12.90 ± 0.27", "sq in")),
        (c.Size(5760.0, "sq in"), ("5,760.0", "sq in")),
        (c.Size(3, "count"), ("3", "no.")),
        (None, ("–", "")),
    ],
)
def test_sizes_carry_error_and_unit(size: c.Size | None, printed: tuple[str, str]) -> None:
    assert size_texts(size) == printed
