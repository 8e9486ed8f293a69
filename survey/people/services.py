"""How accounts and memberships come to be."""

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.people.models import Account, Membership, Role


@transaction.atomic
def create_account(*, username: str, password: str, display_name: str = "") -> Account:
    """Make an account; a taken name or a weak password is refused with the reason."""
    if Account.objects.filter(username=username).exists():
        raise InvalidInput(f"The account name {username!r} is taken.", field="username")
    account = Account(username=username, display_name=display_name)
    try:
        validate_password(password, account)
    except ValidationError as error:
        raise InvalidInput(" ".join(error.messages), field="password") from error
    account.set_password(password)
    account.save()
    return account


def give_role(*, account: Account, wall: Wall, role: Role) -> Membership:
    """Give the account its one role on the wall, replacing an earlier one."""
    membership, _ = Membership.objects.update_or_create(
        account=account, wall=wall, defaults={"role": role}
    )
    return membership
