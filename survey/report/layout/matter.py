"""What was found, what changed, what stays open, what was decided and done?"""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from gridmap.lengths import format_area, format_feet_inches
from survey.report import wording
from survey.report.content import (
    CellNote,
    ChangeRow,
    ComparisonSummary,
    Decision,
    LossWindow,
    Query,
    ScheduleRow,
    Size,
    Treatment,
)
from survey.report.layout.front import day
from survey.report.layout.ledger_table import Column, GroupHead, Row
from survey.report.layout.setting import Setting
from survey.report.layout.style import TABLE_MUTED, TABLE_STRONG

CELLS_IN_A_HEADING = 4
UNITS = (
    ("sq in", "Areas (sizes in sq in)"),
    ("in", "Lines (lengths in in)"),
    ("count", "Points (number)"),
    ("", "Without a size"),
)


def schedule(setting: Setting) -> list[Flowable]:
    """Return every item recorded, in parts by the unit of its size."""
    rows = setting.content.schedule
    if not rows:
        return [setting.paragraph(wording.NO_SCHEDULE)]
    out: list[Flowable] = [
        setting.note(
            f"Condition: {', '.join(wording.CONDITION_WORDS)}. "
            f"Urgency: {', '.join(wording.URGENCY_WORDS)}. ± is one standard error of the drawing, "
            "with that of the picture under it where its place is known. "
            "A dash means that nothing is recorded."
        )
    ]
    for unit, title in UNITS:
        some = [row for row in rows if (row.size.unit if row.size else "") == unit]
        if some:
            out += setting.topic(title, _schedule_table(setting, some, unit))
    return out


def _schedule_table(setting: Setting, rows: Sequence[ScheduleRow], unit: str) -> Flowable:
    head = {"sq in": "Size, sq in", "in": "Length, in", "count": "Number", "": "Size"}[unit]
    columns = (
        Column("Item", 0.95, face=TABLE_STRONG),
        Column("Cells", 0.95),
        Column("Term", 1.75),
        Column(head, 0.8, align="right"),
        Column("±", 0.5, align="right"),
        Column("Con-\ndition", 0.5, align="right"),
        Column("Ur-\ngency", 0.5, align="right"),
        Column("First seen", 1.15),
        Column("Finding", 2.2),
        Column("Plate,\npage", 0.55, align="right"),
    )
    set_rows: list[Row] = [
        (
            row.item,
            ", ".join(row.cells),
            _with_note(_with_note(setting.term_name(row.term), row.note), row.drawn_error),
            *value_and_error(row.size),
            "–" if row.condition is None else str(row.condition),
            "–" if row.urgency is None else str(row.urgency),
            row.first_seen or "–",
            row.finding or "–",
            setting.plate_page(row.cells),
        )
        for row in rows
    ]
    return setting.table(columns, set_rows)


def value_and_error(size: Size | None) -> tuple[str, str]:
    """Return a size and its standard error as two aligned numbers."""
    if size is None:
        return "–", "–"
    if size.unit == "count":
        return f"{size.value:.0f}", "–"
    return f"{size.value:,.1f}", "–" if size.error is None else f"{size.error:.2f}"


def _with_note(name: str, note: str) -> str:
    return f"{name}\n{note}" if note else name


def change(setting: Setting) -> list[Flowable]:
    """Return what was compared, how sure it is, each changed item, and the loss windows."""
    comparison = setting.content.comparison
    if comparison is None:
        return [setting.paragraph(wording.NO_COMPARISON)]
    out: list[Flowable] = [setting.facts(_comparison_facts(comparison))]
    if comparison.assumptions:
        out += setting.topic("Assumptions", *setting.bullets(comparison.assumptions))
    if not comparison.changes:
        return [*out, setting.paragraph(wording.NO_CHANGES)]
    out += setting.topic("Items with a finding", _change_table(setting, comparison.changes))
    windows = [row for row in comparison.changes if row.loss_window is not None]
    window_parts: list[Flowable] = [_window(setting, row) for row in windows]
    if not window_parts:
        window_parts = [setting.paragraph(wording.NO_WINDOWS)]
    else:
        window_parts.insert(0, setting.note(WINDOW_NOTE))
    return [*out, *setting.topic("Loss windows", *window_parts)]


WINDOW_NOTE = (
    "A loss window runs from the last moment at which the place is on record as sound to the first "
    "at which it was found changed. Works and events between the two are named because they fall "
    "between, not because they are the cause."
)


