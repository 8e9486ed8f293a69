"""How a query is decided: an entry in the later survey's logbook, under the query's key."""

from uuid import uuid5

from gridmap.errors import InvalidInput
from survey.clock import moment
from survey.compare.model import Query
from survey.ledger.drafts import Draft, Receipt, Writer
from survey.record.models import Decision, Survey
from survey.record.services import append_to_survey


def decide_query(
    *, survey: Survey, query: Query, choice: str, reason: str, decided_by: str, recorded_by: str
) -> Receipt:
    """Put a decision about a query on record; an earlier one of the same query is replaced."""
    if not reason.strip():
        raise InvalidInput(
            "Say in a sentence why; a decision without reason is none.", field="reason"
        )
    object_id = uuid5(survey.id, f"query:{query.key}")
    head = Decision.objects.filter(pk=object_id).values_list("head_id", flat=True).first()
    draft = Draft(
        kind="decision",
        body={
            "subject": "query",
            "query_key": query.key,
            "rule": query.rule,
            "choice": choice,
            "reason": reason.strip(),
            "decided_by": decided_by.strip() or recorded_by,
        },
        object_id=object_id,
        made_at=moment(),
        observed_by=decided_by.strip() or recorded_by,
        recorded_by=recorded_by,
        parents=(head,) if head else (),
    )
    return append_to_survey(survey, [draft], writer=Writer(name=recorded_by, device="desk"))[0]
