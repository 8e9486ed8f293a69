"""Who writes at a desk, and of which object does a form speak that was sent from there?"""

import uuid

from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest

from gridmap.errors import InvalidInput
from survey.ledger.drafts import Writer, new_id, read_uuid
from survey.people.models import Account
from survey.people.selectors import signed_in

LONGEST_DEVICE = 80  # characters, as the column holds


def writer_at_desk(account: Account | AnonymousUser) -> Writer:
    """Return the person as a writer at the desk that all share; raises NotPermitted for nobody."""
    return Writer(name=str(signed_in(account)), device="desk")


def writer_at_own_desk(account: Account | AnonymousUser) -> Writer:
    """Return the person as a writer at a desk of their own; raises NotPermitted for nobody."""
    person = signed_in(account)
    return Writer(name=str(person), device=f"desk of {person.username}"[:LONGEST_DEVICE])


def object_of_form(request: HttpRequest) -> uuid.UUID:
    """Return the id that a form was given out with, which tells one sent twice; or a new one."""
    try:
        return read_uuid(request.POST.get("id"), field="id")
    except InvalidInput:
        return new_id()
