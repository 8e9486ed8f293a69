"""What was said of one item, survey by survey, with every correction and withdrawal."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import QuerySet

from survey.ledger.models import Entry
from survey.record.models import CauseOpinion, Continuation, Decision, Observation


@dataclass(frozen=True)
class ItemHistory:
    """The chain of observations of one item, its entries, decisions and opinions."""

    chain: list[Observation]
    entries: list[Entry]
    decisions: list[Decision]
    opinions: list[CauseOpinion]


def chain_of(observation: Observation) -> list[Observation]:
    """Return the observations that this one continues and that continue it, oldest first."""
    seen: dict[UUID, Observation] = {observation.pk: observation}
    waiting = [observation]
    while waiting:
        current = waiting.pop()
        for neighbour in [*_earlier(current), *_later(current)]:
            if neighbour.pk not in seen:
                seen[neighbour.pk] = neighbour
                waiting.append(neighbour)
    return sorted(seen.values(), key=lambda row: (row.survey.starts_on, row.survey.code, row.item))


def _earlier(observation: Observation) -> QuerySet[Observation]:
    ids = observation.continuations.values_list("prior_object_id", flat=True)
    return _on_the_same_wall(observation, list(ids))


def _later(observation: Observation) -> QuerySet[Observation]:
    ids = Continuation.objects.filter(prior_object_id=observation.pk).values_list(
        "observation_id", flat=True
    )
    return _on_the_same_wall(observation, list(ids))


def _on_the_same_wall(observation: Observation, ids: list[UUID]) -> QuerySet[Observation]:
    """Keep to the wall: an entry may name any id, and a reader of one wall is none of another."""
    rows = Observation.objects.filter(pk__in=ids, survey__wall_id=observation.survey.wall_id)
    return rows.select_related("survey")


def item_history(observation: Observation) -> ItemHistory:
    """Return everything on record about an item, in order of time."""
    chain = chain_of(observation)
    ids = [row.pk for row in chain]
    return ItemHistory(
        chain=chain,
        entries=list(
            Entry.objects.filter(object_id__in=ids)
            .select_related("logbook")
            .order_by("made_at", "seq")
        ),
        decisions=list(Decision.objects.filter(item__in=ids)),
        opinions=list(CauseOpinion.objects.filter(item__in=ids)),
    )
