"""Which cells hold paint or plaster that a shake could loosen, by what stands on record?

An observation counts until a later one continues it: what was not found again is not known to be
sound. Terms of rule N in paint or plaster count when
their condition is above 1, or when their look has fallen due by urgency or by a decision's review.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Final
from uuid import UUID

from gridmap.models import Wall
from survey.record.models import Continuation, Decision, Observation, Standing
from survey.vocabulary.selectors import latest_vocabulary, vocabulary_of
from survey.walls.models import Phase

LAYERS: Final = ("paint", "plaster")
RULE: Final = "N"
CONDITION_ABOVE: Final = 1
# Urgency as this program words it: 1 before the phase ends, 2 within 7 days, 3 now.
BEFORE_PHASE_ENDS, WITHIN_A_WEEK, NOW = 1, 2, 3
WEEK: Final = timedelta(days=7)
RULE_WORDS: Final = (
    "cells with paint or plaster terms of rule N above condition 1, or whose look has fallen due"
)


def standing_observations_of(wall: Wall, at: datetime) -> list[Observation]:
    """Return the observations that stand at a moment: not withdrawn, not continued later."""
    day = at.astimezone(UTC).date()
    told = Observation.objects.filter(survey__wall=wall, observed_on__lte=day).exclude(
        standing=Standing.WITHDRAWN
    )
    continued = Continuation.objects.filter(observation__in=told.values("pk"))
    return list(
        told.exclude(pk__in=continued.values("prior_object_id"))
        .only("object_id", "term", "condition", "urgency", "cells", "observed_on", "item")
        .order_by("object_id")
    )


def fragile_cells(wall: Wall, at: datetime) -> dict[str, list[str]]:
    """Return each fragile cell with the reasons, in words."""
    names = _terms(wall)
    rows = [row for row in standing_observations_of(wall, at) if row.term in names]
    reviews = _reviews(rows)
    phase_ended = _last_phase_end(wall, at)
    day = at.astimezone(UTC).date()
    found: dict[str, list[str]] = {}
    for row in rows:
        reason = _reason(row, day, review=reviews.get(row.object_id), phase_ended=phase_ended)
        if reason:
            for cell in row.cells:
                found.setdefault(cell, []).append(f"{names[row.term]} {row.item}, {reason}")
    return found


def _terms(wall: Wall) -> Mapping[str, str]:
    vocabulary = vocabulary_of(latest_vocabulary(wall))
    return {
        term.code: term.name
        for term in vocabulary.terms
        if term.rule == RULE and term.layer in LAYERS
    }


def _reason(row: Observation, day: date, *, review: date | None, phase_ended: date | None) -> str:
    if row.condition is not None and row.condition > CONDITION_ABOVE:
        return f"condition {row.condition}"
    if row.urgency == NOW:
        return "urgency 3, now"
    if row.urgency == WITHIN_A_WEEK and day >= row.observed_on + WEEK:
        return "urgency 2, a week has passed"
    if row.urgency == BEFORE_PHASE_ENDS and phase_ended and row.observed_on <= phase_ended:
        return "urgency 1, the phase has ended"
    if review is not None and review <= day:
        return "review fallen due"
    return ""


def _reviews(rows: Sequence[Observation]) -> dict[UUID, date]:
    items = [row.object_id for row in rows]
    found = Decision.objects.filter(item__in=items, review_on__isnull=False).order_by("made_at")
    return {item: due for item, due in found.values_list("item", "review_on") if item and due}


def _last_phase_end(wall: Wall, at: datetime) -> date | None:
    day = at.astimezone(UTC).date()
    ended = Phase.objects.filter(wall=wall, ends_on__lt=day).order_by("-ends_on").first()
    return ended.ends_on if ended else None
