"""What damage did the wall have before the works: losses, flaking, hollows, cracks, weak paint?"""

import math

import numpy as np

from demo_fixtures import truth_wear
from demo_fixtures.damage import BEFORE_WORKS, Damage, Stage, growing, lengthening, still
from demo_fixtures.shapes import Island, Point, island, wander
from demo_fixtures.site import (
    CONSOLIDATED_ON,
    PHASE_1_DAY,
    PHASE_2_DAY,
    SHAKEN_X_IN,
    Site,
    Tally,
    spread,
)
from demo_fixtures.wall import WIDTH_IN

ZONE_SHARES = (("upland", 0.34), ("train", 0.15), ("wheat", 0.13), ("town", 0.14), ("figures", 0.09),
               ("border", 0.09), ("river", 0.06))  # fmt: skip
MAIN_LOSS_AREA_SQ_IN = (12.0, 12.9)  # a loss in C17, before and after phase 1
LONG_ISLAND_IN = (4.85, 0.79)  # half length and half breadth
QUERIED_LOSS_AREA_SQ_IN = 4.2  # a loss in E05; the hand that shrinks it is in `surveys`


CLEANED_STRETCHES = 3  # of the four stretches of soot
LAID_FLAKING = (1, 8, 20, 31)  # laid and consolidated in the pause between the phases


def _zone(site: Site) -> str:
    names, shares = zip(*ZONE_SHARES, strict=True)
    return str(site.rng.choice(names, p=shares))


def _told_losses(site: Site, tally: Tally) -> list[Damage]:
    """Two losses whose figures are worked by hand: one that grows in C17, one in E05."""
    first, second = MAIN_LOSS_AREA_SQ_IN
    # A long island, 20 in round at 12.0 sq in.
    angles = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    radii = 1 / np.hypot(
        np.cos(angles - 0.5) / LONG_ISLAND_IN[0], np.sin(angles - 0.5) / LONG_ISLAND_IN[1]
    )
    main = Island((396.5, 108.0), tuple(radii.tolist())).with_area(first)
    site.taken += [(396.5, 108.0, main.reach_in + 0.5), (108.0, 57.0, 3.0)]
    queried = island(site.rng, (108.0, 57.0), QUERIED_LOSS_AREA_SQ_IN, ragged=0.2)
    stages = (
        Stage(BEFORE_WORKS, main, "paint-loss"),
        Stage(PHASE_1_DAY, main.with_area(second), "paint-loss"),
    )
    return [
        Damage("told-c17", tally.label("L"), "area", "upland", stages, 2, measures={"layer shown": "fine coat"}),
        Damage("told-e05", tally.label("L"), "area", "train", still(queried, "paint-loss"), 2, measures={"layer shown": "fine coat"}),
    ]  # fmt: skip


def _pair(site: Site, tally: Tally) -> list[Damage]:
    """Two losses a hand's breadth apart that run together in phase 2."""
    forms = [
        island(site.rng, centre, area, ragged=0.25)
        for centre, area in (((268.0, 38.0), 7.0), ((273.6, 38.6), 5.0))
    ]
    site.taken.append((270.5, 38.3, 7.0))
    joined = island(site.rng, (270.6, 38.3), 21.5, ragged=0.12, stretch=2.1)
    gone = (Stage(PHASE_2_DAY, None, "paint-loss"),)
    found = [
        Damage(
            f"pair-{k}",
            tally.label("L"),
            "area",
            "wheat",
            (*still(form, "paint-loss"), *gone),
            2,
            edge="dirty",
        )
        for k, form in enumerate(forms)
    ]
    whole = still(joined, "paint-loss", since=PHASE_2_DAY)
    found.append(
        Damage(
            "pair-joined",
            tally.label("L"),
            "area",
            "wheat",
            whole,
            2,
            edge="fresh",
            merges=("pair-0", "pair-1"),
        )
    )
    return found


