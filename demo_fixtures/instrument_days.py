"""What happened to the invented wall's instruments: set up, tried, moved, mended? Invented data."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from demo_fixtures.drafts import object_id
from demo_fixtures.instruments import DECKS_FROM, INSTRUMENTS, OUTAGE_S, Body
from demo_fixtures.people import NAMES

LAST_TEST = {"V1": date(2026, 11, 16), "V2": date(2026, 11, 9)}  # V2's is overdue
SIREN = "Siren heard on deck 1, deck 2 and in the site hut."


@dataclass(frozen=True)
class InstrumentDay:
    """One event of an instrument: its fixed id, the instrument's code and the entry's body."""

    key: str
    code: str
    body: Body

    @property
    def object_id(self) -> str:
        """Return the line's fixed id."""
        return object_id(f"instrument-event:{self.key}")


def instrument_days() -> Iterator[InstrumentDay]:
    """Yield every event, in order of time."""
    found = [*_installed(), *_alarm_tests(), *_others()]
    yield from sorted(found, key=lambda one: (str(one.body["at"]), one.key))


def _event(key: str, code: str, what: str, at: datetime, who: str, **more: str) -> InstrumentDay:
    body: Body = {"what": what, "at": at.isoformat().replace("+00:00", "Z"), "who": who, **more}
    return InstrumentDay(f"{code}:{key}", code, body)


def _at(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime.combine(day, time(hour, minute), UTC)


def _installed() -> list[InstrumentDay]:
    return [
        _event(
            "installed", one.code, "installed",
            _at(date.fromisoformat(str(one.body["from_on"])), 8), NAMES["tomas"],
            result="Clock set by the time signal; nothing touches original paint.",
        )
        for one in INSTRUMENTS
    ]  # fmt: skip


def _alarm_tests() -> list[InstrumentDay]:
    """Return the weekly trials of the two sirens, Mondays at eight."""
    found = []
    for code, last in LAST_TEST.items():
        monday = DECKS_FROM
        while monday <= last:
            found.append(
                _event(
                    f"test-{monday.isoformat()}",
                    code,
                    "test-alarm",
                    _at(monday, 8),
                    NAMES["gil"],
                    result=SIREN,
                )
            )
            monday += timedelta(days=7)
    return found  # fmt: skip


def _others() -> list[InstrumentDay]:
    outage = [datetime.fromtimestamp(second, UTC) for second in OUTAGE_S]
    return [
        _event(
            "battery", "A2", "battery", _at(date(2026, 6, 11), 9, 20), NAMES["priya"],
            note="Battery flat since 8 June; nothing is known of deck 2's air in between.",
        ),
        _event(
            "outage", "V1", "fault", outage[0], NAMES["gil"],
            note="Mains lead pulled while steel was carried past; found at 15:00.",
        ),
        _event("mended", "V1", "mended", outage[1], NAMES["tomas"], result="Lead tied back."),
    ]  # fmt: skip
