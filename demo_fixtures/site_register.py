"""What stands in the invented site register, plant list and lamp book? Invented demo data.

Protection on the wall with its inspections, the deck book and enclosure of two days, the machines of
phases 2 and 3 with a supervised trial, and the lamps of the survey days.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from demo_fixtures.drafts import object_id
from demo_fixtures.instruments import Body
from demo_fixtures.people import NAMES
from demo_fixtures.phases import CONTRACTOR, DEMO_PHASES, DemoActivity
from demo_fixtures.plans import ROUNDS
from demo_fixtures.site import FACED_ON
from demo_fixtures.watch_limits import PROTOCOL
from survey.watch.units import fahrenheit_to_celsius

INES, TOMAS, PRIYA, GIL = (NAMES[name] for name in ("ines", "tomas", "priya", "gil"))
SHEETED = ("A26", "A27", "A28", "B26", "B27")
FACED = ("A16", "A17", "B16", "B17")
LAMP_LX, LAMP_MINUTES = 800.0, 360.0
BAY = ("B16", "B17", "B18", "C16", "C17", "C18")  # before which the lamps stood on the third day
FT = 12.0
FULL_SURVEYS = [plan for plan in ROUNDS if plan.kind != "round"]
KERB, FLOOR = DEMO_PHASES[1].activities[0], DEMO_PHASES[2].activities[0]


@dataclass(frozen=True)
class RegisterLine:
    """One line: its fixed id, kind and body; `about` names the key of the line that it is about."""

    key: str
    kind: str
    body: Body
    about: str = ""

    @property
    def object_id(self) -> str:
        """Return the line's fixed id."""
        return register_id(self.key)


def register_id(key: str) -> str:
    """Return the fixed id of a line of the register."""
    return object_id(f"register:{key}")


def register_lines() -> list[RegisterLine]:
    """Return every line, those that others are about first."""
    return [*_protection(), *_plant(), *_days(), *_light()]


def _at(day: date, hour: int, minute: int = 0) -> str:
    return datetime.combine(day, time(hour, minute), UTC).isoformat().replace("+00:00", "Z")


def _line(key: str, line: str, body: Body, /, *, about: str = "", **more: object) -> RegisterLine:
    return RegisterLine(key, line, {**body, **more}, about)


def _protection() -> list[RegisterLine]:
    lines = [
        _line("facing", "protection", {"kind": "facing"}, at=_at(FACED_ON, 15), by=TOMAS,
              name="Tissue over the shaken flakes", cells=list(FACED), material="Japanese tissue",
              installed_on=FACED_ON.isoformat(), due_off_on="2026-12-04", inspect_every_days=14,
              test_removal="Corner of B17 lifted after a day, nothing came with it"),
        _line("sheeting", "protection", {"kind": "sheeting"}, at=_at(date(2026, 8, 20), 9), by=GIL,
              name="Sheeting below the lantern", cells=list(SHEETED), material="Flame-retardant",
              installed_on="2026-08-20", due_off_on="2026-11-06", inspect_every_days=7),
        _line("seal", "protection", {"kind": "seal"}, at=_at(date(2026, 2, 20), 16), by=GIL,
              name="Dust seal at the foot of the scaffold", place="Floor, whole length",
              installed_on="2026-02-20", inspect_every_days=7),
    ]  # fmt: skip
    lines += [
        _line(f"{key}-looked-{day}", "protection-inspected", {}, about=key,
              at=_at(date(2026, 11, day), 8, 40), by=PRIYA, result="sound")
        for key in ("facing", "seal") for day in (9, 16)
    ]  # fmt: skip
    return lines


