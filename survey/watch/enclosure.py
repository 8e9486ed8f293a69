"""Who is on the deck, and what of the enclosure is not in order now?

The last line about a person, and about a part at its place, is how it stands. A session without a
line of its observer in the deck book is said: one of the two records is incomplete.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from gridmap.models import Wall
from survey.ledger.drafts import read_moment
from survey.watch.deck_statements import DeckStatement, deck_statements
from survey.watch.models import LogLine
from survey.watch.protection import standing_lines
from survey.watch.register_kinds import DECK_BOOK, ENCLOSURE, ENCLOSURE_STATES, IN

WET = "wet"


@dataclass(frozen=True)
class Inside:
    """A person who went in and did not come out, by the deck book."""

    line: LogLine
    now: datetime

    @property
    def who(self) -> str:
        """The name."""
        return str(self.line.content["who"])

    @property
    def overnight(self) -> bool:
        """Whether the person went in on an earlier day: a line is missing, or a person is."""
        return self.line.at.date() < self.now.date()


@dataclass(frozen=True)
class DeckBook:
    """The deck book: its lines newest first, who is in, and sessions that it does not know."""

    lines: Sequence[LogLine]
    inside: Sequence[Inside]
    sessions_unknown: Sequence[DeckStatement]


def deck_book(wall: Wall, now: datetime) -> DeckBook:
    """Return the deck book of a wall as it stands now."""
    lines = [line for line in standing_lines(wall, DECK_BOOK) if line.at <= now]
    last = {_name(line): line for line in lines}
    inside = [Inside(line, now) for line in last.values() if line.content["way"] == IN]
    sessions = [one for one in deck_statements(wall, "session") if not _in_book(one, lines)]
    return DeckBook(lines[::-1], inside, sessions)


def _in_book(session: DeckStatement, lines: Sequence[LogLine]) -> bool:
    """Say whether the observer was in by the book when the session opened, or the book is later."""
    opened = read_moment(session.content["opened_at"], field="opened_at")
    if not lines or opened.date() < lines[0].at.date():
        return True
    who = str(session.content.get("observer") or session.head.observed_by).strip().casefold()
    earlier = [line for line in lines if _name(line) == who and line.at <= opened]
    return bool(earlier) and earlier[-1].content["way"] == IN


def _name(line: LogLine) -> str:
    return str(line.content["who"]).strip().casefold()


@dataclass(frozen=True)
class Enclosure:
    """The log of the enclosure, newest first, and what in it is not in order now."""

    lines: Sequence[LogLine]
    wanting: Sequence[LogLine]


def enclosure(wall: Wall, now: datetime) -> Enclosure:
    """Return how the enclosure stands: water before everything else."""
    lines = [line for line in standing_lines(wall, ENCLOSURE) if line.at <= now]
    last = {(line.content["what"], line.content.get("place", "")): line for line in lines}
    wanting = [line for line in last.values() if not in_order(line)]
    wanting.sort(key=lambda line: (line.content["state"] != WET, line.at))
    return Enclosure(lines[::-1], wanting)


def in_order(line: LogLine) -> bool:
    """Whether a line of the enclosure says that the part is in order; a new filter is."""
    state = line.content["state"]
    return state == ENCLOSURE_STATES[line.content["what"]][0] or state == "changed"
