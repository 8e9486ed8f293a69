"""Does a photograph arrive whole, wherever the server was stopped while it came?"""

import hashlib

import pytest
from django.db import OperationalError

from survey.ledger.models import Blob
from survey.tablet import photographs
from survey.tablet.photographs import WrongOffset, held_of, take_part
from survey.tablet.services import enrol
from tests.support.factories import make_account, make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

DATA = bytes(range(200))
DIGEST = hashlib.sha256(DATA).hexdigest()


@pytest.fixture
def tablet(settings, tmp_path):
    settings.DATA_FOLDER = tmp_path
    lead = make_account("ines", display_name="Ines Fallow")
    return enrol(survey=make_survey(make_wall(lead=lead), "W1"), name="Deck 1", account=lead)


def send(tablet, start, end):
    return take_part(
        tablet, DIGEST, offset=start, total=len(DATA), data=DATA[start:end], mime="image/jpeg"
    )


def test_a_whole_that_could_not_be_kept_is_kept_with_the_next_word_of_it(tablet, monkeypatch):
    def busy(*_, **__):
        raise OperationalError("database is locked")

    with monkeypatch.context() as patch:
        patch.setattr(photographs, "keep_blob", busy)
        with pytest.raises(OperationalError):
            send(tablet, 0, 200)
    stopped = held_of(tablet, DIGEST)

    again = send(tablet, 199, 200)

    assert (stopped.held, stopped.complete) == (200, False)
    assert (again.digest, again.held, again.complete) == (DIGEST, 200, True)
    assert Blob.objects.get(pk=DIGEST).size_bytes == 200


def test_a_part_that_leaves_bytes_out_is_refused_with_where_to_go_on(tablet):
    send(tablet, 0, 80)

    with pytest.raises(WrongOffset) as refusal:
        send(tablet, 100, 200)

    assert refusal.value.held == 80
    assert send(tablet, 80, 200).complete
