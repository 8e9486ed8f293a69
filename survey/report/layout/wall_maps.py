"""What of the wall was seen, with which terms was it described, and where does everything lie?"""

from collections.abc import Callable

from reportlab.platypus import CondPageBreak, Flowable

from gridmap.lengths import format_area
from survey.report import wording
from survey.report.content import Coverage, TermEntry, used_terms
from survey.report.layout.elevation import (
    QUIET,
    Strip,
    coverage_layer,
    findings_layer,
    hidden_numbers,
    items_layer,
    pieces_of,
)
from survey.report.layout.hatches import dotted, plain_hatch, swatch_operators
from survey.report.layout.ink import fill, rectangle, stroke
from survey.report.layout.ledger_table import Cell, Column, Swatch
from survey.report.layout.setting import Setting
from survey.report.layout.style import GROUND, INK, PANEL, TABLE_MUTED, TABLE_STRONG

SQ_IN_PER_SQ_FT = 144.0
MARKS_IN_A_ROW = 5
SWATCH_PT = (26.0, 13.0)


def coverage(setting: Setting) -> list[Flowable]:
    """Return what was seen and touched, in areas, per cent and on the strip; then the limits."""
    content = setting.content
    out: list[Flowable] = []
    if content.coverage:
        out += [
            _coverage_table(setting),
            setting.note(_openings_note(setting)),
            _coverage_key(setting),
        ]
    else:
        out.append(setting.paragraph(wording.NO_COVERAGE))
    for item in content.coverage:
        out += _mode_coverage(setting, item)
    limits = setting.bullets((*wording.LIMITS, *content.further_limits))
    out += setting.topic("Limits", *limits)
    return out


def _coverage_table(setting: Setting) -> Flowable:
    columns = (
        Column("Mode", 2.0, face=TABLE_STRONG),
        Column("Painted, sq ft", 1, align="right"),
        Column("Seen, sq ft", 1, align="right"),
        Column("Seen, %", 0.8, align="right"),
        Column("Within touch, sq ft", 1.1, align="right"),
        Column("Within touch, %", 1.0, align="right"),
        Column("Not seen, sq ft", 1, align="right"),
    )
    rows = [
        (
            c.mode,
            _sq_ft(c.painted_sq_in),
            _sq_ft(c.seen_sq_in),
            _per_cent(c.seen_sq_in, c.painted_sq_in),
            _sq_ft(c.touch_sq_in),
            _per_cent(c.touch_sq_in, c.painted_sq_in),
            _sq_ft(c.painted_sq_in - c.seen_sq_in),
        )
        for c in setting.content.coverage
    ]
    return setting.table(columns, rows)


def _openings_note(setting: Setting) -> str:
    openings = setting.content.openings_sq_in
    names = ", ".join(opening.name for opening in setting.content.wall.openings)
    if not names:
        return "The painted field has no openings; nothing was subtracted."
    return (
        f"Openings ({names}), {format_area(openings)} together, are not painted and are subtracted "
        "from every area on this page."
    )


def _coverage_key(setting: Setting) -> Flowable:
    press = setting.press
    width, height = SWATCH_PT

    def boxed(inside: str, x: float, y: float) -> str:
        box = rectangle(x, y, width, height)
        return f"q {box}W n {inside}Q q {stroke(INK, 0.6)}{box}S Q "

    def ground(
        colour: str, over: Callable[[], str] = str
    ) -> Callable[[float, float, float, float], str]:
        def draw(x: float, y: float, w: float, h: float) -> str:
            at = f"1 0 0 1 {x:.2f} {y:.2f} cm "
            return boxed(f"{fill(colour)}{rectangle(x, y, w, h)}f {at}{over()}", x, y)

        return draw

    bounds = (0.0, 0.0, width, height)
    touched = ground(GROUND)
    reachless = ground(PANEL, lambda: dotted(press, "key reach", bounds))
    unseen = ground(GROUND, lambda: plain_hatch(press, "key unseen", bounds, angle=45))
    columns = [Column("", 0.55), Column("", 2)] * 3
    row = (
        Swatch(width, height, touched), "plain: seen and within touch",
        Swatch(width, height, reachless), "dotted: seen, out of reach",
        Swatch(width, height, unseen), "hatched: not seen; nothing is said",
    )  # fmt: skip
    return setting.table(columns, [row])


def _mode_coverage(setting: Setting, item: Coverage) -> list[Flowable]:
    wall, press = setting.content.wall, setting.press
    strip = Strip(
        press,
        wall,
        pieces_of(wall, 1)[0],
        width_pt=setting.geometry.text_width_pt,
        most_height_pt=300,
        over=lambda drawn: coverage_layer(drawn, item),
        after=lambda drawn: hidden_numbers(drawn, item),
    )
    columns = (
        Column("No.", 0.4, align="right", face=TABLE_STRONG),
        Column("Cause", 5),
        Column("What it stopped", 2),
        Column("Area, sq ft", 1, align="right"),
    )
    rows = [
        (
            str(number),
            hidden.cause,
            "touch only" if hidden.out_of_reach_only else "sight and touch",
            _sq_ft(hidden.area_sq_in),
        )
        for number, hidden in enumerate(item.hidden, start=1)
    ]
    table = (
        setting.table(columns, rows)
        if rows
        else setting.note("Nothing was hidden or out of reach in this mode.")
    )
    return setting.topic(f"Coverage: {item.mode}", strip, table)


