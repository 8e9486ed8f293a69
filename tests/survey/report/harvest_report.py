"""Which report do the tests build? One of the invented wall, its figures made up by a fixed seed."""

import math
from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache
from io import BytesIO
from random import Random

import numpy as np
import shapely
from PIL import Image, ImageDraw, ImageFilter
from shapely import affinity
from shapely.geometry import LineString, MultiPoint, Point, Polygon, box

from gridmap.grid import Grid
from survey.report import content as c
from survey.vocabulary.builtin import built_in_vocabulary
from survey.vocabulary.words import KINDS
from tests.survey.report.harvest_pairs import pairs, pairs_asked

WIDTH_IN, HEIGHT_IN = 1008.0, 168.0
DIGEST = "9f2c41d07b6e58a3c1f0d4b7e6a95832cc10ab47de6f0913b52874c6fa0e1d39"
CLEANED = box(96, 120, 288, 150)
ZONES = (
    ("upland", box(0, 120, 400, 160)), ("smoke", box(96, 118, 300, 156)),
    ("train", box(250, 60, 560, 118)), ("wheat", box(0, 10, 380, 60)),
    ("river", box(560, 20, 740, 70)), ("town", box(700, 90, 960, 150)),
    ("figures", box(820, 14, 980, 80)),
)  # fmt: skip


@cache
def grid() -> Grid:
    return Grid.regular(
        width_in=WIDTH_IN, height_in=HEIGHT_IN, column_spacing_in=24.0, row_spacing_in=24.0
    )


def wall_map() -> c.WallMap:
    clock = Point(504, 126).buffer(18, quad_segs=16)
    rise, half = 18.0, 36.0
    radius = (half**2 + rise**2) / (2 * rise)
    arch = Point(756, rise - radius).buffer(radius, quad_segs=64).intersection(box(720, 0, 792, 20))
    return c.WallMap(
        columns=c.bands_of(grid().columns),
        rows=c.bands_of(grid().rows),
        openings=(c.NamedArea("clock", clock), c.NamedArea("doorway head", arch)),
        zones=tuple(c.NamedArea(name, shape) for name, shape in ZONES),
        decks=(c.Deck("1", -12.0), c.Deck("2", 72.0)),
    )


@cache
def terms() -> dict[str, c.TermEntry]:
    return {
        term.code: c.TermEntry(
            code=term.code,
            name=term.name,
            layer=term.layer,
            kind=KINDS[term.kind],
            definition=term.definition,
            symbol=term.symbol,
        )
        for term in built_in_vocabulary().terms
    }


@cache
def painting(px_per_in: float = 9.0) -> bytes:
    """An invented painting: sky, hills, a train with smoke, wheat, and plaster grain over all."""
    width, height = int(WIDTH_IN * px_per_in), int(HEIGHT_IN * px_per_in)
    rows = np.linspace(0, 1, height)[:, None, None]
    sky, earth = np.array([196, 201, 190]), np.array([186, 142, 78])
    ground = np.broadcast_to(sky * (1 - rows) + earth * rows, (height, width, 3)).astype(np.uint8)
    image = Image.fromarray(ground.copy())
    pen, random = ImageDraw.Draw(image), Random(1936)
    for base, colour in ((0.42, "#8a9a7d"), (0.5, "#71835f"), (0.6, "#a58a4a")):
        crest = [
            (x, height * (base + 0.06 * math.sin(x / width * 19 + base * 40)))
            for x in range(0, width + 40, 40)
        ]
        pen.polygon([(0, height), *crest, (width, height)], fill=colour)
    for wagon in range(9):
        left = width * (0.26 + 0.032 * wagon)
        tint = ("#3d2a22", "#6d3b28", "#2f3a3a")[wagon % 3]
        pen.rectangle((left, height * 0.42, left + width * 0.028, height * 0.58), fill=tint)
    for _ in range(260):
        x, y = random.gauss(width * 0.2, width * 0.05), random.gauss(height * 0.2, height * 0.05)
        r = random.uniform(0.01, 0.05) * height
        pen.ellipse(
            (x - r, y - r, x + r, y + r), fill=random.choice(("#d8d4c8", "#b9b5ab", "#8f8c86"))
        )
    for _ in range(9000):
        x, y = random.uniform(0, width * 0.4), height * random.uniform(0.66, 1)
        pen.line(
            (x, y, x + random.uniform(-9, 9), y - random.uniform(20, 60)), fill="#c9a24b", width=3
        )
    grain = np.random.default_rng(1936).normal(0, 7, (height, width, 1))
    textured = np.clip(np.asarray(image.filter(ImageFilter.GaussianBlur(1.2))) + grain, 0, 255)
    kept = BytesIO()
    Image.fromarray(textured.astype(np.uint8)).save(kept, "JPEG", quality=84)
    return kept.getvalue()


