"""How much faster, leaner and smaller is a report than plain platypus flowables for every mark?

294 cell plates with 40 outlines each over photographs. The peer draws the same picture, outlines,
hatch lines, letters, ticks and list by reportlab's own shapes, strings and tables; it is spared
the rest of a report, PDF/A, leader lines and the search for free label places. Each run is a
process of its own; sides alternate, five pairs. Run: python tests/benchmarks/report_benchmark.py
"""

import json
import math
import subprocess
import sys
import time
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from random import Random
from statistics import median
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import shapely  # noqa: E402
from reportlab import rl_config  # noqa: E402
from reportlab.graphics import shapes  # noqa: E402
from reportlab.lib.colors import HexColor, white  # noqa: E402
from reportlab.lib.styles import getSampleStyleSheet  # noqa: E402
from reportlab.lib.utils import ImageReader  # noqa: E402
from reportlab.platypus import (  # noqa: E402
    Flowable,
    LongTable,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    TableStyle,
)

from gridmap.lengths import format_feet_inches  # noqa: E402
from gridmap.symbols import hatch_segments  # noqa: E402
from survey.report import content as c  # noqa: E402
from survey.report.build import build_pdf  # noqa: E402
from survey.report.fonts import REGULAR, STRONG, load_typeface  # noqa: E402
from survey.report.layout.hatches import (  # noqa: E402
    OUTLINE_PT,
    OUTLINE_RIM_PT,
    PT_PER_PX,
    RIM_PT,
)
from survey.report.layout.pictures import Darkroom  # noqa: E402
from survey.report.layout.plates import size_texts  # noqa: E402
from tests.survey.report import harvest_report as harvest  # noqa: E402

PAIRS, OUTLINES_A_PLATE = 5, 40
MAP_PT = 341.0  # side of the drawing; the report's own plates with 40 items are as large
LEAST_SPEED_UP, MOST_FILE_SHARE, MOST_MEMORY_SHARE = 3.5, 0.8, 1.0


def plates(photograph: Path) -> tuple[c.CellPlate, ...]:
    """Return a plate for each of the 294 cells, over one photograph of the wall."""
    grid, extent_in = harvest.grid(), (0.0, 0.0, harvest.WIDTH_IN, harvest.HEIGHT_IN)
    picture = c.BasePicture("mosaic", extent_in, "normal light", photograph)
    return tuple(
        c.CellPlate(cell, grid.bounds(cell), _areas(grid.bounds(cell), cell), picture)
        for cell in grid.labels()
    )


def _areas(bounds_in: tuple[float, float, float, float], cell: str) -> tuple[c.PlateOutline, ...]:
    random = Random(cell)
    x0, y0, x1, y1 = bounds_in
    made = []
    for number in range(OUTLINES_A_PLATE):
        at = random.uniform(x0, x1), random.uniform(y0, y1)
        shape = harvest.blob(random, *at, random.uniform(0.5, 2.5), points=24)
        size = c.Size(shape.area, "sq in", 0.06 * math.sqrt(shape.length / 2))
        term = harvest.AREA_TERMS[number % len(harvest.AREA_TERMS)]
        made.append(c.PlateOutline(f"L{number}", term, "area", shape, size))
    return tuple(made)


def report_of(some: tuple[c.CellPlate, ...]) -> c.ReportContent:
    issued = replace(harvest.document(), state=c.ReportState.ISSUED)
    return harvest.bare_report(plates=some, terms=harvest.terms(), document=issued)


def by_flowables(some: tuple[c.CellPlate, ...]) -> bytes:
    """Build the same plates with reportlab's shapes, strings and tables, one for every mark."""
    load_typeface()
    terms, darkroom, target = harvest.terms(), Darkroom(), BytesIO()
    heading = getSampleStyleSheet()["Heading3"]
    story: list[object] = []
    for plate in some:
        story += [Paragraph(plate.cell, heading), _drawing(plate, terms, darkroom), Spacer(1, 8)]
        story += [_list(plate, terms), PageBreak()]
    SimpleDocTemplate(target, leftMargin=45, rightMargin=45, topMargin=62, bottomMargin=56).build(
        story
    )
    return target.getvalue()