def _plant() -> list[RegisterLine]:
    """Return the machines; the trial is that of the breaker on the floor."""
    same: Body = {"by": GIL, "label": "confirmed", "source": "FTA Report 0123 (2018), table 7-4"}
    listed = datetime(2026, 6, 22, 9, tzinfo=UTC).isoformat()
    lines = [
        _line("kerb-breaker", "plant",
              {**same, **_of("jackhammer", KERB), "label": "stated-by-contractor",
               "source": CONTRACTOR},
              at=listed, name="Electric breaker, 30 lb class", activity=KERB.name,
              reference_ppv_in_s=0.035, distance_in=3 * FT, phase=2, same_masonry=True),
        _line("floor-breaker", "plant", {**same, **_of("large-bulldozer", FLOOR)}, at=listed,
              name="Breaker on a small excavator", activity=FLOOR.name,
              reference_ppv_in_s=0.089, distance_in=18 * FT, phase=3),
        _line("trucks", "plant", {**same, **_of("loaded-trucks", FLOOR)}, at=listed,
              name="Loaded trucks in the yard", activity="Carting rubble",
              reference_ppv_in_s=0.076, distance_in=25 * FT, phase=3),
    ]  # fmt: skip
    blows = ((18, 0.052), (18, 0.047), (18, 0.050), (24, 0.036), (24, 0.033), (30, 0.027))
    lines += [
        _line(f"blow-{number}", "trial-blow", {}, about="floor-breaker", who=TOMAS, distance_in=feet * FT,
              at=_at(date(2026, 11, 2), 8, 10 + 2 * number), ppv_in_s=ppv, frequency_hz=24.0)
        for number, (feet, ppv) in enumerate(blows)
    ]  # fmt: skip
    return lines


def _of(plant: str, activity: DemoActivity) -> Body:
    """Return the class of a machine and the days of its activity."""
    days = activity.starts_on.isoformat(), activity.ends_on.isoformat()
    return {"class": plant, "from": days[0], "to": days[1]}


def _days() -> list[RegisterLine]:
    """Return deck book and enclosure of the two days of the open round."""
    lines = []
    for number in (16, 17):
        day = date(2026, 11, number)
        lines += [
            _line(f"in-{number}", "deck-book", {}, at=_at(day, 8, 15), who=PRIYA, way="in", deck="2",
                  why="Weekly round", keys="Key 2"),
            _line(f"out-{number}", "deck-book", {}, at=_at(day, 16, 5), who=PRIYA, way="out", deck="2"),
            _line(f"door-{number}", "enclosure", {}, at=_at(day, 16, 10), who=GIL, what="door",
                  state="closed", place="Scaffold gate"),
            _line(f"filter-{number}", "enclosure", {}, at=_at(day, 16, 12), who=GIL, what="filter",
                  state="in-order", pressure_pa=180.0 + number),
            _line(f"tape-{number}", "enclosure", {}, at=_at(day, 8, 5), who=GIL, what="leak-tape",
                  state="dry", place="Head of the wall, columns 36 to 39"),
        ]  # fmt: skip
    left_on = _line(
        "lamps-16", "enclosure", {}, at=_at(date(2026, 11, 16), 18, 30), who=GIL, what="lamps",
        state="left-on", place="Deck 2, columns 16 to 18",
    )  # fmt: skip
    off = _line(
        "lamps-off-16", "enclosure", {}, at=_at(date(2026, 11, 16), 18, 34), who=GIL, what="lamps",
        state="off", place="Deck 2, columns 16 to 18",
    )  # fmt: skip
    return [*lines, left_on, off]


def _light() -> list[RegisterLine]:
    """Return the agreed dose and the lamps of the full surveys before one bay.

    The open round's lamps are in its sessions on the deck.
    """
    lines = [
        _line("dose", "agreed-dose", {}, at=_at(date(2026, 2, 12), 11), by=INES, limit_lx_h=313_000.0,
              from_on="2026-02-23", until_on="2027-02-22", source=PROTOCOL,
              label="agreed-on-site")
    ]  # fmt: skip
    for plan in FULL_SURVEYS:
        day = plan.days[2]
        lines.append(
            _line(f"lamps-{plan.code}", "lamp-use", _heat(day), at=_at(day, 16, 30), by=PRIYA,
                  cells=list(BAY), lamp="Two cool lamps on stands", lux=LAMP_LX,
                  minutes=LAMP_MINUTES)
        )  # fmt: skip
    return lines


def _heat(day: date) -> Body:
    """Return the surface before and with the lamps on the day on which it was taken down."""
    if day - date(2026, 6, 15) != timedelta(days=2):
        return {}
    before, after = (round(float(fahrenheit_to_celsius(read_f)), 3) for read_f in (66.0, 79.0))
    return {"surface_before_c": before, "surface_after_c": after, "surface_rh_pct": 55.0}
