"""Who works on the invented wall? Names, accounts and roles; invented demo data.

The password below is printed by the `demo` command and is for the demo only: it must never be
given to an account on an installation that holds a real record.
"""

from dataclasses import dataclass

DEMO_PASSWORD = "harvest-train-1936"  # for the demo only; printed on the console and in README


@dataclass(frozen=True)
class DemoPerson:
    """One demo account: `role` is a membership role on the demo wall."""

    username: str
    name: str
    role: str
    affiliation: str


DEMO_PEOPLE: tuple[DemoPerson, ...] = (
    DemoPerson("ines", "Ines Fallow", "lead", "for Marrowby Station Trust"),
    DemoPerson("tomas", "Tomas Sedge", "conservator", "for Marrowby Station Trust"),
    DemoPerson("priya", "Priya Lund", "conservator", "for Marrowby Station Trust"),
    DemoPerson("gil", "Gil Alder", "site-manager", "Rook & Alder Builders"),
)

NAMES: dict[str, str] = {person.username: person.name for person in DEMO_PEOPLE}

# Nobody answers at these: 555-0100 to 555-0199 are kept for invented people.
# source: North American Numbering Plan, 555 line numbers set aside for fictional use
TELEPHONES: list[dict[str, str]] = [
    {"name": "Gil Alder", "role": "Site manager, Rook & Alder Builders", "number": "555-0142"},
    {"name": "Ines Fallow", "role": "Lead conservator", "number": "555-0117"},
    {
        "name": "Warden's desk",
        "role": "Marrowby Station Trust, owner",
        "number": "555-0103",
        "note": "Day and night",
    },
    {
        "name": "Claims office",
        "role": "Marrowby Mutual Fire Office, insurer",
        "number": "555-0178",
        "note": "Weekdays, 9:00 to 17:00",
    },
]