def picture() -> c.BasePicture:
    return c.BasePicture(
        name="P1-normal-mosaic",
        bounds_in=(0.0, 0.0, WIDTH_IN, HEIGHT_IN),
        mode="normal light",
        source=painting(),
        taken_on=date(2026, 6, 16),
        digest=DIGEST,
    )


def blob(random: Random, x: float, y: float, radius: float, *, points: int = 14) -> Polygon:
    """An outline as a hand draws it: round, uneven, closed."""
    ring = []
    for i in range(points):
        r = radius * random.uniform(0.55, 1.25)
        angle = 2 * math.pi * i / points
        ring.append((x + r * math.cos(angle), y + 0.8 * r * math.sin(angle)))
    return shapely.make_valid(Polygon(ring), method="structure", keep_collapsed=False)


AREA_TERMS = (
    "paint-loss",
    "flaking",
    "detachment",
    "efflorescence",
    "whitening",
    "abrasion",
    "soiling",
    "retouching",
)
FINDINGS = (
    c.Finding.NO_CHANGE_SHOWN, c.Finding.SEEN_NO_CHANGE, c.Finding.NO_CHANGE_SHOWN, c.Finding.GROWN,
    c.Finding.SEEN_NO_CHANGE, c.Finding.NEW, c.Finding.NO_CHANGE_SHOWN, c.Finding.FIRST_SEEN,
)  # fmt: skip


def outlines_of(cell: str, *, count: int, seed: int, first: int = 1) -> tuple[c.PlateOutline, ...]:
    """Outlines of several terms in one cell, some of which reach into the next."""
    random = Random(f"{cell}{seed}")
    x0, y0, x1, y1 = grid().bounds(cell)
    made = []
    for number in range(first, first + count):
        x, y = random.uniform(x0 + 1, x1 - 1), random.uniform(y0 + 1, y1 - 1)
        finding = FINDINGS[number % len(FINDINGS)]
        pick = random.random()
        if pick < 0.7:
            made.append(_area(random, number, x, y, finding))
        elif pick < 0.88:
            steps = [(x, y)]
            for _ in range(6):
                steps.append(
                    (steps[-1][0] + random.uniform(0.3, 2), steps[-1][1] + random.uniform(-1.4, 1))
                )
            line = LineString(steps)
            made.append(
                c.PlateOutline(
                    f"C{number}",
                    "hairline-crack",
                    "line",
                    line,
                    c.Size(line.length, "in", 0.12),
                    finding,
                )
            )
        else:
            spots = MultiPoint(
                [(x + random.uniform(-2, 2), y + random.uniform(-2, 2)) for _ in range(3)]
            )
            made.append(
                c.PlateOutline(f"P{number}", "pop-out", "point", spots, c.Size(3, "count"), finding)
            )
    return tuple(made)


def _area(random: Random, number: int, x: float, y: float, finding: c.Finding) -> c.PlateOutline:
    shape = blob(random, x, y, random.choice((0.5, 1.0, 1.6, 2.6)))
    size = c.Size(shape.area, "sq in", 0.06 * math.sqrt(shape.length * 0.5))
    return c.PlateOutline(f"L{number}", random.choice(AREA_TERMS), "area", shape, size, finding)


CELLS = (
    "A07", "A08", "A21", "B05", "B06", "B07", "B31", "C12", "C17", "C18", "C29", "C33", "C34", "C35",
    "D09", "D17", "D18", "D40", "E05", "E11", "E12", "E26", "E39", "F03", "F14", "F22", "F36", "G02",
    "G17", "G41",
)  # fmt: skip


