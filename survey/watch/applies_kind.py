"""Which computations did a person say apply to this wall, and on what grounds?

Salt cycles mean nothing before salts are identified; seasonal band and control types were made for
other materials. They stay hidden until somebody answers for them here. Lines of the watch's log.
"""

from collections.abc import Mapping
from typing import Any

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.ledger.drafts import LONGEST_NAME, read_moment
from survey.ledger.models import Logbook
from survey.record import fields
from survey.watch.log_lines import log_lines
from survey.watch.models import LogLine
from survey.watch.salts import SALTS, SULFATE

KIND = "applies"
SALT_CYCLES, SEASONAL_BAND, CONTROL_TYPES = "salt-cycles", "seasonal-band", "control-types"
WHAT = (SALT_CYCLES, SEASONAL_BAND, CONTROL_TYPES)
KNOWN_SALTS = (*SALTS, SULFATE)


def check_applies(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a statement without a person, grounds and, for salt cycles, the salts identified."""
    fields.refuse_unknown_keys(body, {"at", "what", "by", "why", "salts"})
    read_moment(body.get("at"), field="at")
    what = fields.choice(body, "what", WHAT)
    fields.needed_text(body, "by", longest=LONGEST_NAME)
    fields.needed_text(body, "why", longest=fields.LONGEST_NOTE)
    salts = fields.texts(body, "salts")
    if what != SALT_CYCLES:
        if salts:
            raise InvalidInput("Salts belong to salt cycles only. Leave them out.", field="salts")
        return
    unknown = sorted(set(salts) - set(KNOWN_SALTS))
    if unknown or not salts:
        named = f"{', '.join(unknown)}: not known here" if unknown else "no salt is named"
        raise InvalidInput(
            f"{named}. Name those that were identified: {', '.join(KNOWN_SALTS)}.", field="salts"
        )


PROJECTION = log_lines(KIND, check_applies)


def what_applies(wall: Wall) -> dict[str, LogLine]:
    """Return the newest standing statement about each computation that applies."""
    rows = LogLine.objects.filter(wall=wall, kind=KIND, withdrawn_because="").order_by("at")
    return {row.content["what"]: row for row in rows}