def _drawing(plate: c.CellPlate, terms: dict[str, c.TermEntry], darkroom: Darkroom) -> Flowable:
    x0, y0, x1, _ = plate.bounds_in
    scale = MAP_PT / (x1 - x0)
    drawing = shapes.Drawing(MAP_PT + 30, MAP_PT + 30)
    assert plate.picture is not None
    crop = darkroom.crop(plate.picture, plate.bounds_in, width_pt=MAP_PT)
    assert crop is not None
    for outline in plate.outlines:
        _add_outline(drawing, outline, terms[outline.term], (x0, y0, scale))
    drawing.add(shapes.Rect(27, 30, MAP_PT, MAP_PT, fillColor=None, strokeWidth=0.9))
    for inch in range(25):
        at = inch * scale
        drawing.add(
            shapes.Line(27 + at, 30, 27 + at, 25 if inch % 3 == 0 else 27.5, strokeWidth=0.5)
        )
        drawing.add(
            shapes.Line(27, 30 + at, 22 if inch % 3 == 0 else 24.5, 30 + at, strokeWidth=0.5)
        )
        if inch % 3 == 0:
            shown = format_feet_inches(inch)
            drawing.add(
                shapes.String(
                    27 + at, 18, shown, fontName=REGULAR, fontSize=6.8, textAnchor="middle"
                )
            )
            drawing.add(
                shapes.String(20, 28 + at, shown, fontName=REGULAR, fontSize=6.8, textAnchor="end")
            )
    return Pictured(crop.jpeg, drawing)


class Pictured(Flowable):
    """A drawing over a photograph, which reportlab's own Image shape would embed unpacked."""

    def __init__(self, jpeg: bytes, drawing: shapes.Drawing) -> None:
        super().__init__()
        self.jpeg, self.drawing = jpeg, drawing
        self.width, self.height = drawing.width, drawing.height

    def wrap(self, *_available: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self.canv.drawImage(ImageReader(BytesIO(self.jpeg)), 27, 30, MAP_PT, MAP_PT)
        self.drawing.drawOn(self.canv, 0, 0)


def _add_outline(
    drawing: shapes.Drawing,
    outline: c.PlateOutline,
    term: c.TermEntry,
    frame: tuple[float, float, float],
) -> None:
    x0, y0, scale = frame
    at = shapely.transform(outline.shape, lambda xy: (xy - (x0, y0)) * scale + (27, 30))
    hue = HexColor(term.symbol.hue)
    group = shapes.Group(_ring_path(at, isClipPath=1))
    weight = term.symbol.weight_px * PT_PER_PX
    segments = hatch_segments(at.bounds, term.symbol, unit_per_px=PT_PER_PX).tolist()
    for width, colour in ((weight + RIM_PT, white), (weight, hue)):
        for x, y, to_x, to_y in segments:
            group.add(
                shapes.Line(
                    x, y, to_x, to_y, strokeColor=colour, strokeWidth=width, strokeLineCap=1
                )
            )
    drawing.add(_ring_path(at, strokeColor=white, strokeWidth=OUTLINE_RIM_PT, fillColor=None))
    drawing.add(group)
    drawing.add(_ring_path(at, strokeColor=hue, strokeWidth=OUTLINE_PT, fillColor=None))
    spot = at.representative_point()
    shown = f"{term.symbol.letters} {outline.item}"
    drawing.add(
        shapes.String(spot.x, spot.y, shown, fontName=STRONG, fontSize=6.4, textAnchor="middle")
    )


def _ring_path(shape: object, **options: object) -> shapes.Path:
    path = shapes.Path(**options)
    for part in getattr(shape, "geoms", [shape]):
        for ring in (part.exterior, *part.interiors):
            first, *others = ring.coords
            path.moveTo(*first)
            for point in others:
                path.lineTo(*point)
            path.closePath()
    return path


def _list(plate: c.CellPlate, terms: dict[str, c.TermEntry]) -> LongTable:
    cells = [
        (o.item, terms[o.term].symbol.letters, terms[o.term].name, *size_texts(o.size))
        for o in plate.outlines
    ]
    half = len(cells) // 2
    head = ("Item", "Code", "Term", "Size ±", "")
    rows = [head * 2, *((*a, *b) for a, b in zip(cells[:half], cells[half:], strict=True))]
    style = [("FONT", (0, 0), (-1, -1), REGULAR, 7.4), ("FONT", (0, 0), (0, -1), STRONG, 7.4),
             ("LINEBELOW", (0, 0), (-1, -1), 0.4, HexColor("#D9D1C4")),
             ("TOPPADDING", (0, 0), (-1, -1), 1.7), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.7)]  # fmt: skip
    return LongTable(
        rows, colWidths=[38, 24, 96, 62, 34] * 2, rowHeights=12.4, style=TableStyle(style)
    )


