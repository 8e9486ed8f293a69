"""What is in the logbooks of the invented wall: every survey's entries, in the order made?

Plain dicts in the form of entry drafts, the same for the same seed and survey ids.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from demo_fixtures.damage import Damage
from demo_fixtures.drafts import Draft, draft, entry_id, object_id
from demo_fixtures.examinations import examinations
from demo_fixtures.hands import geometry_of
from demo_fixtures.observations import Record, observations, replanned
from demo_fixtures.opinions import decisions, opinions
from demo_fixtures.plans import ROUNDS, SEARCH_LIST, Round
from demo_fixtures.site import FACED_ON
from demo_fixtures.treatments import facing_ring
from demo_fixtures.truth import SEED, all_damage

FLOOR_RECORD = "F0"
FLOOR_CLOSED_AT = datetime(2026, 2, 9, 15, 30, tzinfo=UTC)
FLOOR_NOTE = "Photographs from the floor only; no cell was examined."
ROUND_NOTE = (
    "All cells of the plan examined or their cause named; read aloud and agreed on the deck."
)
FLOOR_RECORD_ON = date(2026, 2, 9)
CODES = (FLOOR_RECORD, *(plan.code for plan in ROUNDS))


def plans(damages: Sequence[Damage]) -> tuple[Round, ...]:
    """Return the plans with what covered the wall by the time of each survey."""
    tissue = (("facing of 22 July 2026, not to be lifted", facing_ring(damages)),)
    return tuple(replanned(p, tissue) if p.starts_on > FACED_ON else p for p in ROUNDS)


def survey_entries(survey_ids: Mapping[str, UUID], *, seed: int = SEED) -> dict[str, list[Draft]]:
    """Return the drafts of every survey's logbook by its code; `survey_ids` gives codes their ids.

    The record from the floor has photographs only: its one entry closes it.
    """
    damages = all_damage(seed)
    record = Record()
    books = {FLOOR_RECORD: [_closing(FLOOR_RECORD, survey_ids, FLOOR_CLOSED_AT, FLOOR_NOTE)]}
    for plan in plans(damages):
        drafts = examinations(plan, survey_ids[plan.code], damages)
        drafts += observations(plan, survey_ids[plan.code], damages, record, seed=seed)
        if plan.code == "B1":
            drafts += _second_thoughts(drafts)
        if plan.code in ("P1", "P2"):
            drafts += decisions(plan.code, record) + opinions(plan.code, record)
        drafts.sort(key=lambda one: (str(one["made_at"]), str(one["id"])))
        if plan.closed_at is not None:
            drafts.append(_closing(plan.code, survey_ids, plan.closed_at, ROUND_NOTE))
        books[plan.code] = drafts
    return books


def _closing(code: str, survey_ids: Mapping[str, UUID], closed_at: datetime, note: str) -> Draft:
    return draft(
        "survey-closed", {"note": note}, about=f"closed:{code}", subject=str(survey_ids[code]),
        made_at=closed_at, observer="ines",
    )  # fmt: skip


def _second_thoughts(drafts: Sequence[Draft]) -> list[Draft]:
    """Return a correction and a withdrawal made before the baseline was closed."""
    crack = next(d for d in drafts if d["id"] and _is_crack(d))
    body = dict(crack["body"])  # type: ignore[call-overload]
    body["note"] = "Width read again at 10x on 12 March: up to 0.1 mm; first put down as just seen."
    corrected_at = datetime(2026, 3, 12, 9, 20, tzinfo=UTC)
    correction = {
        **crack,
        "id": entry_id(corrected_at, "corrected:hairline"),
        "body": body,
        "parents": [crack["id"]],
        "made_at": corrected_at.isoformat().replace("+00:00", "Z"),
    }
    return [correction, *_withdrawn()]


def _is_crack(one: Draft) -> bool:
    body = one["body"]
    return isinstance(body, dict) and body.get("term") == "hairline-crack"


def _withdrawn() -> list[Draft]:
    seen_at = datetime(2026, 3, 9, 11, 2, tzinfo=UTC)
    about = object_id("B1:cobweb")
    ring = [(618.0, 140.0), (621.5, 140.5), (622.0, 143.0), (618.5, 143.5)]
    body: dict[str, object] = {
        "term": "whitish-bloom-kind-not-told", "geometry": geometry_of(ring, "area"), "basis": "drawn", "mode": "normal",
        "item": "K1", "layout": 1, "vocabulary": 1, "observed_on": "2026-03-09", "condition": 1, "confidence": "possible",
    }  # fmt: skip
    first = draft(
        "observation",
        body,
        about="B1:cobweb",
        subject=about,
        made_at=seen_at,
        observer="tomas",
        recorder="priya",
    )
    reason = {"reason": "A cobweb: gone with a soft brush, nothing under it."}
    gone = draft(
        "withdrawal", dict(reason), about="B1:cobweb-gone", subject=about,
        made_at=seen_at + timedelta(days=1), observer="tomas", recorder="priya", parents=(str(first["id"]),),
    )  # fmt: skip
    return [first, gone]


__all__ = ["CODES", "FLOOR_RECORD", "FLOOR_RECORD_ON", "SEARCH_LIST", "plans", "survey_entries"]
