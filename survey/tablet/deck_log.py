"""What happened on the deck during a survey: sessions, checks, readings, fragments and stops.

All of it is read from the entries' heads. Where heads differ the conflict is named, and a stop
counts as open while any head says so.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from gridmap.models import Wall
from survey.ledger.kinds import History
from survey.ledger.models import Entry, Logbook
from survey.ledger.selectors import histories_of
from survey.record.models import Survey

KINDS = ("session", "daily-check", "spot-reading", "fragment", "stop")


@dataclass(frozen=True)
class Said:
    """One object of the log as its newest head says it, with who said it."""

    history: History

    @property
    def head(self) -> Entry:
        return self.history.heads[-1]

    @property
    def body(self) -> dict[str, Any]:
        return self.head.content

    @property
    def conflict(self) -> bool:
        return self.history.conflict

    @property
    def changes(self) -> int:
        """How often the object was changed after it was first put on record."""
        return len(self.history.entries) - 1


@dataclass(frozen=True)
class SessionLine(Said):
    """A session on the deck, with its moments and sums ready to be shown."""

    @property
    def opened_at(self) -> datetime:
        return datetime.fromisoformat(self.body["opened_at"])

    @property
    def closed_at(self) -> datetime | None:
        return _moment(self.body.get("closed_at"))

    @property
    def signed_at(self) -> datetime | None:
        return _moment(self.body.get("signed_at"))

    @property
    def minutes(self) -> list[tuple[str, float]]:
        """Minutes per cell, in the order in which they are on record."""
        return list(self.body.get("minutes", {}).items())

    @property
    def minutes_sum(self) -> float:
        return float(sum(self.body.get("minutes", {}).values()))

    @property
    def rechecks_alike(self) -> int:
        return sum(row["first"] == row["second"] for row in self.body.get("rechecks", []))


@dataclass(frozen=True)
class CheckLine(Said):
    """A daily check, with what was not in order apart."""

    @property
    def not_in_order(self) -> list[dict[str, Any]]:
        return [item for item in self.body["items"] if item["state"] == "not-in-order"]

    @property
    def not_checked(self) -> list[dict[str, Any]]:
        return [item for item in self.body["items"] if item["state"] == "not-checked"]


@dataclass(frozen=True)
class StopLine(Said):
    """A stop of the works, open or lifted, with who was told."""

    code: str = ""

    @property
    def noticed_at(self) -> datetime:
        return datetime.fromisoformat(self.body["noticed_at"])

    @property
    def open(self) -> bool:
        """Whether any head leaves the stop open: in doubt it stands."""
        return any(head.content["state"] == "open" for head in self.history.heads)

    @property
    def told(self) -> list[dict[str, Any]]:
        """Whom somebody rang, by every head, in order of time."""
        calls: dict[tuple[Any, ...], dict[str, Any]] = {}
        for head in self.history.heads:
            for call in head.content.get("told", []):
                key = tuple(call.get(name) for name in ("who", "number", "at", "said"))
                calls[key] = {**call, "moment": datetime.fromisoformat(call["at"])}
        return sorted(calls.values(), key=lambda call: call["moment"])


@dataclass(frozen=True)
class DeckLog:
    """The deck's day as it is on record, newest first, open stops before everything."""

    stops: list[StopLine] = field(default_factory=list)
    sessions: list[SessionLine] = field(default_factory=list)
    checks: list[CheckLine] = field(default_factory=list)
    readings: list[Said] = field(default_factory=list)
    fragments: list[Said] = field(default_factory=list)

    @property
    def empty(self) -> bool:
        return not (self.stops or self.sessions or self.checks or self.readings or self.fragments)


def deck_log(survey: Survey) -> DeckLog:
    """Return everything that tablets noted about the days on the deck of one survey."""
    found = _histories(survey.logbook, KINDS)
    stops = [StopLine(history, survey.code) for history in found["stop"]]
    sessions = [SessionLine(history) for history in found["session"]]
    checks = [CheckLine(history) for history in found["daily-check"]]
    return DeckLog(
        stops=sorted(stops, key=lambda line: (not line.open, -line.noticed_at.timestamp())),
        sessions=sorted(sessions, key=lambda line: line.opened_at, reverse=True),
        checks=sorted(checks, key=lambda line: line.body["checked_on"], reverse=True),
        readings=_newest_first(found["spot-reading"]),
        fragments=_newest_first(found["fragment"]),
    )


def open_stops(wall: Wall) -> list[StopLine]:
    """Return the stops of a wall that nobody has lifted, newest first."""
    entries = Entry.objects.filter(logbook__wall=wall, logbook__survey__isnull=False, kind="stop")
    books = set(entries.values_list("logbook_id", flat=True).order_by())
    stops = [
        StopLine(history, book.survey.code)
        for book in Logbook.objects.filter(pk__in=books).select_related("survey")
        for history in _histories(book, ("stop",))["stop"]
    ]
    return sorted(
        (stop for stop in stops if stop.open), key=lambda stop: stop.noticed_at, reverse=True
    )


def _histories(logbook: Logbook, kinds: Iterable[str]) -> dict[str, list[History]]:
    rows = logbook.entries.filter(kind__in=list(kinds))
    ids = set(rows.values_list("object_id", flat=True).order_by())
    found: dict[str, list[History]] = {kind: [] for kind in kinds}
    for projection, histories in histories_of(logbook, ids):
        found[projection.name] += histories
    return found


def _newest_first(histories: list[History]) -> list[Said]:
    lines = [Said(history) for history in histories]
    return sorted(lines, key=lambda line: line.head.made_at, reverse=True)


def _moment(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None
