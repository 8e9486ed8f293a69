"""May a historical picture say present, absent or cannot tell, and nothing of size?"""

from uuid import uuid4

import pytest

from gridmap.errors import Clash, InvalidInput, NotFound
from survey.clock import moment
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.models import Entry
from survey.ledger.services import rebuild
from survey.photos.models import PresenceStatement
from survey.photos.presences import correct_presence, state_presence
from survey.photos.taking_in import Statement, take_in
from survey.record.services import append_to_survey, close_survey
from tests.support.factories import make_observation, make_survey, make_wall
from tests.survey.photos.camera import frame

pytestmark = [pytest.mark.django_db, pytest.mark.database]
PRIYA = Writer(name="Priya Lund", device="desk")
POSTCARD = {
    "date_words": "summer 1951",
    "earliest": "1951-06-01",
    "latest": "1951-09-30",
    "date_certainty": "probable",
    "source": "postcard in the library's box 7",
    "source_certainty": "certain",
}


@pytest.fixture
def survey():
    return make_survey(make_wall())


@pytest.fixture
def postcard(survey):
    said = Statement(mode="normal", role="historic", historic=POSTCARD)
    return take_in(survey, frame(), "card.jpg", statement=said, writer=PRIYA).photograph


def look(postcard, **changes):
    said = {"cell": "A01", "what": "crack at the clock", "answer": "present", **changes}
    state_presence(postcard, writer=PRIYA, **said)
    return PresenceStatement.objects.get(what=said["what"])


@pytest.mark.parametrize("answer", ["present", "absent", "cannot-tell"])
def test_the_three_answers_are_put_on_record(postcard, answer):
    statement = look(postcard, answer=answer, cell="a1", note="left of the hand")

    assert (statement.cell, statement.answer) == ("A01", answer)
    assert statement.note == "left of the hand"
    assert statement.photograph_id == postcard.pk


def test_a_statement_may_be_about_an_outline_on_record(postcard, survey):
    loss = make_observation(survey, item="L7")

    assert look(postcard, item="l7").observation_id == loss.pk


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"cell": "Z99"}, "is no cell here"),
        ({"answer": "perhaps"}, "answer is 'perhaps'"),
        ({"what": " "}, "what is empty"),
        ({"item": "L99"}, "no outline of this wall has that label"),
    ],
)
def test_what_is_no_statement_is_refused_and_nothing_is_written(postcard, changes, words):
    before = Entry.objects.count()

    with pytest.raises(InvalidInput, match=words):
        look(postcard, **changes)

    assert Entry.objects.count() == before


@pytest.mark.parametrize("key", ["length_in", "area_sq_in", "bounds_in"])
def test_an_entry_that_states_a_size_is_refused(postcard, key):
    body = {"photograph": str(postcard.pk), "cell": "A01", "what": "crack", "answer": "present"}
    draft = Draft(
        kind="presence",
        body={**body, key: 3.5},
        object_id=new_id(),
        made_at=moment(),
        observed_by="Priya Lund",
    )

    with pytest.raises(InvalidInput, match=key):
        append_to_survey(postcard.survey, [draft], writer=PRIYA)


def test_a_photograph_of_the_works_takes_no_such_statement(survey):
    said = Statement(mode="normal", cells=("A01",))
    plain = take_in(survey, frame(), "C.jpg", statement=said, writer=PRIYA).photograph

    with pytest.raises(InvalidInput, match="is no historical picture"):
        look(plain)


def test_a_picture_of_another_survey_is_not_found(postcard):
    other = make_survey(make_wall(wall="signal-box", name="Signal box"))
    postcard.survey = other

    with pytest.raises(InvalidInput, match="has no such picture"):
        look(postcard)


def test_an_answer_is_changed_and_the_earlier_one_stays_readable(postcard):
    first = look(postcard)

    correct_presence(
        postcard, first.pk, seen=first.head_id, answer="cannot-tell", note="", writer=PRIYA
    )

    assert PresenceStatement.objects.get().answer == "cannot-tell"
    answers = [e.content["answer"] for e in Entry.objects.filter(object_id=first.pk)]
    assert sorted(answers) == ["cannot-tell", "present"]


def test_an_answer_to_an_old_page_is_refused(postcard):
    first = look(postcard)
    correct_presence(postcard, first.pk, seen=first.head_id, answer="absent", writer=PRIYA)

    with pytest.raises(Clash, match="since this page was opened"):
        correct_presence(postcard, first.pk, seen=first.head_id, answer="present", writer=PRIYA)

    assert PresenceStatement.objects.get().answer == "absent"


def test_a_statement_that_is_not_there_cannot_be_corrected(postcard):
    with pytest.raises(NotFound):
        correct_presence(postcard, uuid4(), seen=uuid4(), answer="absent", writer=PRIYA)


def test_a_closed_survey_still_hears_what_its_old_pictures_show(postcard, survey):
    close_survey(survey, by="Ines Fallow")

    assert look(postcard).answer == "present"


def test_the_rows_are_the_same_when_made_anew_from_the_entries(postcard, survey):
    first = look(postcard, item="")
    look(postcard, what="loss at the hand", answer="absent", note="bare plaster")
    correct_presence(postcard, first.pk, seen=first.head_id, answer="absent", writer=PRIYA)
    before = list(PresenceStatement.objects.order_by("pk").values())

    rebuild(survey.logbook)

    assert list(PresenceStatement.objects.order_by("pk").values()) == before
