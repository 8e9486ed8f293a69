"""What works happen beside the invented wall, and when? Invented demo data.

Dates are those of the building programme; whether a survey came before or after them is for the
program to compute, never written here.
"""

from dataclasses import dataclass
from datetime import date

CONTRACTOR = "Rook & Alder Builders"
INSURER = "Marrowby Mutual Fire Office"
OWNER = "Marrowby Station Trust"


@dataclass(frozen=True)
class DemoActivity:
    """A listed activity: one that the protocol names, with the days on which it was done."""

    name: str
    starts_on: date
    ends_on: date
    note: str = ""


@dataclass(frozen=True)
class DemoPhase:
    """A phase of the building works."""

    number: int
    name: str
    starts_on: date
    ends_on: date
    works: str
    activities: tuple[DemoActivity, ...] = ()


# Listed before phase 1 begins: the scaffold is what makes the baseline late.
SCAFFOLD_ERECTION = DemoActivity(
    "Scaffold erection",
    date(2026, 2, 16),
    date(2026, 2, 20),
    "Independent scaffold on both decks; four ties drilled into the brick pier beside column 42.",
)

DEMO_PHASES: tuple[DemoPhase, ...] = (
    DemoPhase(
        1,
        "Canopy demolition",
        date(2026, 3, 16),
        date(2026, 6, 12),
        "Platform canopy behind the wall taken down; steel cut cold and lowered by crane.",
        (
            SCAFFOLD_ERECTION,
            DemoActivity("Cutting out canopy shoes", date(2026, 3, 23), date(2026, 4, 2)),
            DemoActivity("Lowering canopy steel", date(2026, 4, 13), date(2026, 5, 22)),
        ),
    ),
    DemoPhase(
        2,
        "Roof lantern replacement",
        date(2026, 6, 29),
        date(2026, 10, 16),
        "Old roof lantern struck, kerb rebuilt, new lantern set and leaded.",
        (
            DemoActivity("Breaking out the lantern kerb", date(2026, 7, 13), date(2026, 7, 31)),
            DemoActivity("Setting lantern steel", date(2026, 8, 24), date(2026, 9, 4)),
            DemoActivity("Leadwork, open roof", date(2026, 9, 7), date(2026, 10, 2)),
        ),
    ),
    DemoPhase(
        3,
        "New floor slab and heating",
        date(2026, 11, 2),
        date(2027, 2, 26),
        "Old floor broken out, new slab cast, underfloor heating laid and commissioned.",
        (
            DemoActivity("Breaking out the old floor", date(2026, 11, 2), date(2026, 11, 20)),
            DemoActivity("Casting the slab", date(2026, 12, 7), date(2026, 12, 18)),
            DemoActivity("First heating of the slab", date(2027, 1, 18), date(2027, 2, 12)),
        ),
    ),
)


@dataclass(frozen=True)
class DemoEvent:
    """Something that happened on one day and that loss windows name."""

    key: str
    on: date
    title: str
    note: str


VIBRATION_EVENT = DemoEvent(
    "vibration",
    date(2026, 7, 21),
    "Red vibration event, top sensor 0.084 in/s at 10:42",
    "Breaking out the lantern kerb above columns 14 to 19; work stopped at 10:44.",
)
LEAK_EVENT = DemoEvent(
    "leak",
    date(2026, 9, 15),
    "Water at the head of the wall above columns 36 to 39",
    "Open roof sheeting lifted in the night; about two hours of rain before it was closed.",
)
