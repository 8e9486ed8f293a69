"""What came to the wall during the works: losses, a red vibration event, a leak and its salts."""

import math
from datetime import date, timedelta

import numpy as np

from demo_fixtures.damage import Damage, Stage, growing, still
from demo_fixtures.phases import LEAK_EVENT
from demo_fixtures.shapes import Island
from demo_fixtures.site import (
    LEAK_DAY,
    PHASE_1_DAY,
    PHASE_2_DAY,
    PHASE_3_DAY,
    SHAKEN_X_IN,
    WETTED_X_IN,
    Site,
    Tally,
    spread,
)


def _phase_1(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k, zone in enumerate(("border", "wheat", "town", "upland", "figures", "train")):
        form = spread(site, zone, float(site.rng.uniform(0.7, 4.5)), ragged=0.4)
        stages = still(form, "paint-loss", since=PHASE_1_DAY)
        found.append(
            Damage(
                f"phase1-loss-{k}",
                tally.label("L"),
                "area",
                zone,
                stages,
                1 + (k == 3),
                edge="fresh",
                measures={"layer shown": "fine coat"},
            )
        )
    at = site.place("border", 1.0, x_in=(930, 990), y_in=(0, 14))
    found.append(
        Damage(
            "phase1-impact",
            tally.label("I"),
            "point",
            "border",
            still([at], "impact-gouge", since=PHASE_1_DAY),
            2,
            edge="fresh",
            measures={"size": 14},
        )
    )
    return found


def _vibration(site: Site, tally: Tally) -> list[Damage]:
    """Fresh losses below the lantern kerb, found after the stop of 21 July."""
    found = []
    for k in range(8):
        zone = ("upland", "train", "upland", "wheat")[k % 4]
        form = spread(site, zone, float(site.rng.uniform(0.9, 7.0)), ragged=0.45, x_in=SHAKEN_X_IN)
        stages = still(form, "paint-loss", since=PHASE_2_DAY)
        found.append(
            Damage(
                f"shaken-loss-{k}",
                tally.label("L"),
                "area",
                zone,
                stages,
                2,
                edge="fresh",
                measures={"layer shown": "fine coat"},
            )
        )
    for k in range(3):
        form = spread(site, ("upland", "train")[k % 2], 12.0 + 9 * k, ragged=0.3, x_in=SHAKEN_X_IN)
        found.append(
            Damage(
                f"shaken-flaking-{k}",
                tally.label("F"),
                "area",
                "",
                still(form, "flaking", since=PHASE_2_DAY),
                3,
                measures={"lift": 0.6, "risk of fall": "high"},
            )
        )
    form = spread(site, "upland", 9.5, ragged=0.35, x_in=SHAKEN_X_IN, y_in=(84, 150))
    found.append(
        Damage(
            "shaken-plaster",
            tally.label("P"),
            "area",
            "upland",
            still(form, "plaster-loss", since=PHASE_2_DAY),
            3,
            edge="fresh",
            measures={"depth": 7, "coat exposed": "middle coat"},
        )
    )
    return found


def _leak_run(site: Site, tally: Tally) -> list[Damage]:
    """The run that the water left from the head of the wall."""
    angles = np.linspace(0, 2 * math.pi, 40, endpoint=False)
    radii = (1 + 0.07 * np.sin(6 * angles)) / np.hypot(np.cos(angles) / 9.0, np.sin(angles) / 17.5)
    run = Island((922.0, 134.0), tuple(radii.tolist()))
    stain = still(run, "stain-tide-line-run", since=LEAK_EVENT.on)
    return [
        Damage(
            "leak-run",
            tally.label("T"),
            "area",
            "upland",
            stain,
            2,
            measures={"edge of stain": "sharp"},
        )
    ]


def _leak_salts(site: Site, tally: Tally) -> list[Damage]:
    """Crystals in the town zone as the wall dries."""
    found = []
    for k in range(10):
        form = spread(
            site,
            "town",
            float(site.rng.uniform(4, 22)),
            ragged=0.35,
            stretch=1.8,
            x_in=WETTED_X_IN,
            y_in=(16, 110),
            room_in=0.9,
        )
        stages = growing(
            form, "efflorescence", [(PHASE_3_DAY, 0.7)], towards_rad=4.7, since=LEAK_DAY
        )
        if k in (2, 7):
            stages = (
                Stage(LEAK_DAY, form, "efflorescence"),
                Stage(PHASE_3_DAY, None, "efflorescence"),
            )
        found.append(
            Damage(
                f"leak-salt-{k}",
                tally.label("E"),
                "area",
                "town",
                stages,
                2,
                measures={"habit": ("fluffy", "needles", "powder")[k % 3]},
            )
        )
    return found


def _leak_powdering(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(3):
        form = spread(site, "town", float(site.rng.uniform(12, 28)), ragged=0.2, x_in=WETTED_X_IN)
        found.append(
            Damage(
                f"leak-powdering-{k}",
                tally.label("W"),
                "area",
                "town",
                still(form, "powdering", since=LEAK_DAY),
                2,
                measures={"swab or air test class": "marked"},
            )
        )
    return found


def _phase_2(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k, zone in enumerate(("river", "town", "wheat", "upland")):
        form = spread(site, zone, float(site.rng.uniform(0.8, 3.5)), ragged=0.4)
        found.append(
            Damage(
                f"phase2-loss-{k}",
                tally.label("L"),
                "area",
                zone,
                still(form, "paint-loss", since=_day_of_phase_2(k)),
                1,
                edge="unclear",
                measures={"layer shown": "ground"},
            )
        )
    for k in range(4):
        form = spread(
            site,
            ("figures", "wheat")[k % 2],
            float(site.rng.uniform(50, 120)),
            ragged=0.15,
            stretch=2.2,
        )
        found.append(
            Damage(
                f"phase2-dust-{k}",
                tally.label("U"),
                "area",
                "",
                still(form, "dust", since=PHASE_2_DAY),
                1,
                measures={"class": "marked"},
            )
        )
    return found


def _phase_3(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k, zone in enumerate(("wheat", "border")):
        form = spread(site, zone, 1.4 + k, ragged=0.4, y_in=(0, 40), x_in=(24, 220))
        found.append(
            Damage(
                f"phase3-loss-{k}",
                tally.label("L"),
                "area",
                zone,
                still(form, "paint-loss", since=PHASE_3_DAY),
                2,
                edge="fresh",
                measures={"layer shown": "fine coat"},
            )
        )
    return found


def _day_of_phase_2(number: int) -> date:
    """Return a day of phase 2 after the vibration event."""
    return PHASE_2_DAY + timedelta(days=12 + 9 * number)


MAKERS = (_phase_1, _vibration, _leak_run, _leak_salts, _leak_powdering, _phase_2, _phase_3)
