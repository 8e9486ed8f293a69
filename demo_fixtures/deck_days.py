"""What was noted on the deck during the open weekly round? Invented demo data, plain dicts.

Two days of it: daily checks, two sessions, three spot readings, a fragment, and a stop that was
lifted the same morning.
"""

from datetime import UTC, datetime

from demo_fixtures.drafts import Draft, draft, object_id
from demo_fixtures.people import NAMES, TELEPHONES

CODE = "W1"
_CHECKED = ("scaffold-tag", "seals", "trays", "drips", "filters", "guards", "lights")
_NUMBERS = {row["name"]: row["number"] for row in TELEPHONES}


def deck_days() -> list[Draft]:
    """Return the drafts of the round's days on the deck, in the order made."""
    drafts = [*_checks(), *_sessions(), *_readings(), _fragment(), *_stop()]
    return sorted(drafts, key=lambda one: (str(one["made_at"]), str(one["id"])))


def _at(day: int, hour: int, minute: int) -> datetime:
    return datetime(2026, 11, day, hour, minute, tzinfo=UTC)


def _iso(moment: datetime) -> str:
    return moment.isoformat().replace("+00:00", "Z")


def _said(
    kind: str, about: str, moment: datetime, body: dict[str, object], *, by: str = "priya",
    parents: tuple[str, ...] = (), subject: str = "",
) -> Draft:  # fmt: skip
    return draft(
        kind, body, about=f"{CODE}:{about}", subject=object_id(subject or f"{CODE}:{about}"),
        made_at=moment, observer=by, recorder="priya", parents=parents,
    )  # fmt: skip


def _checks() -> list[Draft]:
    wanting = {"trays": ("not-in-order", "Tray below bay 15 to 18 half full of grit; emptied.")}
    return [_check(16, {}), _check(17, wanting)]


def _check(day: int, wanting: dict[str, tuple[str, str]]) -> Draft:
    items: list[dict[str, object]] = []
    for what in _CHECKED:
        state, note = wanting.get(what, ("in-order", ""))
        items.append({"what": what, "state": state, **({"note": note} if note else {})})
    body: dict[str, object] = {
        "checked_on": f"2026-11-{day}",
        "items": items,
        "tag_date": "2026-11-13",
        "session": object_id(f"{CODE}:session-{day}"),
    }
    return _said("daily-check", f"check-{day}", _at(day, 8, 20), body)


def _sessions() -> list[Draft]:
    first = {"A14": 3.2, "A15": 2.8, "B14": 3.5, "B15": 4.1, "C14": 3.0, "C15": 3.6}
    second = {"A16": 2.7, "A17": 2.9, "B16": 3.1, "B17": 3.8, "C16": 2.6, "C17": 6.4}
    return [
        *_session(16, "16 Nov, columns 14 and 15", first, recheck=("B15", "same")),
        *_session(17, "17 Nov, columns 16 and 17", second, recheck=("B17", "worse")),
    ]


def _session(
    day: int, label: str, minutes: dict[str, float], *, recheck: tuple[str, str]
) -> list[Draft]:
    opened, closed = _at(day, 8, 30), _at(day, 9, 25)
    cell, second = recheck
    lamp = {"setting": "Raking, 8°", "side": "left", "lux": 180, "lux_at": "1 ft from the wall"}
    body: dict[str, object] = {
        "state": "open",
        "label": label,
        "opened_at": _iso(opened),
        "observer": NAMES["priya"],
        "recorder": NAMES["priya"],
        "deck": "2",
        "cells": list(minutes),
        "mode": "raking",
        "cautions_read": True,
        "lamps": [{**lamp, "on_at": _iso(_at(day, 8, 36))}],
    }
    subject = f"{CODE}:session-{day}"
    start = _said("session", f"session-{day}", opened, body, subject=subject)
    end = {
        **body,
        "state": "closed",
        "closed_at": _iso(closed),
        "lamps": [{**lamp, "on_at": _iso(_at(day, 8, 36)), "off_at": _iso(_at(day, 9, 14))}],
        "lamp_minutes": 38.0,
        "minutes": minutes,
        "touch_minutes": 11.5,
        "rechecks": [
            {"item": object_id(f"recheck-{day}-1"), "cell": cell, "first": "same", "second": second},
            {"item": object_id(f"recheck-{day}-2"), "cell": "C14" if day == 16 else "C16",
             "first": "same", "second": "same"},
        ],
        "signed_by": NAMES["priya"],
        "signed_at": _iso(closed),
    }  # fmt: skip
    ended = _said(
        "session", f"session-{day}-closed", closed, end, subject=subject,
        parents=(str(start["id"]),),
    )  # fmt: skip
    return [start, ended]


def _readings() -> list[Draft]:
    rows = (
        ("moisture", 3.4, "%", "D37", "Resistance meter, pins 1 in apart"),
        ("surface-temperature", 58.1, "°F", "D37", "Contact thermometer"),
        ("crack-width", 0.012, "in", "C18", "Hand lens, 10×, with scale"),
    )
    return [
        _said(
            "spot-reading", f"reading-{number}", _at(17, 9, 30 + 4 * number),
            {"quantity": quantity, "value": value, "unit": unit, "cell": cell,
             "instrument": instrument, "session": object_id(f"{CODE}:session-17")},
        )
        for number, (quantity, value, unit, cell, instrument) in enumerate(rows)
    ]  # fmt: skip


def _fragment() -> Draft:
    body: dict[str, object] = {
        "bag": "22",
        "cell": "C17",
        "found_on": "2026-11-17",
        "place_below": "Deck 2, inboard tray",
        "layer": "paint with intonaco",
        "count": 3,
        "weight_g": 0.4,
        "suspected_source": "Not told; no fresh edge found above",
        "session": object_id(f"{CODE}:session-17"),
    }
    return _said("fragment", "fragment-22", _at(17, 9, 18), body)


def _stop() -> list[Draft]:
    noticed = _at(17, 9, 16)
    body: dict[str, object] = {
        "noticed_at": _iso(noticed),
        "activity": "Breaker on the floor slab below columns 16 to 18; the deck shook.",
        "cells": ["C16", "C17"],
        "fragments": "Three grains on the inboard tray, bagged as 22.",
        "state": "open",
        "session": object_id(f"{CODE}:session-17"),
    }
    calls = [
        {"who": name, "number": _NUMBERS[name], "at": _iso(_at(17, 9, minute)), "said": said}
        for name, minute, said in (
            ("Gil Alder", 18, "Breaker stopped at 9:18."),
            ("Ines Fallow", 24, "Comes up to look."),
        )
    ]
    lifted = {
        **body,
        "told": calls,
        "state": "lifted",
        "lifted_because": "C16 and C17 looked over by two people in raking light: no fresh edge. "
        "The breaker goes on with the smaller head.",
    }
    first = _said("stop", "stop", noticed, body)
    second = _said(
        "stop", "stop-lifted", _at(17, 10, 5), lifted, by="ines", subject=f"{CODE}:stop",
        parents=(str(first["id"]),),
    )  # fmt: skip
    return [first, second]