@cache
def plates() -> tuple[c.CellPlate, ...]:
    made, number = [], 1
    shown = picture()
    for place, cell in enumerate(CELLS):
        count = 40 if cell == "C34" else (14, 3, 7, 1, 20, 5)[place % 6]
        outlines = outlines_of(cell, count=count, seed=place, first=number)
        number += count
        if cell == "C17":
            outlines = (*story_four(), *outlines)
        if cell in ("B06", "B07"):
            cleaned = c.PlateOutline(
                "T1",
                "cleaned-area",
                "area",
                CLEANED,
                c.Size(CLEANED.area, "sq in"),
                c.Finding.TREATED,
            )
            outlines = (cleaned, *outlines)
        made.append(c.CellPlate(cell, grid().bounds(cell), outlines, shown))
    return tuple(made)


def story_four() -> tuple[c.PlateOutline, ...]:
    """The loss that goes from 12.0 to 12.9 sq in in C17, as both surveys drew it."""
    x0, y0, _, _ = grid().bounds("C17")
    before = affinity.translate(blob(Random(4), 9.0, 14.0, 2.2, points=18), x0, y0)
    before = affinity.scale(before, *(2 * [math.sqrt(12.0 / before.area)]))
    after = affinity.scale(before, *(2 * [math.sqrt(12.9 / before.area)]))
    return (
        c.PlateOutline(
            "L0", "paint-loss", "area", after, c.Size(12.9, "sq in", 0.19), c.Finding.GROWN
        ),
        c.PlateOutline(
            "L0", "paint-loss", "area", before, c.Size(12.0, "sq in", 0.19), earlier=True
        ),
    )


def schedule() -> tuple[c.ScheduleRow, ...]:
    rows, listed = [], set()
    for plate in plates():
        for place, outline in enumerate(o for o in plate.outlines if not o.earlier):
            if outline.item in listed:
                continue
            listed.add(outline.item)
            rows.append(
                c.ScheduleRow(
                    item=outline.item,
                    cells=(plate.cell,) if outline.item != "T1" else ("B05", "B06", "B07"),
                    term=outline.term,
                    size=outline.size,
                    condition=(place % 3) + 1,
                    urgency=3 if outline.finding is c.Finding.NEW and place % 7 == 0 else place % 2,
                    first_seen="P1 2026-06-16"
                    if outline.finding is c.Finding.NEW
                    else "B1 2026-03-04",
                    finding=outline.finding,
                )
            )
    return tuple(rows)


def coverage() -> tuple[c.Coverage, ...]:
    openings = shapely.union_all([opening.shape for opening in wall_map().openings])
    painted = box(0, 0, WIDTH_IN, HEIGHT_IN).difference(openings)
    boards = box(0, 66, WIDTH_IN, 78)
    tarpaulin = box(840, 96, 912, 144)
    top = box(0, 150, WIDTH_IN, HEIGHT_IN)
    made = []
    for mode, extra in (("normal light", ()), ("raking light", (tarpaulin,))):
        unseen = shapely.union_all([boards, *extra])
        seen = painted.difference(unseen)
        touch = seen.difference(top)
        hidden = [c.HiddenArea("boards of deck 2", boards, boards.area)]
        hidden += [
            c.HiddenArea("tarpaulin of the contractor, 2026-06-17", t, t.area) for t in extra
        ]
        out = top.intersection(painted)
        hidden.append(
            c.HiddenArea("above arm’s reach from deck 2", out, out.area, out_of_reach_only=True)
        )
        made.append(
            c.Coverage(mode, painted.area, seen.area, touch.area, seen, touch, tuple(hidden))
        )
    return tuple(made)