def _paint_losses(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(64):
        area = float(np.clip(site.rng.lognormal(1.2, 0.9), 0.5, 46))
        form = spread(site, _zone(site), area, ragged=0.42, room_in=0.8)
        stages = still(form, "paint-loss")
        if k % 9 == 4:
            step = 0.28 + 0.06 * math.sqrt(area)
            day = PHASE_1_DAY if k % 2 else PHASE_2_DAY
            stages = growing(
                form, "paint-loss", [(day, step)], towards_rad=site.rng.uniform(0, 6.3)
            )
        severity = 1 if area < 3 else 2 if area < 18 else 3
        layer = ("fine coat", "fine coat", "earlier paint", "ground")[k % 4]
        found.append(
            Damage(
                f"loss-{k:02}",
                tally.label("L"),
                "area",
                "",
                stages,
                severity,
                edge="dirty",
                measures={"layer shown": layer},
            )
        )
    return found


def _flaking(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(40):
        zone = ("upland", "town", "train", "upland", "river", "wheat")[k % 6]
        stretch_in = SHAKEN_X_IN if zone == "upland" and k % 4 == 0 else (0.0, WIDTH_IN)
        form = spread(
            site,
            zone,
            float(site.rng.uniform(5, 60)),
            ragged=0.3,
            stretch=1.7,
            room_in=1.0,
            x_in=stretch_in,
        )
        stages = still(form, "flaking")
        if k in LAID_FLAKING:
            stages = (*stages, Stage(CONSOLIDATED_ON, None, "flaking"))
        elif k in (5, 14, 23):
            # Fallen: what flaked is now gone, a little beyond the old edge.
            fallen = form.grown(0.35, towards_rad=site.rng.uniform(0, 6.3))
            stages = (*stages, Stage(PHASE_1_DAY if k != 23 else PHASE_2_DAY, fallen, "paint-loss"))
        elif k % 5 == 2:
            stages = growing(
                form,
                "flaking",
                [(PHASE_1_DAY, 0.7), (PHASE_2_DAY, 0.5)],
                towards_rad=site.rng.uniform(0, 6.3),
            )
        severity = int(site.rng.integers(1, 4))
        risk = ("low", "some", "high")[severity - 1]
        found.append(
            Damage(
                f"flaking-{k:02}",
                tally.label("F"),
                "area",
                zone,
                stages,
                severity,
                measures={"lift": 0.2 * severity, "risk of fall": risk},
            )
        )
    return found


def _hollows(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(24):
        zone = ("upland", "train", "wheat", "town", "figures", "river")[k % 6]
        form = spread(
            site,
            zone,
            float(site.rng.uniform(30, 150)),
            ragged=0.16,
            stretch=1.5,
            room_in=1.0,
            y_in=(0, 148),
        )
        stages = still(form, "detachment")
        severity = 2 if k % 3 else 1
        sound = ("dull", "hollow", "drum-like")[severity if k % 4 == 0 else severity - 1]
        found.append(
            Damage(
                f"hollow-{k:02}",
                tally.label("H"),
                "area",
                zone,
                stages,
                severity,
                measures={"sound class": sound, "depth layer": "between coats"},
            )
        )
    return found


def _shaken_hollows(site: Site, tally: Tally) -> list[Damage]:
    """Hollows below the lantern kerb that move after the vibration event."""
    found = []
    for k in range(2):
        form = spread(
            site,
            "upland",
            62.0 - 18 * k,
            ragged=0.16,
            x_in=SHAKEN_X_IN,
            y_in=(84, 150),
            room_in=1.0,
        )
        stages = (
            Stage(BEFORE_WORKS, form, "detachment"),
            Stage(PHASE_2_DAY, form.grown(0.6, towards_rad=4.0), "moving-detachment"),
        )
        found.append(
            Damage(
                f"hollow-shaken-{k}",
                tally.label("H"),
                "area",
                "upland",
                stages,
                3,
                measures={"sound class": "drum-like", "depth layer": "between coats"},
            )
        )
    return found


def _plaster_losses(site: Site, tally: Tally) -> list[Damage]:
    places = ("border", "wheat", "town", "border", "train")
    found = []
    for k, zone in enumerate(places):
        form = spread(site, zone, float(site.rng.uniform(4, 22)), ragged=0.35)
        found.append(
            Damage(
                f"plaster-loss-{k}",
                tally.label("P"),
                "area",
                zone,
                still(form, "plaster-loss"),
                2,
                edge="dirty",
                measures={"depth": 4 + k, "coat exposed": "middle coat"},
            )
        )
    return found


def _crack_line(site: Site, zone: str, length_in: float, heading_rad: float) -> list[Point]:
    """Return a wandering line whose whole run stays within its own free circle."""
    middle = site.place(zone, length_in * 0.55)
    start = (
        middle[0] - math.cos(heading_rad) * length_in / 2,
        middle[1] - math.sin(heading_rad) * length_in / 2,
    )
    return wander(site.rng, start, heading_rad=heading_rad, length_in=length_in)


def _cracks(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(32):
        zone = ("upland", "upland", "train", "wheat", "town", "figures")[k % 6]
        length = float(site.rng.uniform(6, 17))
        line = _crack_line(site, zone, length, float(site.rng.uniform(0, math.pi)))
        stages = still(line, "hairline-crack")
        if k in (3, 9, 18, 27):
            days = (PHASE_1_DAY, PHASE_2_DAY)
            stages = lengthening(
                line, "hairline-crack", [(BEFORE_WORKS, 0.6), (days[0], 0.8), (days[1], 1.0)]
            )
        found.append(
            Damage(
                f"hairline-{k:02}",
                tally.label("C"),
                "line",
                zone,
                stages,
                1,
                measures={"width class": "up to 0.1"},
            )
        )
    for k in range(9):
        zone = ("upland", "wheat", "town")[k % 3]
        line = _crack_line(
            site, zone, float(site.rng.uniform(12, 24)), float(site.rng.uniform(0.9, 2.2))
        )
        found.append(
            Damage(
                f"crack-{k}",
                tally.label("C"),
                "line",
                zone,
                still(line, "plaster-crack"),
                2,
                measures={"width class": "up to 0.3" if k % 2 else "up to 1"},
            )
        )
    return found


def _behind_boards(site: Site, tally: Tally) -> list[Damage]:
    """Damage behind deck 2's boards: older than the works, unseen until boards are lifted."""
    found = []
    for k in range(26):
        x = 20.0 + 37.5 * k
        zone = "train" if x < 470 else "figures" if x < 640 else "river" if x < 770 else "town"
        area = float(np.clip(site.rng.lognormal(1.1, 0.5), 0.8, 8))
        form = spread(
            site,
            zone,
            area,
            ragged=0.3,
            stretch=1.2,
            x_in=(max(12, x - 18), min(996, x + 18)),
            y_in=(66, 78),
            strip=True,
        )
        term = ("paint-loss", "flaking", "paint-loss", "abrasion")[k % 4]
        letter = {"paint-loss": "L", "flaking": "F", "abrasion": "A"}[term]
        found.append(
            Damage(
                f"strip-{k:02}",
                tally.label(letter),
                "area",
                zone,
                still(form, term),
                1,
                in_boards_strip=True,
                edge="dirty" if term == "paint-loss" else "",
            )
        )
    return found


MAKERS = (
    _behind_boards,
    _hollows,
    _shaken_hollows,
    _flaking,
    _cracks,
    *truth_wear.MAKERS,
    _plaster_losses,
    _paint_losses,
)
FIRST_MAKERS = (_told_losses, _pair)
