"""Which limits did the people of the invented wall agree on? Invented demo data.

They stand for what such people may agree, and for nothing that this program presets.
"""

from demo_fixtures.drafts import object_id
from demo_fixtures.instruments import Body
from demo_fixtures.people import NAMES

PROTOCOL = "Protocol of Marrowby Station Trust, contractor and conservator"
EDITION = "12 February 2026"
AGREED_BY = f"{NAMES['ines']}; {NAMES['gil']}"

SHAKING, DAMP, SWING = "shaking", "damp", "swing"


def watch_limits() -> dict[str, Body]:
    """Return the bodies of the agreed limits by key."""
    return {
        SHAKING: _limit(
            "particle-velocity", "in/s", "above", amber=0.05, red=0.08, valid_from="2026-02-16",
            place={"what": "wall", "name": ""},
            note="On any axis, at top and base. The logger's own siren sounds at red.",
        ),
        DAMP: _limit(
            "relative-humidity", "%", "above", amber=85.0, valid_from="2026-02-23",
            place={"what": "deck", "name": "2"},
            note="Amber alone: what red would be is agreed once salts are identified.",
        ),
        SWING: _limit(
            "relative-humidity", "%", "change-24h", amber=15.0,
            valid_from="2026-02-23", place={"what": "deck", "name": "2"},
            note="Largest less smallest humidity of 24 hours. What red would be is not agreed.",
        ),
    }  # fmt: skip


def limit_id(key: str) -> str:
    """Return the fixed id of an agreed limit."""
    return object_id(f"limit:{key}")


def _limit(quantity: str, unit: str, direction: str, **more: object) -> Body:
    return {
        "quantity": quantity, "unit": unit, "direction": direction, "source": PROTOCOL,
        "edition": EDITION, "label": "agreed-on-site", "agreed_by": AGREED_BY, **more,
    }  # fmt: skip
