"""How people come to a wall, change their role there, and leave it; a wall never loses its lead."""

from django.db import transaction

from gridmap.errors import Clash, InvalidInput, NotFound
from gridmap.models import Wall
from survey.people.models import Account, Membership, Role
from survey.people.services import create_account, give_role


def members_of(wall: Wall) -> list[Membership]:
    """Return who has a part in the wall, leads first, then by name."""
    order = list(Role.values)
    rows = wall.memberships.select_related("account")
    return sorted(rows, key=lambda row: (order.index(row.role), str(row.account).lower()))


@transaction.atomic
def add_member(*, wall: Wall, username: str, role: str) -> Membership:
    """Give an account that exists a role on the wall.

    Raises InvalidInput for a name without account, Clash where it has a role here already.
    """
    account = Account.objects.filter(username=username).first()
    if account is None:
        raise InvalidInput(
            f"There is no account {username!r}. Check the spelling, or make a new account below.",
            field="username",
        )
    if Membership.objects.filter(wall=wall, account=account).exists():
        raise Clash(
            f"{account} has a role on {wall.name} already. Change it in the list.",
            field="username",
        )
    return give_role(account=account, wall=wall, role=_role(role))


@transaction.atomic
def create_member(
    *, wall: Wall, username: str, display_name: str, password: str, role: str
) -> Membership:
    """Make an account with a role on the wall; raises InvalidInput naming the field."""
    account = create_account(username=username, password=password, display_name=display_name)
    return give_role(account=account, wall=wall, role=_role(role))


@transaction.atomic
def change_role(*, wall: Wall, account_id: int, role: str) -> Membership:
    """Give a member another role; raises Clash for the wall's last lead."""
    membership = _locked(wall, account_id)
    if role != Role.LEAD:
        _refuse_last_lead(membership)
    return give_role(account=membership.account, wall=wall, role=_role(role))


@transaction.atomic
def remove_member(*, wall: Wall, account_id: int) -> Account:
    """Take a member's role away; the account and everything it wrote stay.

    Raises Clash for the wall's last lead.
    """
    membership = _locked(wall, account_id)
    _refuse_last_lead(membership)
    account = membership.account
    membership.delete()
    return account


def _locked(wall: Wall, account_id: int) -> Membership:
    """Return a membership with all of the wall's locked: two leads may leave at once."""
    rows = list(wall.memberships.select_for_update().select_related("account"))
    found = next((row for row in rows if row.account_id == account_id), None)
    if found is None:
        raise NotFound(f"Nobody with that account has a role on {wall.name}.")
    return found


def _refuse_last_lead(membership: Membership) -> None:
    leads = Membership.objects.filter(wall=membership.wall, role=Role.LEAD)
    if membership.role == Role.LEAD and leads.count() == 1:
        raise Clash(
            f"{membership.account} is the last lead conservator of {membership.wall.name}. Give "
            "somebody else that role first.",
            field="role",
        )


def _role(value: str) -> Role:
    if value not in Role.values:
        raise InvalidInput(
            f"role is {value!r}; it must be one of: {', '.join(Role.values)}.", field="role"
        )
    return Role(value)
