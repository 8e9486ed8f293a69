"""What must an agreed limit say to be kept, and how does it become a row?

No limit is preset. A row always carries its source with edition and label, who agreed it and from
when it holds; each correction is its next version, and an exceedance names the version it met.
"""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.ledger.drafts import LONGEST_NAME
from survey.ledger.kinds import History, Projection
from survey.ledger.models import Entry, Logbook
from survey.record import fields
from survey.record.bodies import check_reason
from survey.watch.alarms import Thresholds
from survey.watch.instrument_kinds import AXES
from survey.watch.models import Limit
from survey.watch.quantities import quantity_of
from survey.watch.vibration_limits import offered

KIND, WITHDRAWN = "limit", "limit-withdrawn"
ABOVE, BELOW, CHANGE = "above", "below", "change-24h"
DIRECTIONS: Final = (ABOVE, BELOW, CHANGE)
LABELS: Final = ("confirmed", "from-memory", "agreed-on-site")
PLACES: Final = ("wall", "deck", "instrument", "cell")
VELOCITY: Final = "particle-velocity"
LARGEST: Final = 1e9
KNOWN: Final = frozenset(
    {
        "quantity", "unit", "direction", "amber", "red", "table", "place", "axis", "source",
        "edition", "label", "verified_by", "verified_on", "agreed_by", "valid_from", "valid_to",
        "phase", "note",
    }
)  # fmt: skip


def check_limit(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a limit without values, source, or people who agreed it."""
    fields.refuse_unknown_keys(body, KNOWN)
    quantity = quantity_of(str(body.get("quantity")))
    fields.choice(body, "unit", quantity.units)
    fields.choice(body, "direction", DIRECTIONS)
    _check_values(body)
    _check_place(body.get("place"), logbook)
    fields.optional_choice(body, "axis", AXES)
    fields.needed_text(body, "source")
    fields.text(body, "edition")
    fields.choice(body, "label", LABELS)
    verified_by = fields.text(body, "verified_by", longest=LONGEST_NAME).strip()
    verified_on = fields.optional_day(body, "verified_on")
    if bool(verified_by) != (verified_on is not None):
        raise InvalidInput(
            "verified_by and verified_on go together: who checked the number in the document, and "
            "on which day.",
            field="verified_by" if verified_on else "verified_on",
        )
    fields.needed_text(body, "agreed_by", longest=LONGEST_NAME)
    began = fields.day(body, "valid_from")
    ended = fields.optional_day(body, "valid_to")
    if ended is not None and ended < began:
        raise InvalidInput(
            f"valid_to is {ended}; it must not be before {began}, from when the limit holds.",
            field="valid_to",
        )
    fields.text(body, "phase")
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


def _check_values(body: Mapping[str, Any]) -> None:
    values = [
        fields.optional_number(body, name, least=-LARGEST, most=LARGEST, unit=str(body["unit"]))
        for name in ("amber", "red")
    ]
    thresholds_of(body["direction"], *values)
    if not body.get("table"):
        return
    if body["quantity"] != VELOCITY or body["direction"] != ABOVE:
        raise InvalidInput(
            "A table of frequencies belongs to particle velocity above its limit only. Leave it "
            "out, or choose particle velocity.",
            field="table",
        )
    offered(str(body["table"]))
    if any(value is not None and value <= 0 for value in values):
        raise InvalidInput(
            "With a table of frequencies amber and red are shares of the table's value, above 0: "
            "1 is the table itself.",
            field="amber",
        )


def thresholds_of(direction: str, amber: float | None, red: float | None) -> Thresholds:
    """Return amber and red as the search takes them; raises InvalidInput."""
    if direction == CHANGE and any(value is not None and value <= 0 for value in (amber, red)):
        raise InvalidInput(
            "A change within 24 hours is largest less smallest reading; it must be above 0.",
            field="amber",
        )
    return Thresholds(amber, red, "below" if direction == BELOW else "above")


def _check_place(place: Any, logbook: Logbook) -> None:
    if not isinstance(place, Mapping):
        raise InvalidInput("place must say what and name.", field="place")
    fields.refuse_unknown_keys(place, {"what", "name"})
    what = fields.choice(place, "what", PLACES)
    if what == "wall":
        return
    name = fields.needed_text(place, "name", longest=40)
    layout = logbook.wall.layout
    if what == "cell" and layout.grid.label(*layout.grid.position(name)) != name:
        raise InvalidInput(f"place is {name!r}; write a cell as on the grid.", field="place")
    decks = [str(deck["name"]) for deck in layout.decks]
    if what == "deck" and name not in decks:
        raise InvalidInput(
            f"place is deck {name!r}; the wall's decks are: {', '.join(decks) or 'none'}.",
            field="place",
        )


def _project(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the rows anew; a withdrawn limit keeps its entries and loses its row."""
    Limit.objects.filter(object_id__in=[one.object_id for one in histories]).delete()
    Limit.objects.bulk_create(_row(logbook, one) for one in histories if not _withdrawn(one))


def _withdrawn(history: History) -> bool:
    return any(head.kind == WITHDRAWN for head in history.heads)


def _row(logbook: Logbook, history: History) -> Limit:
    version = sum(entry.kind == KIND for entry in history.entries)
    return _limit(logbook.wall, history.heads[-1], version, conflict=history.conflict)


def as_of(limit: Limit, version: int) -> Limit:
    """Return a limit as an earlier version of it said; it is no row of the table."""
    said = Entry.objects.filter(object_id=limit.object_id, kind=KIND).order_by("seq")
    entry = said[version - 1 : version].first() if 0 < version < limit.version else None
    return limit if entry is None else _limit(limit.wall, entry, version, conflict=False)


def _limit(wall: Wall, entry: Entry, version: int, *, conflict: bool) -> Limit:
    content = entry.content
    ended = content.get("valid_to")
    return Limit(
        object_id=entry.object_id,
        wall=wall,
        head=entry,
        conflict=conflict,
        content=content,
        version=version,
        quantity=content["quantity"],
        amber=content.get("amber"),
        red=content.get("red"),
        unit=content["unit"],
        valid_from=date.fromisoformat(content["valid_from"]),
        valid_to=date.fromisoformat(ended) if ended else None,
    )


def _clear(logbook: Logbook) -> None:
    Limit.objects.filter(head__logbook=logbook).delete()


LIMITS = Projection(
    KIND,
    {KIND: check_limit, WITHDRAWN: check_reason},
    _project,
    _clear,
    replacing=frozenset({WITHDRAWN}),
)
