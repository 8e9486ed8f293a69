"""What did hands and water leave on the wall before the works: the artist's making, repair, soot?"""

import math
from dataclasses import replace

import numpy as np

from demo_fixtures.damage import Damage, Stage, growing, still
from demo_fixtures.shapes import Island
from demo_fixtures.site import CLEANED_ON, PHASE_1_DAY, PHASE_2_DAY, Site, Tally, spread

CLEANED_STRETCHES = 3  # of the four stretches of soot


def _day_joins(site: Site, tally: Tally) -> list[Damage]:
    """Where one day's plaster meets the next."""
    found = []
    for k, x in enumerate((92, 176, 262, 352, 470, 548, 640, 706, 800, 872, 950)):
        low = 82.0 if k % 2 else 16.0
        line = [
            (x + 5 * math.sin(0.07 * (y - low) + k), y)
            for y in np.arange(low, 64.0 if low < 60 else 156.0, 4.0)
        ]
        if k == 4:
            line = [(u - 8, v) for u, v in line]
        found.append(
            Damage(
                f"day-join-{k}",
                tally.label("J"),
                "line",
                "",
                still(line, "day-join"),
                0,
                measures={"order of overlap": "left over right"},
            )
        )
    return found


def _lift_joins(site: Site, tally: Tally) -> list[Damage]:
    """The artist's own scaffold-lift join."""
    found = []
    for k in range(4):
        xs = np.arange(14 + 246 * k, 14 + 246 * (k + 1) - 6, 6.0)
        line = [(float(x), 83.5 + 0.7 * math.sin(x / 21)) for x in xs]
        found.append(
            Damage(
                f"lift-join-{k}",
                tally.label("J"),
                "line",
                "",
                still(line, "scaffold-lift-join"),
                0,
                measures={"height above lower edge": 83.5},
            )
        )
    return found


def _incised_wheels(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k, (x, r) in enumerate(((372, 8.2), (391, 8.2), (410, 8.2))):
        arc = [
            (x + r * math.cos(a), 70.2 + r * math.sin(a))
            for a in np.linspace(0.98, math.pi - 0.98, 12)
        ]
        found.append(
            Damage(
                f"incised-wheel-{k}",
                tally.label("N"),
                "line",
                "train",
                still([(u, v + 1.5) for u, v in arc], "incised-line"),
                0,
                measures={"made": "direct"},
            )
        )
    return found


def _incised_arches(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(5):
        arc = [
            (667.5 + 31 * k + 12.5 * math.cos(a), 44 + 10.7 * math.sin(a))
            for a in np.linspace(0.05, math.pi - 0.05, 16)
        ]
        found.append(
            Damage(
                f"incised-arch-{k}",
                tally.label("N"),
                "line",
                "river",
                still(arc, "incised-line"),
                0,
                measures={"made": "direct"},
            )
        )
    return found


def _earlier_repair(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(9):
        form = spread(
            site,
            ("border", "town", "wheat", "upland")[k % 4],
            float(site.rng.uniform(6, 40)),
            ragged=0.14,
        )
        found.append(
            Damage(
                f"old-fill-{k}",
                tally.label("R"),
                "area",
                "",
                still(form, "old-fill-patch"),
                1,
                measures={"bond": "sound", "material": "gypsum"},
            )
        )
    for k in range(7):
        form = spread(
            site, ("upland", "figures", "town")[k % 3], float(site.rng.uniform(20, 90)), ragged=0.16
        )
        found.append(
            Damage(f"repaint-{k}", tally.label("R"), "area", "", still(form, "repaint"), 1)
        )
    return found


def _soot(site: Site, tally: Tally) -> list[Damage]:
    """Soot over the smoke zone, in four stretches, until it is cleaned; one stretch is left."""
    found = []
    for k, (x, rx) in enumerate(((96, 44), (190, 44), (284, 44), (376, 40))):
        angles = np.linspace(0, 2 * math.pi, 48, endpoint=False)
        wave = 1 + 0.05 * np.sin(5 * angles + k) + 0.04 * np.cos(9 * angles)
        radii = wave / np.hypot(np.cos(angles) / rx, np.sin(angles) / 14.0)
        form = Island((float(x), float(np.interp(x, [96, 376], [143, 132]))), tuple(radii.tolist()))
        stages: tuple[Stage, ...] = still(form, "soiling")
        if k < CLEANED_STRETCHES:
            stages = (*stages, Stage(CLEANED_ON, None, "soiling"))
        # Room for what lies under the soot, well within its edge.
        inner = Island(form.centre, tuple(r - 2.5 for r in form.radii_in))
        site.zones[f"soot {k}"] = inner.ring()
        found.append(
            Damage(
                f"soot-{k}",
                tally.label("S"),
                "area",
                "smoke",
                stages,
                2,
                measures={"class": "marked" if k % 2 else "heavy"},
            )
        )
    return found


def _stains(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(4):
        form = spread(
            site,
            "upland",
            float(site.rng.uniform(30, 90)),
            ragged=0.2,
            stretch=2.2,
            y_in=(140, 168),
        )
        found.append(
            Damage(
                f"stain-{k}",
                tally.label("T"),
                "area",
                "upland",
                still(form, "stain-tide-line-run"),
                1,
                measures={"edge of stain": "sharp"},
            )
        )
    return found


def _old_salts(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(3):
        form = spread(site, "border", float(site.rng.uniform(5, 14)), y_in=(0, 14), ragged=0.3)
        found.append(
            Damage(
                f"old-salt-{k}",
                tally.label("E"),
                "area",
                "border",
                still(form, "efflorescence"),
                1,
                measures={"habit": "powder"},
            )
        )
    return found


def _dust(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(6):
        form = spread(
            site,
            ("wheat", "town", "figures")[k % 3],
            float(site.rng.uniform(40, 110)),
            ragged=0.15,
            stretch=2.0,
        )
        stages = growing(
            form, "dust", [(PHASE_1_DAY, 0.9), (PHASE_2_DAY, 0.8)], towards_rad=math.pi * 1.5
        )
        found.append(
            Damage(
                f"dust-{k}", tally.label("U"), "area", "", stages, 1, measures={"class": "light"}
            )
        )
    return found


def _under_soot(site: Site, tally: Tally) -> list[Damage]:
    """Old losses and fills that nobody could see before the soot was taken off."""
    found = []
    for k in range(14):
        area = float(np.clip(site.rng.lognormal(1.0, 0.6), 0.6, 14))
        form = spread(site, f"soot {k % CLEANED_STRETCHES}", area, ragged=0.4)
        term = "old-fill-patch" if k % 6 == 5 else "paint-loss"
        measures: dict[str, object] = (
            {"layer shown": "fine coat"} if term == "paint-loss" else {"bond": "sound"}
        )
        damage = Damage(
            f"under-soot-{k:02}",
            tally.label("L" if term == "paint-loss" else "R"),
            "area",
            "smoke",
            still(form, term),
            1,
            edge="dirty",
            measures=measures,
        )
        found.append(replace(damage, covered_until=CLEANED_ON))
    return found


FIRST_MAKERS = (_soot, _under_soot)
MAKERS = (
    _earlier_repair,
    _stains,
    _old_salts,
    _dust,
    _day_joins,
    _lift_joins,
    _incised_wheels,
    _incised_arches,
)