def comparison() -> c.ComparisonSummary:
    window = c.LossWindow(
        last_sound="2026-03-04, normal light, photograph B1-0417",
        first_found="2026-06-16, normal light, photograph P1-0398",
        between=(
            "Phase 1, canopy demolition, 2026-03-16 to 2026-06-12",
            "Cleaning tests, 2026-06-08",
        ),
        edge="fresh",
        debris="bag 14 below columns 16 to 18, 0.4 g, red",
        opinions=(
            "1. vibration, in the opinion of I. Fallow",
            "2. change of damp, in the opinion of T. Sedge",
        ),
        standing="reserved",
    )
    changes = [
        c.ChangeRow("L0", ("C17",), "paint-loss", c.Finding.GROWN, c.Size(12.0, "sq in"), c.Size(12.9, "sq in"), 0.27, 0.53, 0.87, 0.0041, window),
        c.ChangeRow("L2", ("E05",), "paint-loss", c.Finding.DRAWN_SMALLER, c.Size(4.2, "sq in"), c.Size(3.1, "sq in"), 0.22, 0.43, 0.71, None),
    ]  # fmt: skip
    for plate in plates():
        for outline in plate.outlines:
            if outline.finding in (c.Finding.NEW, c.Finding.FIRST_SEEN) and outline.size:
                kept = window if outline.finding is c.Finding.NEW and len(changes) < 8 else None
                changes.append(
                    c.ChangeRow(
                        outline.item,
                        (plate.cell,),
                        outline.term,
                        outline.finding,
                        None,
                        outline.size,
                        loss_window=kept,
                    )
                )
    counts = [
        c.FindingCount(finding, 3 + 5 * n) for n, finding in enumerate(dict.fromkeys(FINDINGS))
    ]
    return c.ComparisonSummary(
        before="B1", after="P1", compared_sq_in=154_800, not_compared_sq_in=13_420, tested=171,
        false_discovery_rate=0.05, tolerance_in=0.25, cells_compared=271, cells_not_comparable=14,
        cells_not_examined=9, counts=tuple(counts),
        assumptions=(
            "Boundary error 0.06 in, stated from a redraw trial of ten outlines.",
            "Noise along a boundary is correlated over 0.5 in.",
            "Another hand adds a bias of 0.03 in along the whole boundary.",
        ),
        changes=tuple(changes),
    )  # fmt: skip


def document() -> c.Document:
    """The draft of the phase hand-over record."""
    return c.Document(
        number="PR-0002", version=1, state=c.ReportState.DRAFT, kind=c.ReportKind.PHASE,
        survey_code="P1", against_code="B1", produced_at=datetime(2026, 11, 18, 9, 0, tzinfo=UTC),
        layout_version=1, vocabulary_version=1, software="Pontata 0.1.0",
        standing_notes=("Invented demo data.", "Baseline B1 sealed 25 days after works began (scaffold erection)."),
    )  # fmt: skip


def work() -> c.WorkOfArt:
    """The invented painting."""
    return c.WorkOfArt(
        title="The Harvest Train", artist="Orla Benning", made="1936",
        technique="secco over fresco on three-coat lime plaster on brick",
        place="former railway booking hall of Marrowby Station, now the town’s library",
        owner="Marrowby Station Trust", inventory_number="MST 1936.1",
        width_in=WIDTH_IN, height_in=HEIGHT_IN, base_above_floor_in=96.0,
    )  # fmt: skip


def survey_facts() -> c.SurveyFacts:
    """Survey P1, after phase 1."""
    return c.SurveyFacts(
        code="P1", kind="after phase", starts_on=date(2026, 6, 15), ends_on=date(2026, 6, 19), state="closed",
        weather="dry, 61 to 70 °F outdoors", light="two LED panels, 800 lx at the wall, daylight shut out",
        access="decks 1 and 2, boards of deck 2 not lifted",
        method=(
            "Each cell was looked at in normal light first, then in raking light from the left and from the "
            "right. Outlines were drawn on a tablet over the rectified photograph of the day, last survey’s "
            "outline being shown only after the first look.",
        ),
        modes=(
            c.ModeUsed("normal", "normal light", "diffuse, from both sides", "loupe 10×", "", ("flaking", "paint loss", "efflorescence", "hairline crack", "pop-out")),
            c.ModeUsed("raking", "raking light", "from the left at 10°, then from the right", "lamp on a stand", "angle checked with an inclinometer, 2026-06-15", ("flaking", "detachment", "blister")),
        ),
        searched_by=("Ines Fallow", "Tomas Sedge", "Priya Lund"),
    )  # fmt: skip


