"""What was looked at after the red event of July, cell by cell? Invented demo data, plain dicts.

A small survey of its own: cells due, raking light, from 11:55 on, when the scaffold was found fit.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import UUID, uuid5

from demo_fixtures.drafts import Draft, draft
from demo_fixtures.examinations import LAYOUT_VERSION
from demo_fixtures.phases import VIBRATION_EVENT
from demo_fixtures.plans import SEARCH_LIST, in_strip, out_of_reach

CODE, KIND, MODE = "I1", "incident", "raking"
ON = VIBRATION_EVENT.on
INSTRUCTION = "After the red vibration event of 21 July, 10:42: the cells due, the nearest first."
METHOD = "By eye from deck 2 and deck 1, raking light from the left, then from the right."
EYES = ("ines", "tomas")  # side by side, a cell each
MINUTES_PER_CELL = 3


def incident_entries(survey_id: UUID, cells: Sequence[str], *, first_at: datetime) -> list[Draft]:
    """Return the examinations of the cells due, and the survey's closing."""
    drafts = [_examination(survey_id, cell, number, first_at) for number, cell in enumerate(cells)]
    closing = draft(
        "survey-closed",
        {"note": "Every cell due was looked at; what was seen is drawn in survey P2."},
        about=f"closed:{CODE}", subject=str(survey_id),
        made_at=first_at + timedelta(hours=3), observer="ines",
    )  # fmt: skip
    return [*drafts, closing]


def _examination(survey_id: UUID, cell: str, number: int, first_at: datetime) -> Draft:
    about = f"examination:{LAYOUT_VERSION}:{cell}:{MODE}"
    partly = in_strip(cell) or out_of_reach(cell)
    body: dict[str, object] = {
        "layout": LAYOUT_VERSION, "cell": cell, "mode": MODE, "state": "seen",
        "searched": list(SEARCH_LIST[MODE]), "done": True,
        **({"cause": "looked at from one deck, not touched"} if partly else {}),
    }  # fmt: skip
    return draft(
        "examination", body, about=f"{CODE}:{about}", subject=str(uuid5(survey_id, about)),
        made_at=first_at + timedelta(minutes=MINUTES_PER_CELL * (number // len(EYES) + 1)),
        observer=EYES[number % len(EYES)], recorder="priya",
    )  # fmt: skip
