"""How tablets come to a wall and leave it, and how what they send is taken in."""

import uuid
from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

from django.db import transaction

from gridmap.errors import Clash, InvalidInput, NotPermitted
from survey.clock import moment
from survey.ledger.devices import received_to, take_from_device
from survey.ledger.drafts import Draft, Receipt, Writer
from survey.people.models import Account
from survey.record.models import Survey, SurveyState
from survey.record.services import CLOSED_TO
from survey.tablet.models import Installation, Tablet

LONGEST_NAME = 60


def installation() -> Installation:
    """Return the row of this installation, made on first use."""
    row = Installation.objects.order_by("pk").first()
    return row or Installation.objects.create(since=moment())


def renew_epoch() -> uuid.UUID:
    """Give the installation a new epoch: every tablet will send again what it still holds."""
    row = installation()
    row.epoch = uuid.uuid4()
    row.since = moment()
    row.save()
    return row.epoch


def enrol(*, survey: Survey, name: str, account: Account) -> Tablet:
    """Enrol a tablet for a survey; raises InvalidInput for a bad name, NotPermitted if closed."""
    name = name.strip()
    if not name or len(name) > LONGEST_NAME:
        raise InvalidInput(
            f"The tablet's name must have 1 to {LONGEST_NAME} characters, such as Deck 1.",
            field="name",
        )
    if survey.state != SurveyState.OPEN:
        raise NotPermitted(
            f"Survey {survey.code} is {survey.get_state_display().lower()}; a tablet is prepared "
            "for an open survey."
        )
    return Tablet.objects.create(
        wall=survey.wall, survey=survey, name=name, enrolled_by=account, enrolled_at=moment()
    )


def retire(tablet: Tablet, *, account: Account, reason: str) -> None:
    """Retire a tablet that is lost, reinstalled or handed back; what it sends later waits."""
    reason = reason.strip()
    if not reason:
        raise InvalidInput("Say why: lost, reinstalled or handed back.", field="reason")
    if tablet.retired_at is not None:
        raise Clash(f"{tablet.name} is retired already.")
    tablet.retired_at = moment()
    tablet.retired_by = account
    tablet.retired_because = reason[:300]
    tablet.save(update_fields=["retired_at", "retired_by", "retired_because"])


@transaction.atomic
def take_push(
    tablet: Tablet,
    values: Sequence[Any],
    *,
    account: Account,
    unsent: int | None = None,
    photographs_unsent: int | None = None,
) -> list[Receipt]:
    """Take a batch of a tablet into its survey's logbook and note the contact.

    `unsent` counts what the tablet held before this batch, the batch included.
    """
    survey = tablet.survey
    writer = Writer(name=str(account), device=tablet.device, sets_aside=True)
    receipts = take_from_device(
        values, logbook=survey.logbook, writer=writer, refuse=_refusal(tablet, survey)
    )
    held = Tablet.objects.select_for_update().get(pk=tablet.pk)
    held.received_to = received_to(tablet.device, known=held.received_to)
    held.last_contact_at = moment()
    held.last_carried_by = str(account)
    if unsent is not None:
        held.unsent = max(0, unsent - len(values))
    if photographs_unsent is not None:
        held.photographs_unsent = photographs_unsent
    held.save()
    return receipts


def _refusal(tablet: Tablet, survey: Survey) -> Callable[[Draft], None]:
    """Return what keeps a tablet's draft out of the record until the lead has seen it.

    The states are read once, at its first call: that is behind the logbook's lock.
    """

    @cache
    def read_states() -> None:
        tablet.refresh_from_db(fields=["retired_at"])
        survey.refresh_from_db(fields=["state"])

    def refuse(draft: Draft) -> None:
        read_states()
        if tablet.retired_at is not None:
            raise NotPermitted(
                f"Tablet {tablet.name} was retired on {tablet.retired_at:%Y-%m-%d}; what it sends "
                "waits for the lead conservator."
            )
        if survey.state != SurveyState.OPEN and draft.kind in CLOSED_TO and not draft.parents:
            raise NotPermitted(
                f"Survey {survey.code} was {survey.get_state_display().lower()} before this came; "
                "it waits for the lead conservator as an amendment."
            )

    return refuse
