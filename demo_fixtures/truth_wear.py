"""Where had the paint grown weak or worn thin before the works, and where had something struck it?"""

from demo_fixtures.damage import Damage, still
from demo_fixtures.site import Site, Tally, spread


def _powdering(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(14):
        zone = ("river", "upland", "town", "figures")[k % 4]
        form = spread(site, zone, float(site.rng.uniform(14, 80)), ragged=0.2, stretch=1.8)
        found.append(
            Damage(
                f"powdering-{k:02}",
                tally.label("W"),
                "area",
                zone,
                still(form, "powdering"),
                1 + k % 2,
                measures={"swab or air test class": "little" if k % 2 else "marked"},
            )
        )
    return found


def _abrasion(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(9):
        form = spread(
            site,
            ("border", "wheat", "border")[k % 3],
            float(site.rng.uniform(4, 18)),
            ragged=0.2,
            stretch=2.4,
            y_in=(0, 40),
        )
        found.append(
            Damage(
                f"abrasion-{k}",
                tally.label("A"),
                "area",
                "",
                still(form, "abrasion"),
                1,
                measures={"depth class": "colour thinned"},
            )
        )
    return found


def _impacts(site: Site, tally: Tally) -> list[Damage]:
    found = []
    for k in range(7):
        at = site.place(("border", "wheat", "train")[k % 3], 0.8, y_in=(0, 64))
        found.append(
            Damage(
                f"impact-{k}",
                tally.label("I"),
                "point",
                "",
                still([at], "impact-gouge"),
                1,
                measures={"size": 6 + k},
            )
        )
    return found


MAKERS = (_powdering, _abrasion, _impacts)
