"""On which survey, and signed in as whom, do the tests of the tablets' pages stand?"""

import pytest

from survey.people.models import Role
from tests.support.factories import make_account, make_member, make_survey, make_wall


@pytest.fixture
def survey():
    return make_survey(make_wall(lead=make_account("ines", display_name="Ines Fallow")), "W1")


@pytest.fixture
def conservator(client, survey):
    account = make_member(survey.wall, Role.CONSERVATOR, display_name="Priya Lund")
    client.force_login(account)
    return account
