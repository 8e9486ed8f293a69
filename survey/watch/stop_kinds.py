"""What must each line of an exceedance's or a stop's log say to be kept?

A line is about an exceedance of the wall or a stop noticed on the deck, and names who did it and
when. *No objection* speaks for the painting only; the contract instruction comes from a named role.
"""

from collections.abc import Mapping
from typing import Any, Final
from uuid import UUID

from gridmap.errors import InvalidInput
from survey.ledger.drafts import LONGEST_NAME, read_moment
from survey.ledger.models import Entry, Logbook
from survey.record import fields
from survey.record.models import Examination
from survey.watch.log_lines import log_lines
from survey.watch.models import Exceedance

TOLD, ACTIVITY, CELLS_DUE, REINSPECTED = "told", "activity", "cells-due", "reinspected"
LOOKED, CAUSE, NO_OBJECTION, INSTRUCTION = "looked", "cause", "no-objection", "instruction"
NOTICE = "notice"
AGREEMENT = "look-agreement"
CAUSE_STANDINGS: Final = ("agreed", "disputed", "reserved", "not-known")
FIT: Final = ("fit", "fit-after-repair", "not-fit")
PAINTING_ONLY: Final = "No objection to resume, for the painting only."
MOST_CELLS: Final = 2000
MOST_DAYS: Final = 366


def _start(body: Mapping[str, Any], logbook: Logbook, known: set[str]) -> None:
    fields.refuse_unknown_keys(body, {"about", "at", *known})
    about = UUID(fields.object_id(body.get("about"), "about"))
    if not (
        Exceedance.objects.filter(wall=logbook.wall_id, object_id=about).exists()
        or Entry.objects.filter(
            logbook__wall=logbook.wall_id, object_id=about, kind="stop"
        ).exists()
    ):
        raise InvalidInput(
            f"about is {about}; there is no such exceedance or stop here.", field="about"
        )
    read_moment(body.get("at"), field="at")