def harvest_report(**changed: object) -> c.ReportContent:
    """The report on survey P1 against the baseline; name fields to have them otherwise."""
    report = c.ReportContent(
        document=document(),
        work=work(),
        survey=survey_facts(),
        wall=wall_map(),
        terms=terms(),
        instruction=c.Instruction("Marrowby Station Trust", date(2026, 1, 12), "Condition of the painting after the canopy was taken down, for the hand-over of phase 1.", "Marrowby Mutual Fire Office"),
        parties=(
            c.Party("owner", "Marrowby Station Trust", "Edda Quill, director"),
            c.Party("insurer", "Marrowby Mutual Fire Office", "Basil Thorne, adjuster"),
            c.Party("contractor", "Rook & Alder Builders", "Gil Alder, site manager"),
        ),
        authors=(
            c.Author("Ines Fallow", "lead conservator", "wall-painting conservator, 19 years", "paid by the owner; no share in the works"),
            c.Author("Tomas Sedge", "conservator", "wall-painting conservator, 6 years", "employed by I. Fallow"),
        ),
        summary=(
            "Two new paint losses with fresh edges lie in C33 and C34; both need a person within seven days.",
            "171 items were tested. One loss (L0 in C17) has grown by more than drawing error explains.",
            "23 cells could not be compared or were not seen; this report says nothing about change in them.",
            "One record contradicts another and is undecided (L2 in E05).",
        ),
        coverage=coverage(),
        openings_sq_in=sum(opening.shape.area for opening in wall_map().openings),
        further_limits=("Photographs of row A were taken from a pole; their residual is 0.04 in.",),
        plates=plates(),
        pairs=pairs(),
        pairs_asked=pairs_asked(),
        schedule=schedule(),
        comparison=comparison(),
        not_comparable=tuple(c.CellNote(f"B{n:02d}", "lamp stood on the other side", "raking light") for n in range(20, 34)),
        not_seen=tuple(c.CellNote(cell, "tarpaulin of the contractor", "raking light") for cell in ("B36", "B37", "B38", "C36", "C37", "C38", "D36", "D37", "D38")),
        queries=(
            c.Query("L2", ("E05",), "Paint loss is drawn smaller, 4.2 to 3.1 sq in, with no treatment on record; a loss cannot heal.", "N", ("1. another hand", "2. another light", "3. hidden edge", "4. fill not logged", "5. wrong item")),
            c.Query("L40", ("C29",), "Flaking is recorded as absent under a facing that was not lifted.", "", (), "correct the entry", "Ines Fallow", date(2026, 6, 22)),
        ),
        decisions=(
            c.Decision(
                "L0", ("C17",), "watch", "The edge is stable under the loupe, and the area lies above the doorway where no works are due.",
                "Ines Fallow", date(2026, 6, 20), "Marrowby Station Trust",
                (c.RefusedOption("treat now", "a facing would put more stress on the flakes than it takes off"),), date(2026, 7, 20), 1,
            ),
        ),
        treatments=(
            c.Treatment(
                ("B05", "B06", "B07"), "cleaned-area", "2026-06-22 09:10", "2026-06-26 16:40", "soot hides losses in the smoke zone", "Ines Fallow",
                "Marrowby Station Trust, 2026-06-18",
                (("Method", "rolled swab, three passes"), ("Product", "deionised water"), ("Dwell", "none"), ("Climate", "66 °F, 58 % RH"), ("Waste", "swabs bagged as contaminated")),
                ("Tomas Sedge", "Priya Lund"), "soot off, colour even; four old losses brought to view", "",
            ),
        ),
        signatures=(
            c.SignatureField("Lead conservator", "Ines Fallow", "", "I examined the painting as described and hold this report to be true to what I saw."),
            c.SignatureField("Contractor", "Gil Alder", "Rook & Alder Builders", "I was present as stated and received this report.", True, "2026-06-15 and 2026-06-16"),
            c.SignatureField("Owner", "Edda Quill", "Marrowby Station Trust", "Received."),
        ),
        images=tuple(
            c.ImageRow(f"P1-{n:04d}.tif", DIGEST[n % 32:] + DIGEST[:n % 32], datetime(2026, 6, 16, 9, n % 60, tzinfo=UTC), "Priya Lund", "normal light", CELLS[n % len(CELLS)], "P1")
            for n in range(398, 440)
        ),
        versions=(c.VersionRow(1, c.ReportState.DRAFT, date(2026, 6, 24), "First version."),),
        custody=(c.CustodyRow(datetime(2026, 6, 24, 15, 2, tzinfo=UTC), "Ines Fallow", "draft handed to the owner as a file"),),
    )  # fmt: skip
    return replace(report, **changed)  # type: ignore[arg-type]


def bare_report(**changed: object) -> c.ReportContent:
    """A report of a survey about which next to nothing is on record."""
    report = c.ReportContent(
        document=replace(
            document(), standing_notes=(), against_code=None, kind=c.ReportKind.CONDITION
        ),
        work=c.WorkOfArt("North wall", WIDTH_IN, HEIGHT_IN),
        survey=c.SurveyFacts("B1", "baseline", date(2026, 3, 2)),
        wall=replace(wall_map(), openings=(), zones=(), decks=()),
        terms={},
    )
    return replace(report, **changed)  # type: ignore[arg-type]
