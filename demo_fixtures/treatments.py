"""What was done to the invented wall between the surveys, where, by whom and with what?

Entries of the wall's standing logbook. Preparations are named by what is in them; trade names are
invented. Invented demo data.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta

from demo_fixtures.damage import Damage
from demo_fixtures.drafts import Draft, draft, object_id
from demo_fixtures.hands import geometry_of
from demo_fixtures.people import NAMES
from demo_fixtures.shapes import Island, Point
from demo_fixtures.site import CONSOLIDATED_ON, FACED_ON, TESTED_ON
from demo_fixtures.truth import all_damage

CONSENT = "Marrowby Station Trust, letter of 18 June 2026"
SAFETY = "Safety data sheets read; local law governs. Gloves, local extraction; swabs bagged as chemical waste."
DRY_SAFETY = (
    "Dust from soot: fitted respirator, no dry sweeping. Safety data sheets and local law govern."
)
FACED_DAMAGE = "hollow-shaken-1"
FACING_MARGIN_IN = 1.5


def _utc(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC)


def facing_ring(damages: Sequence[Damage]) -> tuple[Point, ...]:
    """Return the rectangle of tissue laid over a moving hollow after the vibration event."""
    shape = next(d for d in damages if d.key == FACED_DAMAGE).stages[-1].shape
    assert isinstance(shape, Island)
    x, y = shape.centre
    half = round(shape.reach_in + FACING_MARGIN_IN)
    x, y = round(x), round(y)
    return ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))


def facings_on(day: date) -> list[list[Point]]:
    """Return the rings of tissue that lie on the wall on a day."""
    return [list(facing_ring(all_damage()))] if day >= FACED_ON else []


def treatments(
    damages: Sequence[Damage], photographs: Mapping[str, str] | None = None
) -> list[Draft]:
    """Return the treatment records in order; `photographs` maps picture keys to digests."""
    digests = photographs or {}
    records = [
        *_tests(digests),
        *_cleaning(damages, digests),
        *_consolidation(damages),
        _facing(damages),
    ]
    return sorted(records, key=lambda record: str(record["made_at"]))


TESTS: tuple[tuple[str, dict[str, object]], ...] = (
    ("dry", {
        "method": "Dry rubbing with a soft sponge, straight strokes, no pressure", "tool": "sponge block, 1 in",
        "product_chemical": "vulcanised natural rubber", "product_trade": "Fallow soft block", "dwell_min": 0,
        "result": "About a third of the soot lifts; what is left is bound. No colour on the sponge.",
    }),
    ("gel", {
        "method": "Rigid gel laid over tissue, then one swab damped with the same water", "tool": "gel sheet 1/8 in, cotton swab",
        "product_chemical": "agar 3 % w/v in de-ionised water", "product_trade": "own preparation", "concentration": "3 % w/v",
        "solvent": "de-ionised water", "dwell_min": 4,
        "result": "Soot comes away evenly; faint grey in the deepest grain. No tide-line after 24 h, none under UV.",
    }),
    ("citrate", {
        "method": "Swab, rolled not rubbed, cleared twice with water", "tool": "cotton swab",
        "product_chemical": "tri-ammonium citrate 1 % w/v in de-ionised water", "product_trade": "own preparation",
        "concentration": "1 % w/v", "solvent": "de-ionised water", "dwell_min": 1,
        "result": "Cleaner than needed; traces of red earth on the second swab.",
        "adverse_effects": "Colour on the swab: stopped after one pass and not repeated.",
    }),
    ("water", {
        "method": "Swab, rolled not rubbed", "tool": "cotton swab", "product_chemical": "de-ionised water",
        "product_trade": "own supply", "dwell_min": 1,
        "result": "Uneven; a weak edge stays where the swab turned.",
        "adverse_effects": "Faint edge, gone after the gel passed over it.",
    }),
)  # fmt: skip


def _tests(digests: Mapping[str, str]) -> list[Draft]:
    found = []
    for number, (name, record) in enumerate(TESTS):
        x, y = 176.0 + 4.5 * number, 134.0
        ring = [(x, y), (x + 2.5, y), (x + 2.5, y + 2.5), (x, y + 2.5)]
        started = _utc(TESTED_ON, 9 + number, 15)
        body = {
            "term": "cleaning-test-window", "geometry": geometry_of(ring, "area"),
            "reason": "To choose how to take soot off the smoke zone; end-point agreed: grey of the clean edge behind the old lamp plate.",
            "decided_by": NAMES["ines"], "consent": CONSENT,
            "condition_before": "Even bound soot, paint firm under it, no flaking within 6 in.",
            "amount": "2 ml" if name != "dry" else "one block face", "temperature_c": 18.5, "humidity_rh_pct": 57,
            "residues": "none seen at 10x", "retreatment_note": "Can be repeated or taken further with the same gel.",
            "waste_and_safety": DRY_SAFETY if name == "dry" else SAFETY,
            "photographs": _photographs(digests, before=("detail-smoke-1",)),
            "reveals": False, **record,
        }  # fmt: skip
        found.append(
            _record(f"test-{name}", body, started=started, minutes=25, operators=("ines", "tomas"))
        )
    return found


def _cleaning(damages: Sequence[Damage], digests: Mapping[str, str]) -> list[Draft]:
    found = []
    soot = [d for d in damages if d.term == "soiling" and len(d.stages) > 1]
    for number, damage in enumerate(soot):
        shape = damage.stages[0].shape
        assert isinstance(shape, Island)
        started = _utc(date(2026, 6, 24 + number), 8, 30)
        body: dict[str, object] = {
            "term": "cleaned-area", "geometry": geometry_of(shape, "area"),
            "reason": "Soot hides the smoke's modelling and whatever lies under it; the building is closed and the lamps are up.",
            "decided_by": NAMES["ines"], "consent": CONSENT,
            "condition_before": "Marked to heavy bound soot; losses not to be told from soot.",
            "method": "Agar gel over tissue, one swab to clear; no second pass on red earth",
            "tool": "gel sheet 1/8 in, cotton swab", "product_chemical": "agar 3 % w/v in de-ionised water",
            "product_trade": "own preparation", "batch": f"A-26-{number + 7}", "concentration": "3 % w/v", "solvent": "de-ionised water",
            "amount": f"{1.4 + 0.2 * number:.1f} l of gel", "dwell_min": 4, "temperature_c": 19.0 + 0.5 * number, "humidity_rh_pct": 58 - number,
            "result": "To the agreed end-point; old losses and fills come to view.", "adverse_effects": "None seen.",
            "residues": "none seen at 10x or under UV", "retreatment_note": "Can be repeated.", "waste_and_safety": SAFETY, "reveals": True,
            "photographs": _photographs(digests, before=("detail-smoke-1",), after=("detail-smoke-2",)),
        }  # fmt: skip
        found.append(
            _record(
                f"clean-{number}", body, started=started, minutes=450, operators=("tomas", "priya")
            )
        )
    return found


def _consolidation(damages: Sequence[Damage]) -> list[Draft]:
    laid = [d for d in damages if d.term == "flaking" and d.stages[-1].shape is None]
    found = []
    for number, damage in enumerate(laid):
        shape = damage.stages[0].shape
        assert isinstance(shape, Island)
        around = Island(shape.centre, tuple(r + 0.5 for r in shape.radii_in))
        started = _utc(CONSOLIDATED_ON, 9 + number, 0)
        body: dict[str, object] = {
            "term": "consolidated-grouted-area", "geometry": geometry_of(around, "area"),
            "reason": "Lifted flakes would not stand the breaking out of the kerb.", "decided_by": NAMES["ines"], "consent": CONSENT,
            "condition_before": f"Flaking {damage.item}, edges lifted up to 1/50 in, loose in two places.",
            "method": "Fed behind the flake with a fine brush through tissue, laid with a sponge after 20 minutes",
            "tool": "brush no. 1, tissue 9 g/m², sponge", "product_chemical": "methyl hydroxyethyl cellulose 2 % w/v in de-ionised water",
            "product_trade": "own preparation", "batch": "C-26-3", "concentration": "2 % w/v", "solvent": "de-ionised water with 10 % ethanol",
            "amount": f"{3 + number} ml", "dwell_min": 20, "temperature_c": 19.5, "humidity_rh_pct": 57,
            "result": "Flakes lie flat and hold under a soft brush next day.", "adverse_effects": "None seen; no sheen in raking light.",
            "residues": "cellulose ether behind the flakes", "retreatment_note": "Swells with water; can be taken up or repeated.",
            "waste_and_safety": SAFETY, "reveals": False,
        }  # fmt: skip
        found.append(
            _record(f"laid-{damage.key}", body, started=started, minutes=50, operators=("priya",))
        )
    return found


def _facing(damages: Sequence[Damage]) -> Draft:
    body: dict[str, object] = {
        "term": "facing", "geometry": geometry_of(facing_ring(damages), "area"),
        "reason": "Hollow plaster moves since the vibration event of 21 July; to hold it until it can be grouted.",
        "decided_by": NAMES["ines"], "consent": "Marrowby Station Trust, by telephone 22 July 2026 08:50, confirmed in writing",
        "condition_before": "Moving detachment with an open edge; no paint loose.",
        "method": "Tissue laid with the least adhesive that holds, edges feathered, one corner left as a tab",
        "tool": "soft brush", "product_chemical": "methyl hydroxyethyl cellulose 3 % w/v in de-ionised water",
        "product_trade": "own preparation", "batch": "C-26-5", "concentration": "3 % w/v", "solvent": "de-ionised water", "amount": "40 ml",
        "dwell_min": 0, "temperature_c": 21.0, "humidity_rh_pct": 61, "result": "Holds; tap sound unchanged.",
        "adverse_effects": "None seen. Test removal of one corner after 24 h took no colour.",
        "residues": "facing stays until it is taken off; due off by 31 January 2027", "retreatment_note": "Comes off with water and a soft brush.",
        "waste_and_safety": SAFETY, "reveals": False,
    }  # fmt: skip
    started = _utc(FACED_ON, 10, 20)
    return _record("facing", body, started=started, minutes=55, operators=("ines", "tomas"))


def _record(
    key: str,
    body: dict[str, object],
    *,
    started: datetime,
    minutes: int,
    operators: tuple[str, ...],
) -> Draft:
    ended = started + timedelta(minutes=minutes)
    body = {
        **body,
        "operators": [NAMES[name] for name in operators],
        "started_at": started.isoformat().replace("+00:00", "Z"),
        "ended_at": ended.isoformat().replace("+00:00", "Z"),
    }
    return draft(
        "treatment", body, about=f"treatment:{key}", subject=object_id(f"treatment:{key}"),
        made_at=ended + timedelta(minutes=10), observer=operators[0], recorder=operators[-1],
    )  # fmt: skip


def _photographs(
    digests: Mapping[str, str], *, before: tuple[str, ...] = (), after: tuple[str, ...] = ()
) -> dict[str, list[str]]:
    groups = {"before": before, "after": after}
    found = {
        name: [digests[key] for key in keys if key in digests] for name, keys in groups.items()
    }
    return {name: kept for name, kept in found.items() if kept}
