"""Which lines of the site register do tests stand on? Written through the door, in few words."""

from datetime import UTC, datetime

from survey.ledger.drafts import Draft, Writer, new_id
from survey.record.services import append_to_survey
from survey.watch.log_lines import say
from survey.watch.models import LogLine

INES = Writer(name="Ines Fallow", device="desk")
FACING = {
    "at": "2026-03-03T09:00:00Z", "by": "Ines Fallow", "kind": "facing", "name": "Facing 1",
    "cells": ["C05"], "installed_on": "2026-03-03", "due_off_on": "2026-06-30",
}  # fmt: skip
BREAKER = {
    "at": "2026-10-26T09:00:00Z", "by": "Gil Alder", "name": "Breaker, slab",
    "class": "large-bulldozer", "reference_ppv_in_s": 0.089, "label": "confirmed",
    "activity": "Breaking out the old floor", "distance_in": 216.0, "phase": 3,
    "from": "2026-11-02", "to": "2026-11-20",
}  # fmt: skip
LAMP_2 = {
    "at": "2026-06-01T16:00:00Z", "by": "Priya Lund", "cells": ["C05"], "lamp": "lamp 2",
    "lux": 800.0, "minutes": 21_600.0,
}  # fmt: skip
AGREED = {
    "at": "2026-02-20T09:00:00Z", "by": "Ines Fallow", "limit_lx_h": 313_000.0,
    "from_on": "2026-03-01", "until_on": "2027-02-28", "source": "Protocol of 20 Feb 2026",
    "label": "agreed-on-site",
}  # fmt: skip


def put(wall, kind, body, /, **changes):
    """Write one line and return its row."""
    object_id = new_id()
    say(wall, kind, {**body, **changes}, writer=INES, object_id=object_id)
    return LogLine.objects.get(object_id=object_id)


def make_fragment(survey, cell="C05", **changes):
    """Put a fragment found on the deck into the survey's logbook; return its object's id."""
    body = {"bag": "22", "cell": cell, "found_on": "2026-11-17", "layer": "paint", "count": 3}
    return put_from_deck(survey, "fragment", {**body, **changes})


def put_from_deck(survey, kind, body, *, made_at=datetime(2026, 11, 17, 9, tzinfo=UTC)):
    """Put a statement of the deck into the survey's logbook; return its object's id."""
    draft = Draft(
        kind=kind, body=body, object_id=new_id(), made_at=made_at, observed_by="Priya Lund"
    )
    append_to_survey(survey, [draft], writer=Writer(name="Priya Lund", device="desk"))
    return draft.object_id