def check_told(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a call without who was told, how, and by whom."""
    _start(body, logbook, {"who", "role", "how", "said", "by"})
    for name in ("who", "by"):
        fields.needed_text(body, name, longest=LONGEST_NAME)
    fields.text(body, "role")
    fields.needed_text(body, "how")
    fields.text(body, "said", longest=fields.LONGEST_NOTE)


def check_activity(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse an activity that nobody named; plant and distance may be unknown."""
    _start(body, logbook, {"activity", "plant", "distance_in", "by"})
    fields.needed_text(body, "activity", longest=fields.LONGEST_NOTE)
    fields.text(body, "plant")
    fields.optional_number(body, "distance_in", least=0.0, most=600_000.0, unit="in")
    fields.needed_text(body, "by", longest=LONGEST_NAME)


def check_cells_due(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a choice of cells without its words, or with a cell that is not on the grid."""
    _start(body, logbook, {"cells", "chosen", "changed_because", "by"})
    _check_cells(body, logbook, least=0)
    fields.needed_text(body, "chosen", longest=fields.LONGEST_NOTE)
    fields.text(body, "changed_because", longest=fields.LONGEST_NOTE)
    fields.needed_text(body, "by", longest=LONGEST_NAME)


def check_reinspected(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a re-inspection of the scaffold without a person and that person's competence."""
    _start(body, logbook, {"by", "competence", "result", "note"})
    fields.needed_text(body, "by", longest=LONGEST_NAME)
    fields.needed_text(body, "competence")
    fields.choice(body, "result", FIT)
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


def check_looked(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a look at no cell, or a cell left out without reason and who accepted it."""
    _start(body, logbook, {"cells", "result", "examination", "inaccessible", "by"})
    _check_cells(body, logbook, least=1)
    fields.needed_text(body, "result", longest=fields.LONGEST_NOTE)
    fields.needed_text(body, "by", longest=LONGEST_NAME)
    left_out = body.get("inaccessible")
    if left_out is not None:
        if not isinstance(left_out, Mapping):
            raise InvalidInput("inaccessible must say reason and accepted_by.", field="reason")
        fields.refuse_unknown_keys(left_out, {"reason", "accepted_by"})
        fields.needed_text(left_out, "reason", longest=fields.LONGEST_NOTE)
        fields.needed_text(left_out, "accepted_by", longest=LONGEST_NAME)
    if body.get("examination"):
        _check_examination(body, logbook)


def _check_examination(body: Mapping[str, Any], logbook: Logbook) -> None:
    named = UUID(fields.object_id(body["examination"], "examination"))
    row = Examination.objects.filter(object_id=named, survey__wall=logbook.wall_id).first()
    if row is None or [row.cell] != list(body["cells"]):
        raise InvalidInput(
            f"examination is {named}; it is no examination of that cell. Name the one of the "
            "cell that was looked at.",
            field="examination",
        )


def check_cause(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a cause without whose opinion it is and whether it is agreed."""
    _start(body, logbook, {"cause", "agreed", "by"})
    fields.needed_text(body, "cause", longest=fields.LONGEST_NOTE)
    fields.choice(body, "agreed", CAUSE_STANDINGS)
    fields.needed_text(body, "by", longest=LONGEST_NAME)


def check_no_objection(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a word that releases more than the painting."""
    _start(body, logbook, {"by", "words"})
    fields.needed_text(body, "by", longest=LONGEST_NAME)
    if body.get("words") != PAINTING_ONLY:
        raise InvalidInput(f"words must be: {PAINTING_ONLY}", field="words")


def check_instruction(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a contract instruction without the role that may give it."""
    _start(body, logbook, {"by", "role", "words"})
    fields.needed_text(body, "by", longest=LONGEST_NAME)
    fields.needed_text(body, "role")
    fields.needed_text(body, "words", longest=fields.LONGEST_NOTE)


def check_notice(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a notice without number, reader, or the digest of what was handed over."""
    _start(body, logbook, {"number", "to", "pdf", "sent", "by"})
    fields.whole_number(body, "number", least=1, most=1_000_000)
    fields.needed_text(body, "to")
    fields.needed_text(body, "pdf", longest=64)
    fields.needed_text(body, "sent")
    fields.needed_text(body, "by", longest=LONGEST_NAME)


def check_agreement(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse an agreement on looks without its interval and who agreed it."""
    known = {"at", "interval_days", "sample_cells", "handed_back_on", "agreed_by"}
    fields.refuse_unknown_keys(body, known)
    read_moment(body.get("at"), field="at")
    fields.whole_number(body, "interval_days", least=1, most=MOST_DAYS)
    cells = logbook.wall.layout.grid.cell_count
    fields.whole_number(body, "sample_cells", least=1, most=cells)
    fields.optional_day(body, "handed_back_on")
    fields.needed_text(body, "agreed_by", longest=LONGEST_NAME)


def _check_cells(body: Mapping[str, Any], logbook: Logbook, *, least: int) -> None:
    cells = fields.texts(body, "cells", most=MOST_CELLS)
    if len(cells) < least:
        raise InvalidInput("cells is empty; name the cells.", field="cells")
    grid = logbook.wall.layout.grid
    for cell in cells:
        if grid.label(*grid.position(cell)) != cell:
            raise InvalidInput(f"cells: {cell!r} is no cell as on the grid.", field="cells")
    if len(set(cells)) != len(cells):
        raise InvalidInput("cells: a cell is named twice.", field="cells")


LINES = (
    log_lines(TOLD, check_told),
    log_lines(ACTIVITY, check_activity),
    log_lines(CELLS_DUE, check_cells_due),
    log_lines(REINSPECTED, check_reinspected),
    log_lines(LOOKED, check_looked),
    log_lines(CAUSE, check_cause),
    log_lines(NO_OBJECTION, check_no_objection),
    log_lines(INSTRUCTION, check_instruction),
    log_lines(NOTICE, check_notice),
    log_lines(AGREEMENT, check_agreement),
)