def _comparison_facts(comparison: ComparisonSummary) -> list[tuple[str, str]]:
    cells = []
    if comparison.cells_compared is not None:
        cells.append(f"{comparison.cells_compared:,} compared like for like")
    if comparison.cells_not_comparable:
        cells.append(f"{comparison.cells_not_comparable:,} not comparable")
    if comparison.cells_not_examined:
        cells.append(f"{comparison.cells_not_examined:,} not examined")
    tolerance = comparison.tolerance_in
    return [
        ("Surveys", f"{comparison.before} before, {comparison.after} after"),
        (
            "Compared",
            f"{format_area(comparison.compared_sq_in)}, seen by both in a mode the term needs",
        ),
        ("Not compared", format_area(comparison.not_compared_sq_in)),
        ("Cells", "; ".join(cells)),
        ("Items tested", f"{comparison.tested:,} at once"),
        (
            "False discoveries",
            f"held to {100 * comparison.false_discovery_rate:g} % of the findings of growth "
            "(p adjusted for the number tested)",
        ),
        ("Threshold", "1.96 standard errors: a smaller change is not told from drawing noise"),
        ("Reliably seen", "3.24 standard errors: a change of this size is found nine times in ten"),
        ("Drawing tolerance", "" if tolerance is None else format_feet_inches(tolerance)),
    ]


def _change_table(setting: Setting, changes: Sequence[ChangeRow]) -> Flowable:
    columns = (
        Column("Item", 0.85, face=TABLE_STRONG),
        Column("Cells", 0.8),
        Column("Term", 1.6),
        Column("Finding", 1.7),
        Column("Before", 0.7, align="right"),
        Column("After", 0.7, align="right"),
        Column("Standard error", 0.8, align="right"),
        Column("Thres-\nhold", 0.65, align="right"),
        Column("Reliably seen", 0.8, align="right"),
        Column("p, adjusted", 0.8, align="right"),
        Column("Plate,\npage", 0.55, align="right"),
    )
    rows: list[Row] = []
    for unit, title in UNITS:
        some = [row for row in changes if _unit(row) == unit]
        rows += [GroupHead(title), *(_change_cells(setting, row) for row in some)] if some else []
    rest = [row for row in changes if _unit(row) == ""]
    rows += (
        [GroupHead("Without a size"), *(_change_cells(setting, row) for row in rest)]
        if rest
        else []
    )
    return setting.table(columns, rows)


def _unit(row: ChangeRow) -> str:
    size = row.after or row.before
    return size.unit if size else ""


def _change_cells(setting: Setting, row: ChangeRow) -> Row:
    return (
        row.item,
        ", ".join(row.cells),
        _with_note(setting.term_name(row.term), row.explanation),
        row.finding,
        value_and_error(row.before)[0],
        value_and_error(row.after)[0],
        _number(row.standard_error, 2),
        _number(row.threshold, 2),
        _number(row.reliably_seen, 2),
        _probability(row.p_adjusted),
        setting.plate_page(row.cells),
    )


def _number(value: float | None, digits: int) -> str:
    return "–" if value is None else f"{value:,.{digits}f}"


def _probability(p: float | None) -> str:
    if p is None:
        return "–"
    return "< 0.0001" if p < 0.0001 else f"{p:.4f}"


def _window(setting: Setting, row: ChangeRow) -> Flowable:
    window = row.loss_window
    assert window is not None
    cells = cells_in_short(row.cells)
    title = f"{row.item}, {setting.term_name(row.term)}, {cells}: {row.finding}"
    return setting.topic(title, setting.facts(_window_facts(window)))[0]


def cells_in_short(cells: Sequence[str]) -> str:
    """Return the first cells and how many more there are, for a heading."""
    more = len(cells) - CELLS_IN_A_HEADING
    first = ", ".join(cells[:CELLS_IN_A_HEADING])
    return f"{first} and {more} more" if more > 0 else first


def _window_facts(window: LossWindow) -> list[tuple[str, str]]:
    return [
        ("Last seen sound", window.last_sound),
        ("First found", window.first_found),
        ("Between", "\n".join(window.between) or "nothing is recorded"),
        ("Edge", window.edge),
        ("Debris below", window.debris),
        ("Cause as opinion", "\n".join(window.opinions) or "none given"),
        ("Standing", window.standing),
    ]


def gaps(setting: Setting) -> list[Flowable]:
    """Return the cells that could not be compared, and those not seen, each with its cause."""
    content = setting.content
    if not content.not_comparable and not content.not_seen:
        examined = bool(content.coverage)
        return [setting.paragraph(wording.NO_GAPS if examined else wording.NOTHING_EXAMINED)]
    out: list[Flowable] = []
    if content.comparison is not None:
        notes = content.not_comparable
        out += _cell_notes(setting, "Not comparable", notes, wording.ALL_COMPARABLE)
    return out + _cell_notes(setting, "Not seen", content.not_seen, wording.NONE_UNSEEN)


