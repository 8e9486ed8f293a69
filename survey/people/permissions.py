"""What each role may do on a wall.

Every view asks `require(account, wall, action)` before it does anything else.
"""

from enum import StrEnum

from django.contrib.auth.models import AnonymousUser

from gridmap.errors import NotFound, NotPermitted
from gridmap.models import Wall
from survey.people.models import Account, Membership, Role


class Action(StrEnum):
    """The things that a page or a route can do."""

    SEE_RECORD = "see the record"
    SEE_LIMITS = "see limits and notices"
    RECORD = "record what was seen"
    DECIDE = "decide and recommend"
    TREAT = "record a treatment"
    SET_UP = "change the wall's set-up"
    CLOSE_SURVEY = "close a survey"
    ISSUE_REPORT = "issue a report"
    MAKE_REPORT = "make a draft report"
    SETTLE = "settle what was set aside"


_OF_READER = frozenset({Action.SEE_RECORD, Action.SEE_LIMITS})
_OF_CONSERVATOR = _OF_READER | {
    Action.RECORD,
    Action.DECIDE,
    Action.TREAT,
    Action.MAKE_REPORT,
}
ALLOWED: dict[str, frozenset[Action]] = {
    Role.LEAD: frozenset(Action),
    Role.CONSERVATOR: _OF_CONSERVATOR,
    Role.SITE_MANAGER: _OF_READER,
    Role.READER: _OF_READER,
}


def role_on(account: Account | AnonymousUser, wall: Wall) -> str | None:
    """Return the role of the account on the wall, or None for a stranger."""
    if not account.is_authenticated:
        return None
    return (
        Membership.objects.filter(account_id=account.pk, wall=wall)
        .values_list("role", flat=True)
        .first()
    )


def may(account: Account | AnonymousUser, wall: Wall, action: Action) -> bool:
    """Say whether the account may do this on the wall."""
    role = role_on(account, wall)
    return role is not None and action in ALLOWED[role]


def require(account: Account | AnonymousUser, wall: Wall, action: Action) -> None:
    """Return in silence when allowed.

    Raises NotFound for a stranger to the wall, so that its existence is not given away, and
    NotPermitted for a member whose role does not reach so far.
    """
    role = role_on(account, wall)
    if role is None:
        raise NotFound("There is no such wall, or you have no part in it.")
    if action not in ALLOWED[role]:
        raise NotPermitted(
            f"A {Role(role).label.lower()} cannot {action.value} on {wall.name}. "
            "Ask the lead conservator."
        )
