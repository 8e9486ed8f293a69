"""What must a line of the site register, the plant list and the light ledger say to be kept?

Protection, fragments in custody, deck book, enclosure, plant with its trial blows, lamps and the
agreed dose of light. Lines of the watch's log, in the wall's standing logbook.
"""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any, Final
from uuid import UUID

from gridmap.errors import InvalidInput
from gridmap.lengths import IN_PER_FT
from survey.ledger.drafts import LONGEST_NAME, read_moment
from survey.ledger.models import Entry, Logbook
from survey.record import fields
from survey.record.models import Observation
from survey.watch.light_dose import MOST_MINUTES
from survey.watch.log_lines import log_lines
from survey.watch.models import LogLine
from survey.watch.stand_off import FARTHEST_FT, NEAREST_FT, OFFERED
from survey.watch.units import MOST_LIGHT_LX

PROTECTION, INSPECTED, REMOVED = "protection", "protection-inspected", "protection-removed"
CUSTODY, SOURCE = "custody", "fragment-source"
DECK_BOOK, ENCLOSURE = "deck-book", "enclosure"
PLANT, BLOW = "plant", "trial-blow"
LAMP, DOSE = "lamp-use", "agreed-dose"

PROTECTIONS = ("facing", "sheeting", "seal", "prop", "other")
SOUND, MEND, TAKE_OFF = "sound", "mend", "take-off"
INSPECTION_RESULTS = (SOUND, MEND, TAKE_OFF)
IN, OUT = "in", "out"
# What can be noted of each part of the enclosure; the first state is the one that is in order.
ENCLOSURE_STATES: Final[Mapping[str, tuple[str, ...]]] = {
    "camera": ("in-order", "fault"),
    "door": ("closed", "open", "fault"),
    "filter": ("in-order", "changed", "clogged"),
    "leak-tape": ("dry", "wet", "fault"),
    "lamps": ("off", "left-on"),
}
OTHER_PLANT = "other"
PLANT_CLASSES = (*(plant.key for plant in OFFERED), OTHER_PLANT)
LABELS = ("confirmed", "from-memory", "stated-by-contractor", "agreed-on-site")
MOST_PPV_IN_S: Final = 100.0
MOST_CELLS: Final = 10_000  # a grid's most
LONGEST_PLAN = timedelta(days=3660)  # as in the calendar of clashes
MOST_DOSE_LX_H: Final = 1e9


def _line(body: Mapping[str, Any], known: set[str], *, who: str = "by") -> None:
    """Refuse what every line is refused for: unknown keys, no moment, nobody who stands for it."""
    fields.refuse_unknown_keys(body, known | {"at", who, "note"})
    read_moment(body.get("at"), field="at")
    fields.needed_text(body, who, longest=LONGEST_NAME)
    fields.text(body, "note", longest=fields.LONGEST_NOTE)


def check_cells(body: Mapping[str, Any], logbook: Logbook) -> list[str]:
    """Return the cells that a body names, none when absent; raises InvalidInput."""
    grid = logbook.wall.layout.grid
    cells = fields.texts(body, "cells", most=MOST_CELLS)
    for cell in cells:
        if grid.label(*grid.position(cell)) != cell:
            raise InvalidInput(
                f"cells names {cell!r}; write a cell as on the grid, such as "
                f"{grid.label(*grid.position(cell))}.",
                field="cells",
            )
    return cells


def line_of(body: Mapping[str, Any], kind: str, logbook: Logbook) -> LogLine:
    """Return the standing line of this wall that a body is about; raises InvalidInput."""
    named = UUID(fields.object_id(body.get("about"), "about"))
    found = LogLine.objects.filter(
        wall=logbook.wall_id, object_id=named, kind=kind, withdrawn_because=""
    ).first()
    if found is None:
        raise InvalidInput(f"about is {named}; no {kind} of this wall stands there.", field="about")
    return found


