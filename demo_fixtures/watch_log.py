"""What did people log about the exceedances and the stop of the invented wall? Invented demo data.

The red event of July and the stop of yesterday have a whole log. Amber asks for activity and calls
only; yesterday's still waits for its activity.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from demo_fixtures.drafts import object_id
from demo_fixtures.instruments import Body
from demo_fixtures.people import NAMES
from demo_fixtures.phases import CONTRACTOR
from demo_fixtures.shaking import SHOCKS
from survey.watch.stop_kinds import PAINTING_ONLY

INES, TOMAS, PRIYA, GIL = (NAMES[name] for name in ("ines", "tomas", "priya", "gil"))
SITE_MANAGER = f"Site manager, {CONTRACTOR}"
INSPECTOR = "Scaffold inspector's card, this scaffold's own tag"
UNANSWERED = date(2026, 11, 17)  # its activity is still to be named
CELLS_LOOKED_AT = 37  # of those proposed, the nearest
NEAREST_ALONE = (
    "The blows were local: the base read 0.034 in/s. Cells further off are looked at in the "
    "weekly round."
)


@dataclass(frozen=True)
class Line:
    """One line of a log: its fixed id, kind and body."""

    key: str
    kind: str
    body: Body

    @property
    def object_id(self) -> str:
        """Return the line's fixed id."""
        return object_id(f"watch-log:{self.key}")


class Log:
    """Writes the lines of one case, each some minutes after it began."""

    def __init__(self, name: str, started: datetime) -> None:
        self.name, self.started = name, started.astimezone(UTC)

    def line(self, kind: str, minutes: int, *, key: str = "", **more: object) -> Line:
        """Return one line."""
        at = self.started + timedelta(minutes=minutes)
        stamp = at.isoformat().replace("+00:00", "Z")
        name = f"{self.name}:{self.started.isoformat()}:{kind}:{key}"
        return Line(name, kind, {"at": stamp, **more})


def log_of_amber(name: str, started: datetime) -> list[Line]:
    """Return the calls and the activity of an amber exceedance."""
    log, day = Log(name, started), started.date()
    told = log.line(
        "told", 4, who=GIL, role=SITE_MANAGER, how="radio", by=PRIYA,
        said="Amber; work goes on with care.",
    )  # fmt: skip
    if day == UNANSWERED:
        return [told]
    cause = next((shock.cause for shock in SHOCKS if shock.at.date() == day), "Damp after the leak")
    return [told, log.line("activity", 20, activity=f"{cause}.", by=GIL)]


def log_of_event(name: str, started: datetime, proposed: Sequence[str], words: str) -> list[Line]:
    """Return the whole log of the red event of July."""
    log, cells = Log(name, started), list(proposed[:CELLS_LOOKED_AT])
    return [
        log.line("told", 1, key="gil", who=GIL, role=SITE_MANAGER, how="telephone", by=PRIYA,
                 said="Breaker stopped at 10:44."),
        log.line("told", 5, key="ines", who=INES, role="Lead conservator", how="telephone",
                 by=PRIYA, said="Nobody on deck 2 until the scaffold is inspected."),
        log.line("activity", 12, by=GIL, distance_in=36.0,
                 activity="Breaking out the lantern kerb above columns 14 to 19.",
                 plant="Electric breaker, 30 lb class"),
        log.line("cells-due", 25, cells=cells, chosen=words, changed_because=NEAREST_ALONE, by=INES),
        log.line("reinspected", 70, by=GIL, result="fit", competence=INSPECTOR,
                 note="Ties and boards of both decks looked over."),
        log.line("looked", 180, by=TOMAS, cells=cells,
                 result="Fresh edges and new flakes in columns 14 to 19, fragments bagged; to be "
                 "drawn in the next survey. Nothing fresh seen elsewhere."),
        log.line("cause", 200, by=INES, agreed="agreed",
                 cause="Blows of the breaker on the kerb, whose foot rests on the wall's head."),
        log.line("no-objection", 27 * 60, by=INES, words=PAINTING_ONLY),
        log.line("instruction", 28 * 60, by=GIL, role=SITE_MANAGER,
                 words="Resume on the kerb with diamond saw and hand tools; no breaker."),
    ]  # fmt: skip


def log_of_stop(started: datetime, named: Sequence[str], words: str) -> list[Line]:
    """Return the rest of the log of the stop that was noticed on the deck yesterday."""
    log, cells = Log("W1", started), list(named)
    return [
        log.line("cells-due", 20, cells=cells, chosen=words, by=INES,
                 changed_because="Those under the grains alone; no sensor reached red."),
        log.line("reinspected", 34, by=GIL, result="fit", competence=INSPECTOR),
        log.line("cause", 108, by=INES, agreed="reserved",
                 cause="Breaker on the floor slab below columns 16 to 18, as the contractor says."),
        log.line("no-objection", 110, by=INES, words=PAINTING_ONLY),
        log.line("instruction", 118, by=GIL, role=SITE_MANAGER,
                 words="Break on with the smaller head, five minutes at a time."),
    ]  # fmt: skip
