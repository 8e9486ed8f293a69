"""How treatments and decisions come on record: through the door of the logbooks alone."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction

from gridmap.errors import Clash
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.desk import writer_at_desk
from survey.ledger.drafts import Draft, new_id
from survey.ledger.models import Logbook
from survey.ledger.selectors import head_ids
from survey.ledger.services import append, open_logbook
from survey.people.models import Account
from survey.record.models import Decision, Survey
from survey.record.services import append_to_survey
from survey.treatments.models import Treatment


@transaction.atomic
def record_treatment(
    *, wall: Wall, body: Mapping[str, Any], account: Account, object_id: UUID | None = None
) -> Treatment:
    """Write a treatment into the wall's standing logbook.

    With an object id that is there already nothing is written again: a form sent twice makes one
    treatment. Raises InvalidInput naming the field.
    """
    logbook = open_logbook(wall)
    object_id = object_id or new_id()
    known = Treatment.objects.filter(logbook=logbook, object_id=object_id).first()
    if known is not None:
        return known
    _write(logbook, "treatment", body, object_id, account=account)
    return Treatment.objects.get(object_id=object_id)


@transaction.atomic
def correct_treatment(
    treatment: Treatment, *, body: Mapping[str, Any], account: Account, seen_head: UUID
) -> Treatment:
    """Write a corrected record that replaces the one that the person saw.

    Raises Clash where another stands there by now, InvalidInput naming the field.
    """
    heads = _heads(treatment, seen_head)
    _write(
        treatment.logbook, "treatment", body, treatment.object_id, account=account, parents=heads
    )
    return Treatment.objects.get(object_id=treatment.object_id)


@transaction.atomic
def withdraw_treatment(
    treatment: Treatment, *, reason: str, account: Account, seen_head: UUID
) -> Treatment:
    """Take a treatment's record back, with the reason; both stay in the logbook."""
    heads = _heads(treatment, seen_head)
    _write(
        treatment.logbook,
        "treatment-withdrawn",
        {"reason": reason},
        treatment.object_id,
        account=account,
        parents=heads,
    )
    return Treatment.objects.get(object_id=treatment.object_id)


@transaction.atomic
def decide(
    *,
    wall: Wall,
    body: Mapping[str, Any],
    account: Account,
    survey: Survey | None = None,
    object_id: UUID | None = None,
) -> Decision:
    """Write a decision into a survey's logbook, or the wall's standing one without a survey.

    A later decision about the same item is a new statement and supersedes it. With an object id
    that is there already nothing is written again. Raises InvalidInput naming the field.
    """
    object_id = object_id or new_id()
    known = Decision.objects.filter(logbook__wall=wall, object_id=object_id).first()
    if known is not None:
        return known
    draft = Draft(
        kind="decision",
        body=body,
        object_id=object_id,
        made_at=moment(),
        observed_by=str(account),
    )
    writer = writer_at_desk(account)
    if survey is not None:
        append_to_survey(survey, [draft], writer=writer)
    else:
        append([draft], logbook=open_logbook(wall), writer=writer)
    return Decision.objects.get(object_id=object_id)


def _heads(treatment: Treatment, seen_head: UUID) -> tuple[UUID, ...]:
    """Return the entries that a new one replaces: all heads, so that it also ends a conflict."""
    heads = head_ids(treatment.logbook, treatment.object_id)
    if seen_head not in heads:
        raise Clash(
            "Somebody changed this treatment's record while it stood on your page. Look at it "
            "again, then make your change.",
            field="seen_head",
        )
    return heads


def _write(
    logbook: Logbook,
    kind: str,
    body: Mapping[str, Any],
    object_id: UUID,
    *,
    account: Account,
    parents: tuple[UUID, ...] = (),
) -> None:
    draft = Draft(
        kind=kind,
        body=body,
        object_id=object_id,
        made_at=moment(),
        observed_by=str(account),
        parents=parents,
    )
    append([draft], logbook=logbook, writer=writer_at_desk(account))