def check_protection(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a protection without name, place or day; a facing needs cells and its day off."""
    known = {
        "kind", "name", "cells", "place", "material", "installed_on", "due_off_on",
        "inspect_every_days", "test_removal",
    }  # fmt: skip
    _line(body, known)
    kind = fields.choice(body, "kind", PROTECTIONS)
    fields.needed_text(body, "name", longest=120)
    cells = check_cells(body, logbook)
    for name in ("place", "material", "test_removal"):
        fields.text(body, name)
    installed = fields.day(body, "installed_on")
    due = fields.optional_day(body, "due_off_on")
    if due is not None and due < installed:
        raise InvalidInput(
            f"due_off_on is {due}; it must not be before {installed}, when it went on.",
            field="due_off_on",
        )
    if body.get("inspect_every_days") is not None:
        fields.whole_number(body, "inspect_every_days", least=1, most=366)
    if kind == "facing" and due is None:
        raise InvalidInput(
            "due_off_on is missing; a facing is a risk too and needs the day on which it comes "
            "off.",
            field="due_off_on",
        )
    if kind == "facing" and not cells:
        raise InvalidInput("cells is empty; name the cells under the facing.", field="cells")
    if not cells and not str(body.get("place") or "").strip():
        raise InvalidInput("Name the cells or the place that it covers.", field="cells")


def check_inspected(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse an inspection of a protection that is not there, or without a result."""
    _line(body, {"about", "result"})
    line_of(body, PROTECTION, logbook)
    fields.choice(body, "result", INSPECTION_RESULTS)


def check_removed(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a removal that does not say what was seen below, or that came before or twice."""
    _line(body, {"about", "seen"})
    protection = line_of(body, PROTECTION, logbook)
    fields.needed_text(body, "seen", longest=fields.LONGEST_NOTE)
    day = read_moment(body["at"], field="at").date().isoformat()
    if day < protection.content["installed_on"]:
        raise InvalidInput(
            f"at is {day}; it cannot come off before {protection.content['installed_on']}, when "
            "it went on.",
            field="at",
        )
    removed = LogLine.objects.filter(
        wall=logbook.wall_id, kind=REMOVED, about=protection.object_id, withdrawn_because=""
    )
    if removed.exists():
        raise InvalidInput(
            f"{protection.content['name']} is on record as taken off already. Withdraw that line "
            "first if it is wrong.",
            field="about",
        )


def _fragment(body: Mapping[str, Any], logbook: Logbook) -> None:
    named = fields.object_id(body.get("about"), "about")
    rows = Entry.objects.filter(logbook__wall=logbook.wall_id, kind="fragment", object_id=named)
    if not rows.exists():
        raise InvalidInput(f"about is {named}; there is no such fragment here.", field="about")


def check_custody(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a change of custody without who took the bag and where it lies now."""
    _line(body, {"about", "to", "place"})
    _fragment(body, logbook)
    fields.needed_text(body, "to", longest=LONGEST_NAME)
    fields.needed_text(body, "place")


def check_source(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a source of a fragment that is no outline of this wall, or without grounds."""
    _line(body, {"about", "item", "grounds"})
    _fragment(body, logbook)
    item = fields.object_id(body.get("item"), "item")
    if not Observation.objects.filter(survey__wall=logbook.wall_id, object_id=item).exists():
        raise InvalidInput(f"item is {item}; there is no such outline here.", field="item")
    fields.needed_text(body, "grounds", longest=fields.LONGEST_NOTE)


def check_deck_book(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a line of the deck book without who; who goes in says why."""
    _line(body, {"way", "deck", "why", "keys"}, who="who")
    way = fields.choice(body, "way", (IN, OUT))
    _deck(body, logbook)
    fields.text(body, "keys")
    fields.text(body, "why")
    if way == IN:
        fields.needed_text(body, "why")


def _deck(body: Mapping[str, Any], logbook: Logbook) -> str:
    names = [str(one["name"]) for one in logbook.wall.layout.decks]
    return fields.optional_choice(body, "deck", names)


def check_enclosure(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a state that the part cannot have; a pressure belongs to the filter."""
    _line(body, {"what", "state", "place", "pressure_pa"}, who="who")
    what = fields.choice(body, "what", list(ENCLOSURE_STATES))
    fields.choice(body, "state", ENCLOSURE_STATES[what])
    fields.text(body, "place")
    pressure = fields.optional_number(body, "pressure_pa", least=-5000.0, most=5000.0, unit="Pa")
    if pressure is not None and what != "filter":
        raise InvalidInput("A pressure belongs to the filter only.", field="pressure_pa")


def check_plant(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a machine without its velocity at 25 ft, distance, days and where those come from."""
    known = {
        "name", "class", "reference_ppv_in_s", "label", "source", "activity", "distance_in",
        "phase", "from", "to", "same_masonry",
    }  # fmt: skip
    _line(body, known)
    fields.needed_text(body, "name", longest=120)
    fields.choice(body, "class", PLANT_CLASSES)
    fields.needed_text(body, "activity")
    needed_number(body, "reference_ppv_in_s", least=1e-5, most=MOST_PPV_IN_S, unit="in/s")
    fields.choice(body, "label", LABELS)
    fields.text(body, "source")
    same = fields.optional_flag(body, "same_masonry")
    _distance(body, least_in=0.0 if same else NEAREST_FT * IN_PER_FT)
    if body.get("phase") is not None:
        fields.whole_number(body, "phase", least=0, most=10_000)
    began, ended = fields.day(body, "from"), fields.day(body, "to")
    if ended < began:
        raise InvalidInput(f"to is {ended}; it must not be before {began}.", field="to")
    if ended - began > LONGEST_PLAN:
        raise InvalidInput(f"to is {ended}; more than ten years long. Check it.", field="to")


def check_blow(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a trial blow of a machine that is not listed, or without distance and velocity."""
    _line(body, {"about", "distance_in", "ppv_in_s", "frequency_hz"}, who="who")
    line_of(body, PLANT, logbook)
    _distance(body, least_in=NEAREST_FT * IN_PER_FT)
    needed_number(body, "ppv_in_s", least=1e-5, most=MOST_PPV_IN_S, unit="in/s")
    fields.optional_number(body, "frequency_hz", least=0.1, most=10_000.0, unit="Hz")


def _distance(body: Mapping[str, Any], *, least_in: float) -> float:
    return needed_number(
        body, "distance_in", least=least_in, most=FARTHEST_FT * IN_PER_FT, unit="in"
    )


def check_lamp(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse the use of a lamp without light, minutes and the cells or the deck that it lit."""
    known = {
        "cells", "deck", "lamp", "lux", "minutes", "surface_before_c", "surface_after_c",
        "surface_rh_pct", "sensor_error_c",
    }  # fmt: skip
    _line(body, known)
    fields.needed_text(body, "lamp", longest=80)
    cells, deck = check_cells(body, logbook), _deck(body, logbook)
    if bool(cells) == bool(deck):
        raise InvalidInput("Name either the cells or the deck that it lit.", field="cells")
    needed_number(body, "lux", least=0.0, most=MOST_LIGHT_LX, unit="lx")
    needed_number(body, "minutes", least=0.0, most=MOST_MINUTES, unit="min")
    before, after = (
        fields.optional_number(body, f"surface_{when}_c", least=-40.0, most=60.0, unit="°C")
        for when in ("before", "after")
    )
    if (before is None) != (after is None):
        raise InvalidInput(
            "Give the surface's temperature before and with the lamp, or neither.",
            field="surface_after_c" if after is None else "surface_before_c",
        )
    fields.optional_number(body, "surface_rh_pct", least=0.0, most=100.0, unit="% RH")
    fields.optional_number(body, "sensor_error_c", least=0.01, most=10.0, unit="°C")


def check_dose(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse an agreed dose without its days, source, label and who agreed to it."""
    _line(body, {"cells", "limit_lx_h", "from_on", "until_on", "source", "label"})
    check_cells(body, logbook)
    needed_number(body, "limit_lx_h", least=1.0, most=MOST_DOSE_LX_H, unit="lx·h")
    began, ended = fields.day(body, "from_on"), fields.day(body, "until_on")
    if ended < began:
        raise InvalidInput(f"until_on is {ended}; it must not be before {began}.", field="until_on")
    fields.needed_text(body, "source")
    fields.choice(body, "label", LABELS)


def needed_number(
    body: Mapping[str, Any], field: str, *, least: float, most: float, unit: str
) -> float:
    """Return a number that must be there, within its range."""
    value = fields.optional_number(body, field, least=least, most=most, unit=unit)
    if value is None:
        raise InvalidInput(f"{field} is missing; give it in {unit}.", field=field)
    return value


CHECKS = {
    PROTECTION: check_protection,
    INSPECTED: check_inspected,
    REMOVED: check_removed,
    CUSTODY: check_custody,
    SOURCE: check_source,
    DECK_BOOK: check_deck_book,
    ENCLOSURE: check_enclosure,
    PLANT: check_plant,
    BLOW: check_blow,
    LAMP: check_lamp,
    DOSE: check_dose,
}
PROJECTIONS = tuple(log_lines(kind, check) for kind, check in CHECKS.items())