def vocabulary(setting: Setting) -> list[Flowable]:
    """Return the legend: only the terms used, with symbol, letters and definition."""
    terms = used_terms(setting.content)
    version = setting.content.document.vocabulary_version
    said = f"Vocabulary version {version}. " if version is not None else ""
    if not terms:
        return [setting.paragraph(said + wording.NO_TERMS)]
    columns = (
        Column("Symbol", 0.7),
        Column("Code", 0.5, face=TABLE_STRONG),
        Column("Term", 1.7, face=TABLE_STRONG),
        Column("Layer, kind", 1.4, face=TABLE_MUTED),
        Column("Definition", 4.6),
    )
    rows = [
        (
            _term_swatch(setting, term),
            term.symbol.letters,
            term.name,
            ", ".join(text for text in (term.layer, term.kind) if text),
            f"{term.definition} {term.rule}".strip(),
        )
        for term in terms
    ]
    note = (
        f"{said}Only terms that this report uses are listed. The two letters stand in or beside "
        "each outline, so that the plates can be read without colour."
    )
    return [setting.note(note), setting.table(columns, rows)]


def _term_swatch(setting: Setting, term: TermEntry) -> Swatch:
    def draw(x: float, y: float, width: float, height: float) -> str:
        return swatch_operators(setting.press, term, (x + 1, y + 1, width, height))

    return Swatch(*SWATCH_PT, draw)


def key_elevation(setting: Setting) -> list[Flowable]:
    """Return the wall to scale with everything recorded, and in pieces with the findings."""
    wall, terms, press = setting.content.wall, dict(setting.content.terms), setting.press
    width = setting.geometry.text_width_pt
    room = setting.geometry.text_height_pt - 150
    length = wall.columns[-1].to_in - wall.columns[0].from_in
    height = wall.rows[-1].to_in - wall.rows[0].from_in
    whole = Strip(
        press, wall, pieces_of(wall, 1)[0], width_pt=width, names_zones=True, most_height_pt=room
    )
    count = _piece_count(length, height, width, room - whole.height)
    pieces = pieces_of(wall, count)
    longest = max(piece.to_in - piece.from_in for piece in pieces)
    out: list[Flowable] = [
        setting.note(
            "Grid, openings and decks are drawn to scale. Rows and columns name the cells: row "
            "first, then column. The first strip shows the zones, those below it every outline "
            "and, where the survey was compared, the mark of each finding other than “no change "
            "shown” and “seen, no change visible”."
        ),
        whole,
    ]
    if not setting.items.outlines:
        return [*out, setting.paragraph(wording.NO_PLATES)]
    for number, piece in enumerate(pieces, start=1):
        strip = Strip(
            press,
            wall,
            piece,
            width_pt=width,
            longest_in=longest,
            most_height_pt=room,
            over=lambda drawn: items_layer(drawn, setting.items, terms),
            after=lambda drawn: findings_layer(drawn, setting.items),
        )
        out += [
            CondPageBreak(strip.height),
            setting.note(f"Strip {number} of {len(pieces)}"),
            strip,
        ]
    return [*out, *_marks_key(setting)]


def _piece_count(length_in: float, height_in: float, width_pt: float, room_pt: float) -> int:
    """Return into how many pieces to cut the wall for the largest scale that fits the room."""
    best, best_scale = 1, 0.0
    for count in range(1, 9):
        across = width_pt / (length_in / count)
        up = (room_pt / count - 44) / height_in
        if min(across, up) > best_scale:
            best, best_scale = count, min(across, up)
    return best


def _marks_key(setting: Setting) -> list[Flowable]:
    found = {o.finding for o in setting.items.outlines if o.finding and o.finding not in QUIET}
    kept: list[Cell] = [finding for finding in wording.FINDING_MEANINGS if finding in found]
    if not kept:
        return []
    rows = []
    for start in range(0, len(kept), MARKS_IN_A_ROW):
        some = kept[start : start + MARKS_IN_A_ROW]
        rows.append((*some, *[""] * (MARKS_IN_A_ROW - len(some))))
    columns = [Column("", 1.0)] * MARKS_IN_A_ROW
    return setting.topic("Marks of findings", setting.table(columns, rows))


def _sq_ft(area_sq_in: float) -> str:
    return f"{area_sq_in / SQ_IN_PER_SQ_FT:,.1f}"


def _per_cent(part: float, whole: float) -> str:
    return f"{100 * part / whole:.1f}" if whole > 0 else "–"
