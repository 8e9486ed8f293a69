"""What does a notice of an exceedance or a stop say to whoever gets it?

One text feeds the page, the PDF and the e-mail, so that they cannot differ.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from survey.watch import cells_due
from survey.watch.cells_due import Choice
from survey.watch.exceedance_kind import RED
from survey.watch.hours import moment_in_words, span_in_words
from survey.watch.limit_words import value_in_words
from survey.watch.stop_words import (
    channel_in_words,
    finding_in_words,
    line_in_words,
    peak_in_words,
    response_in_words,
)
from survey.watch.stops import STOP, Case

CAUTIONS: Final = (
    "The instrument's own siren is the alarm; this notice is its log.",
    "After a red event nobody climbs before a competent person has inspected the scaffold again.",
    "Only the painting is spoken for here. Whether works go on is for the contract's own roles, by "
    "their instruction; the structure is for licensed engineers.",
    "A gap in readings is unknown, never safe. A limit kept is no promise of safety. Local law, "
    "the site plan and the contract govern. Cause is opinion and is marked so.",
)


@dataclass(frozen=True)
class NoticeText:
    """A notice as people read it."""

    title: str
    lead: str
    work: str
    facts: Sequence[tuple[str, str]]
    cells: Sequence[str]
    cells_words: str
    missing: Sequence[str]
    log: Sequence[tuple[str, str, str]]  # when, which step, words
    cautions: Sequence[str] = CAUTIONS


def notice_text(case: Case, choice: Choice) -> NoticeText:
    """Return the notice of a case as it stands now."""
    chosen = case.due_chosen
    cells = tuple(chosen.cells) if chosen else choice.cells
    words = ""
    if case.full:
        proposed = "" if chosen else "Proposed, not yet put down. "
        how = _chosen(chosen.content) if chosen else choice.words
        words = f"{proposed}{how} {cells_due.time_for(len(cells))}."
    wall = case.wall
    return NoticeText(
        title=_title(case),
        lead=_lead(case),
        work=", ".join(part for part in (wall.title or wall.name, wall.artist, wall.place) if part),
        facts=_facts(case),
        cells=cells,
        cells_words=words,
        missing=case.missing,
        log=[
            (moment_in_words(line.at), step.title, line_in_words(line))
            for step in case.steps
            for line in step.lines
        ],
    )


def plain_text(text: NoticeText) -> str:
    """Return the notice as plain text, for an e-mail."""
    parts = [text.title, text.lead, text.work, ""]
    parts += [f"{label}: {value}" for label, value in text.facts]
    if text.cells_words:
        parts += ["", f"Cells due for a look: {', '.join(text.cells) or 'none'}.", text.cells_words]
    if text.missing:
        parts += ["", "Missing until it is closed:", *(f"- {one}" for one in text.missing)]
    if text.log:
        parts += ["", "Log:", *(f"{when}  {step}: {words}" for when, step, words in text.log)]
    return "\n".join([*parts, "", *text.cautions, ""])


def _title(case: Case) -> str:
    if case.level == STOP:
        return "Notice of a stop"
    return "Stop notice: red exceedance" if case.level == RED else "Notice of an amber exceedance"


def _lead(case: Case) -> str:
    found = finding_in_words(case)
    if not case.full:
        return f"{found} Look and tell; works are not stopped by amber."
    if case.open:
        return f"{found} The listed activities stay stopped until nothing below is missing."
    return f"{found} Nothing is missing any more."


def _chosen(said: Mapping[str, Any]) -> str:
    """Return how the cells were chosen, and why it is another choice than the proposal."""
    changed = said.get("changed_because", "").strip().rstrip(".")
    return f"{said['chosen']} Changed because: {changed}." if changed else said["chosen"]


def _facts(case: Case) -> list[tuple[str, str]]:
    row = case.exceedance
    facts: list[tuple[str, str]] = []
    if row is not None:
        facts += _of_exceedance(case)
    elif case.stop is not None:
        facts.append(("Activity", case.stop.content["activity"]))
        facts.append(("Cells named on the deck", ", ".join(case.stop.content.get("cells", []))))
    if case.told_at is not None:
        facts.append(
            ("First told", f"{moment_in_words(case.told_at)}, after {response_in_words(case)}")
        )
    if case.full:
        facts.append(("Looks needed by", cells_due.deadline_words(case.started)))
    return [(label, value) for label, value in facts if value]


def _of_exceedance(case: Case) -> list[tuple[str, str]]:
    row = case.exceedance
    assert row is not None
    said = row.content
    peak_at = datetime.fromisoformat(said["peak_at"])
    least = "" if said["ended"] == "back" else "at least "
    frequency = said.get("frequency_hz")
    vector_sum = said.get("vector_sum")
    instrument = str(case.instrument) if case.instrument else "taken off the record"
    return [
        ("Instrument", f"{instrument}, channel {row.channel}"),
        ("What it reads", channel_in_words(case)),
        ("Peak", f"{peak_in_words(case)}, {moment_in_words(peak_at)}"),
        ("Frequency", f"{frequency:.1f} Hz" if frequency is not None else "not stored"),
        ("Vector sum", f"{vector_sum:.3f} {said['unit']}" if vector_sum is not None else ""),
        ("Lasted", f"{least}{span_in_words(said['duration_s'])}"),
        ("Limit", _limit(case)),
        ("Sensor", said["sensor_health"]),
    ]  # fmt: skip


def _limit(case: Case) -> str:
    row, limit = case.exceedance, case.limit
    assert row is not None
    if limit is None:
        return f"version {row.limit_version} of a limit taken back since"
    direction = limit.content.get("direction", "above")
    table = limit.content.get("table")
    levels = []
    for name, value in (("amber", limit.amber), ("red", limit.red)):
        if value is not None:
            words = (
                f"{value:g} of table {table}"
                if table
                else value_in_words(value, limit.quantity, limit.unit, direction=direction)
            )
            levels.append(f"{name} {words}")
    return f"{', '.join(levels)}; version {row.limit_version}; {limit.content['source']}"