SIDES = {"ours": lambda some: build_pdf(report_of(some)), "peer": by_flowables}


def measure(side: str, photograph: Path, *, binary: bool) -> dict[str, float]:
    """Build once in this process; return seconds, bytes and memory beyond the content [MB]."""
    some = plates(photograph)
    rl_config.useA85 = 0 if binary else 1
    before_kb = peak_memory_kb()
    start = time.perf_counter()
    made = SIDES[side](some)
    seconds = time.perf_counter() - start
    memory_mb = (peak_memory_kb() - before_kb) / 1024
    return {"seconds": seconds, "bytes": len(made), "memory_mb": memory_mb}


def peak_memory_kb() -> int:
    """Return this process's peak memory [KB]; `getrusage` would count what its parent held."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(status.split("VmHWM:")[1].split()[0])


def in_own_process(side: str, photograph: Path, *, binary: bool) -> dict[str, float]:
    options = ["--measure", side, str(photograph), *(["--binary"] if binary else [])]
    command = [sys.executable, __file__, *options]
    return json.loads(subprocess.run(command, capture_output=True, check=True, text=True).stdout)


def main(photograph: Path) -> int:
    """Run the pairs, print every figure, and say whether the goals are reached.

    With --binary the peer, too, writes binary streams, which reportlab does not do by itself.
    """
    photograph.write_bytes(harvest.painting())
    binary = "--binary" in sys.argv
    ratios: dict[str, list[float]] = {"seconds": [], "bytes": [], "memory_mb": []}
    for pair in range(1, PAIRS + 1):
        sides = ("ours", "peer") if pair % 2 else ("peer", "ours")
        found = {side: in_own_process(side, photograph, binary=binary) for side in sides}
        for key, kept in ratios.items():
            kept.append(found["peer"][key] / found["ours"][key])
        print(
            f"pair {pair}: report {_said(found['ours'])}; plain flowables {_said(found['peer'])}; "
            f"{ratios['seconds'][-1]:.2f} times faster"
        )
    speed_up = median(ratios["seconds"])
    file_share, memory_share = 1 / median(ratios["bytes"]), 1 / median(ratios["memory_mb"])
    print(f"median of {PAIRS}: {speed_up:.2f} times faster (goal {LEAST_SPEED_UP}), "
          f"file {file_share:.2f} of the peer's (goal {MOST_FILE_SHARE}), "
          f"memory {memory_share:.2f} (goal {MOST_MEMORY_SHARE})")  # fmt: skip
    reached = (
        speed_up >= LEAST_SPEED_UP
        and file_share <= MOST_FILE_SHARE
        and memory_share <= MOST_MEMORY_SHARE
    )
    return 0 if reached else 1


def _said(run: dict[str, float]) -> str:
    return f"{run['seconds']:.2f} s, {run['bytes'] / 1e6:.1f} MB, +{run['memory_mb']:.0f} MB memory"


if __name__ == "__main__":
    if "--measure" in sys.argv:
        side, photograph = sys.argv[sys.argv.index("--measure") + 1 :][:2]
        print(json.dumps(measure(side, Path(photograph), binary="--binary" in sys.argv)))
    else:
        with TemporaryDirectory() as folder:
            sys.exit(main(Path(folder) / "mosaic.jpg"))
