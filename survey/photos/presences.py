"""How does a person say what a historical picture shows of a place, and correct it later?"""

from uuid import UUID

from django.db import transaction

from gridmap.errors import Clash, InvalidInput, NotFound
from survey.clock import moment
from survey.ledger.drafts import Draft, Receipt, Writer, new_id
from survey.ledger.selectors import head_ids
from survey.photos.models import Photograph, PresenceStatement
from survey.photos.presence_kind import KIND
from survey.record.models import Observation, Standing
from survey.record.services import append_to_survey


def state_presence(
    photograph: Photograph,
    *,
    cell: str,
    what: str,
    answer: str,
    writer: Writer,
    item: str = "",
    note: str = "",
) -> Receipt:
    """Write what the picture shows of a place; `item` is the label of an outline it is about."""
    body = _body(photograph, cell=cell, what=what, answer=answer, item=item, note=note)
    return _write(photograph, body, writer=writer, object_id=new_id(), parents=())


def correct_presence(
    photograph: Photograph,
    statement: UUID,
    *,
    seen: UUID,
    answer: str,
    writer: Writer,
    note: str = "",
) -> Receipt:
    """Answer anew; the earlier answer stays readable.

    Raises Clash where somebody else has answered since the page with `seen` was opened.
    """
    kept = PresenceStatement.objects.filter(pk=statement, photograph_id=photograph.pk).first()
    if kept is None:
        raise NotFound(f"{photograph.name} has no such statement.")
    if kept.head_id != seen:
        raise Clash("Somebody has answered since this page was opened. Read it again.")
    body = {**kept.head.content, "answer": answer, "note": note.strip()}
    body = {key: value for key, value in body.items() if value != ""}
    # Where two answers contradict each other, the new one ends both.
    parents = head_ids(photograph.survey.logbook, statement)
    return _write(photograph, body, writer=writer, object_id=statement, parents=parents)


def _write(
    photograph: Photograph,
    body: dict[str, str],
    *,
    writer: Writer,
    object_id: UUID,
    parents: tuple[UUID, ...],
) -> Receipt:
    draft = Draft(
        kind=KIND,
        body=body,
        object_id=object_id,
        made_at=moment(),
        observed_by=writer.name,
        parents=parents,
    )
    with transaction.atomic():
        return append_to_survey(photograph.survey, [draft], writer=writer)[0]


def _body(photograph: Photograph, *, item: str, **said: str) -> dict[str, str]:
    grid = photograph.survey.layout.grid
    cell = grid.label(*grid.position(said["cell"]))
    body = {"photograph": str(photograph.pk), **said, "cell": cell}
    if item.strip():
        body["observation"] = str(_outline(photograph, item.strip()).pk)
    return {key: value.strip() for key, value in body.items() if value.strip()}


def _outline(photograph: Photograph, item: str) -> Observation:
    """Return the latest outline of the wall with that label."""
    rows = Observation.objects.filter(survey__wall_id=photograph.survey.wall_id, item__iexact=item)
    found = rows.exclude(standing=Standing.WITHDRAWN).order_by("-survey__starts_on").first()
    if found is None:
        raise InvalidInput(
            f"item is {item!r}; no outline of this wall has that label. Leave it empty where the "
            "thing is not on record.",
            field="item",
        )
    return found
