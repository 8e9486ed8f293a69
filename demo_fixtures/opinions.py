"""What was decided about the invented wall's items, and whose opinion is it of what caused them?

Decisions not to treat are the commonest. A cause is an opinion and names its holder.
"""

from datetime import UTC, datetime, timedelta

from demo_fixtures.drafts import Draft, draft, object_id
from demo_fixtures.observations import Record
from demo_fixtures.people import NAMES
from demo_fixtures.phases import CONTRACTOR, INSURER, LEAK_EVENT, OWNER, VIBRATION_EVENT

_AFTER_P1 = datetime(2026, 6, 19, 14, 0, tzinfo=UTC)
_AFTER_P2 = datetime(2026, 10, 23, 13, 30, tzinfo=UTC)

# Survey, damage, choice, reason, options refused (option, reason), recommendation, review.
DECISIONS: tuple[tuple[str, str, str, str, tuple[tuple[str, str], ...], int, str], ...] = (
    ("P1", "flaking-01", "treat", "Lies below the lantern kerb; would not stand the breaking out.",
     (("leave as it is", "flakes lift under a breath"), ("facing", "the paint is too weak to be wetted twice")), 3, ""),
    ("P1", "flaking-08", "treat", "Lifted edges at working height of deck 1.", (("watch", "sleeves pass here daily"),), 3, ""),
    ("P1", "flaking-20", "treat", "Two flakes hang by one edge.", (("leave as it is", "loss is likely within weeks"),), 3, ""),
    ("P1", "flaking-31", "treat", "Same state as the patches beside it; one campaign, one recipe.", (), 2, ""),
    ("P1", "told-c17", "watch", "Grew by about nine tenths of a square inch; edge stable, no debris below.",
     (("consolidate", "the edge is firm under a brush"), ("fill", "nothing is gained while the works go on")), 2, "2026-10-19"),
    ("P1", "hollow-04", "leave", "Old hollow, same sound as in March; grouting would put water into sound plaster.",
     (("grout", "more risk than gain without movement"),), 1, "2026-10-19"),
    ("P1", "crack-2", "leave", "No step, no dust, painted over in 1936.", (("fill", "would hide a gauge"),), 0, "2027-03-01"),
    ("P1", "repaint-1", "leave", "Repaint covers loss and is firm; taking it off is no part of these works.",
     (("take off", "no consent, no need"),), 0, ""),
    ("P1", "powdering-03", "watch", "Colour comes on a swab; kept from all touch until the works end.",
     (("consolidate", "darkening in the test of 2025"),), 2, "2026-10-19"),
    ("P2", "hollow-shaken-0", "investigate", "Moves since July; engineer and conservator to tap and look with an endoscope.",
     (("grout at once", "extent and depth are not known"),), 3, "2026-11-27"),
    ("P2", "shaken-plaster", "watch", "Edge is firm, fragment kept in bag 14; fill after the works.",
     (("fill now", "more dust is to come"),), 2, "2026-12-14"),
    ("P2", "leak-salt-0", "watch", "Wall still dries; crystals brushed off now would be followed by others.",
     (("brush off", "drives salts in with the next damp"), ("poultice", "wall not yet dry")), 2, "2026-11-30"),
    ("P2", "leak-powdering-0", "watch", "No touch until the salts are spent.", (("consolidate", "would close the surface over salts"),), 2, "2026-11-30"),
    ("P2", "under-soot-00", "leave", "Old, dirty at the edge, stable.", (("retouch", "not while phase 3 runs"),), 0, ""),
    ("P2", "soot-3", "leave", "Above the chimney the paint powders under the soot.", (("clean", "colour on the swab in the test"),), 1, "2027-03-01"),
)  # fmt: skip

# Survey, damage, cause, whose opinion, rank, standing.
OPINIONS: tuple[tuple[str, str, str, str, int, str], ...] = (
    ("P2", "shaken-loss-0", f"{VIBRATION_EVENT.title}: lies below the kerb, edge fresh, debris on deck 2", "ines", 1, "agreed"),
    ("P2", "shaken-loss-0", "Ageing of paint drawn as flaking nearby in March", "gil", 2, "disputed"),
    ("P2", "shaken-loss-2", "Breaking out of the lantern kerb, 13 to 31 July", "ines", 1, "disputed"),
    ("P2", "shaken-loss-2", f"{CONTRACTOR}: a knock by others; no tool of theirs reached this cell", "gil", 1, "disputed"),
    ("P2", "shaken-plaster", f"{VIBRATION_EVENT.title}; hollow known from the baseline beside it", "ines", 1, "agreed"),
    ("P2", "leak-run", f"{LEAK_EVENT.title}: night of 14 to 15 September", "ines", 1, "agreed"),
    ("P2", "leak-salt-0", "Salts carried by the water of 15 September as the wall dries", "priya", 1, "agreed"),
    ("P2", "leak-salt-0", f"{INSURER}: reserves its view until the salt test is in", "Marrowby Mutual Fire Office", 2, "reserved"),
    ("P2", "phase2-loss-1", "Not told: no event known in this cell", "tomas", 1, "reserved"),
    ("P1", "phase1-loss-3", "Sheet flapping at the open canopy end, 5 to 7 May", "ines", 1, "agreed"),
    ("P1", "phase1-impact", "Scaffold tube in passing", "ines", 1, "agreed"),
)  # fmt: skip


def decisions(code: str, record: Record) -> list[Draft]:
    """Return a survey's decisions on items that it put down."""
    put, found = record.by_survey[code], []
    start = _AFTER_P1 if code == "P1" else _AFTER_P2
    for number, (survey, key, choice, reason, refused, recommendation, review) in enumerate(
        DECISIONS
    ):
        if survey != code or key not in put:
            continue
        body: dict[str, object] = {
            "subject": "item",
            "item": put[key].object_id,
            "choice": choice,
            "refused": [{"option": option, "reason": why} for option, why in refused],
            "reason": reason,
            "decided_by": NAMES["ines"],
            "consented_by": OWNER if choice == "treat" else "",
            "review_on": review,
            "recommendation": recommendation,
        }
        about = f"decision:{code}:{key}"
        found.append(
            draft(
                "decision",
                body,
                about=about,
                subject=object_id(about),
                made_at=start + timedelta(minutes=4 * number),
                observer="ines",
            )
        )
    return found


def opinions(code: str, record: Record) -> list[Draft]:
    """Return the opinions of cause on items first found or grown in a survey."""
    put, found = record.by_survey[code], []
    start = (_AFTER_P1 if code == "P1" else _AFTER_P2) + timedelta(minutes=70)
    for number, (survey, key, cause, holder, rank, standing) in enumerate(OPINIONS):
        if survey != code or key not in put:
            continue
        body: dict[str, object] = {
            "item": put[key].object_id,
            "cause": cause,
            "opinion_of": NAMES.get(holder, holder),
            "rank": rank,
            "standing": standing,
        }
        about = f"opinion:{code}:{key}:{holder}"
        found.append(
            draft(
                "loss-window-opinion",
                body,
                about=about,
                subject=object_id(about),
                made_at=start + timedelta(minutes=3 * number),
                observer=holder,
                recorder="ines",
            )
        )
    return found