def _cell_notes(
    setting: Setting, title: str, notes: Sequence[CellNote], none_sentence: str
) -> list[Flowable]:
    """List cells by cause, since many share one."""
    if not notes:
        return setting.topic(title, setting.paragraph(none_sentence))
    causes: dict[tuple[str, str], list[str]] = {}
    for note in notes:
        causes.setdefault((note.cause, note.mode), []).append(note.cell)
    columns = (
        Column("Cause", 3.0),
        Column("Mode", 1.2, face=TABLE_MUTED),
        Column("Cells", 0.6, align="right"),
        Column("Which", 4.0),
    )
    rows = [
        (cause, mode, f"{len(cells):,}", ", ".join(cells))
        for (cause, mode), cells in causes.items()
    ]
    return setting.topic(title, setting.table(columns, rows))


def queries(setting: Setting) -> list[Flowable]:
    """Return contradictions in the record, open ones first, then decisions on items."""
    content = setting.content
    opened = [query for query in content.queries if not query.decision]
    decided = [query for query in content.queries if query.decision]
    out: list[Flowable] = []
    if not content.queries:
        out.append(setting.paragraph(wording.NO_QUERIES))
    if opened:
        out += setting.topic("Open queries", _query_table(setting, opened))
    if decided:
        out += setting.topic("Decided queries", _query_table(setting, decided))
    found: Flowable = (
        _decision_table(setting, content.decisions)
        if content.decisions
        else setting.paragraph(wording.NO_DECISIONS)
    )
    return out + setting.topic("Decisions on items", found)


def _query_table(setting: Setting, some: Sequence[Query]) -> Flowable:
    columns = (
        Column("Item", 0.85, face=TABLE_STRONG),
        Column("Cells", 0.9),
        Column("What does not agree", 3.2),
        Column("Possible explanations", 2.4),
        Column("Decision", 2.2),
    )
    rows = [
        (
            query.item,
            ", ".join(query.cells),
            query.message,
            "\n".join(query.explanations),
            _signed(query.decision or "undecided", query.decided_by, day(query.decided_on, "")),
        )
        for query in some
    ]
    return setting.table(columns, rows)


def _signed(what: str, who: str, when: str) -> str:
    by = ", ".join(text for text in (who, when) if text)
    return f"{what}\n{by}" if by else what


def _decision_table(setting: Setting, decisions: Sequence[Decision]) -> Flowable:
    columns = (
        Column("Item", 0.85, face=TABLE_STRONG),
        Column("Cells", 0.9),
        Column("Choice and reason", 3.0),
        Column("Options refused", 2.4),
        Column("Decided, consented", 1.7),
        Column("Review", 0.9),
    )
    return setting.table(columns, [_decision_cells(decision) for decision in decisions])


def _decision_cells(decision: Decision) -> Row:
    refused = "\n".join(f"{option.option}: {option.reason}" for option in decision.refused)
    consent = (
        f"consent: {decision.consented_by}" if decision.consented_by else "consent not recorded"
    )
    recommended = decision.recommendation
    said = f"{decision.choice}: {decision.reason}"
    if recommended is not None:
        said += f"\nRecommendation {wording.RECOMMENDATION_WORDS[recommended]}"
    return (
        decision.item,
        ", ".join(decision.cells),
        said,
        refused or "none recorded",
        _signed(decision.decided_by, consent, day(decision.decided_on, "")),
        day(decision.review_on, "no date"),
    )


def treatments(setting: Setting) -> list[Flowable]:
    """Return each treatment with what its record holds."""
    content = setting.content
    if not content.treatments:
        alone = content.comparison is None
        return [setting.paragraph(wording.NO_TREATMENTS_ALONE if alone else wording.NO_TREATMENTS)]
    out: list[Flowable] = [setting.note(TREATMENT_NOTE)]
    for treatment in content.treatments:
        name = setting.term_name(treatment.term)
        title = f"{name}, {cells_in_short(treatment.cells)}"
        out += setting.topic(title, setting.facts(_treatment_facts(treatment)))
    return out


TREATMENT_NOTE = (
    "Solvents, swabs and loosened dust may be toxic: the safety data sheets of the products and "
    "local law govern their use and their waste."
)


def _treatment_facts(treatment: Treatment) -> list[tuple[str, str]]:
    return [
        ("Cells", ", ".join(treatment.cells)),
        ("When", " to ".join(text for text in (treatment.started, treatment.ended) if text)),
        ("Reason", treatment.reason),
        ("Decided by", treatment.decided_by),
        ("Consent", treatment.consent),
        *treatment.details,
        ("By", ", ".join(treatment.operators)),
        ("Result", treatment.result),
        ("Adverse effects", treatment.adverse_effects or "none recorded"),
    ]
