"""Which walls an account may open."""

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from gridmap.errors import NotFound, NotPermitted
from gridmap.models import Wall
from survey.people.models import Account
from survey.people.permissions import Action, require


def walls_of(account: Account | AnonymousUser) -> QuerySet[Wall]:
    """Return the walls on which the account has a role, by name."""
    if not isinstance(account, Account):
        return Wall.objects.none()
    return Wall.objects.filter(memberships__account=account).distinct()


def signed_in(account: Account | AnonymousUser) -> Account:
    """Return the account of a request that only a signed-in person can have made."""
    if not isinstance(account, Account):
        raise NotPermitted("Sign in first.")
    return account


def open_wall(account: Account | AnonymousUser, slug: str, action: Action) -> Wall:
    """Return the wall after asking `require`; a wall that is not there looks like a stranger's."""
    wall = Wall.objects.filter(slug=slug).first()
    if wall is None:
        raise NotFound("There is no such wall, or you have no part in it.")
    require(account, wall, action)
    return wall
