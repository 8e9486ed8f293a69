"""What was read by hand beside the invented wall: dust slides and a colour spot? Invented demo data.

A slide is read and a clean one laid every Monday; the spot is read on survey days, five lifts
through a template each time.
"""

from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np

from demo_fixtures.climate import HOUR_S, moment_s
from demo_fixtures.clock import DEMO_NOW
from demo_fixtures.instruments import DECKS_FROM, Body
from demo_fixtures.phases import DEMO_PHASES

Reading = tuple[float, str, float]  # s since 1970 UTC, channel, value

D2: Body = {
    "code": "D2", "name": "Dust slides, deck 2", "deck": "2", "cell": "C18", "height_in": 180.0,
    "channels": [{"name": "coverage", "quantity": "dust-coverage", "unit": "%", "error": 0.05}],
    "place": "Glass slides laid flat on a tray hung from the guard rail", "silence_s": 864_000,
    "time": {"offset_min": 0}, "from_on": "2026-02-23",
    "note": "Read and changed on Mondays: first the week's slide, then a clean one at 0 %.",
}  # fmt: skip
C1: Body = {
    "code": "C1", "name": "Colour spot, pale smoke", "deck": "2", "cell": "B08",
    "height_in": 236.0,
    "channels": [{"name": name, "quantity": f"colour-{name}", "unit": "–"} for name in "lab"],
    "place": "Template held off the paint by three felt feet", "time": {"offset_min": 0},
    "from_on": "2026-02-23", "note": "Five lifts each time; paint sound, tested under a loupe.",
}  # fmt: skip
HAND_READ: tuple[Body, ...] = (D2, C1)

USUAL_PCT_PER_DAY = 0.030
WORKS_PCT_PER_DAY = 0.048
DUSTY_PCT_PER_DAY = {
    "Breaking out the lantern kerb": 0.135,
    "Breaking out the old floor": 0.105,
    "Lowering canopy steel": 0.060,
}
SPOT_LAB = np.array([62.4, 3.1, 14.8])
SPOT_SCATTER = 0.14
SPOT_DAYS = {  # day and what lay on the paint by then
    date(2026, 3, 4): (0.0, 0.0, 0.0),
    date(2026, 6, 16): (-0.1, 0.0, 0.1),
    date(2026, 10, 20): (-1.2, 0.1, 0.5),
}


def hand_readings() -> Iterator[tuple[Body, list[Reading]]]:
    """Yield each hand-read instrument with everything read, in order of time."""
    yield D2, _slides()
    yield C1, _spot()


def _slides() -> list[Reading]:
    rng = np.random.default_rng((1936, 68))
    monday, found = DECKS_FROM, [(moment_s(DECKS_FROM, 8.25), "coverage", 0.0)]
    while (monday := monday + timedelta(days=7)) <= DEMO_NOW.date():
        settled = sum(_rate(monday - timedelta(days=back)) for back in range(1, 8))
        read = round(max(settled * float(rng.normal(1.0, 0.12)), 0.0), 2)
        found.append((moment_s(monday, 8.0), "coverage", read))
        found.append((moment_s(monday, 8.25), "coverage", 0.0))
    return found


def _rate(day: date) -> float:
    for phase in DEMO_PHASES:
        for activity in phase.activities:
            if activity.starts_on <= day <= activity.ends_on and day.weekday() < 5:
                return DUSTY_PCT_PER_DAY.get(activity.name, WORKS_PCT_PER_DAY)
        if phase.starts_on <= day <= phase.ends_on:
            return WORKS_PCT_PER_DAY
    return USUAL_PCT_PER_DAY


def _spot() -> list[Reading]:
    rng = np.random.default_rng((1936, 67))
    found: list[Reading] = []
    for day, shift in SPOT_DAYS.items():
        for lift in range(5):
            at = moment_s(day, 10.0) + lift * HOUR_S / 60
            lab = SPOT_LAB + shift + rng.normal(0.0, SPOT_SCATTER, 3)
            found += [(at, name, round(float(v), 2)) for name, v in zip("lab", lab, strict=True)]
    return found
