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
