"""Does a wall get its terms once, and does a new version leave the old one as it was?"""

from dataclasses import replace

import pytest
from django.db import DatabaseError, transaction

from gridmap.errors import Clash, InvalidInput, NotFound
from gridmap.models import Wall
from survey.vocabulary.builtin import built_in_vocabulary
from survey.vocabulary.models import VocabularyVersion
from survey.vocabulary.selectors import latest_vocabulary, vocabulary_of, vocabulary_version
from survey.vocabulary.services import give_built_in_vocabulary, publish_vocabulary

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def wall():
    return Wall.objects.create(slug="hall", name="Booking hall")


@pytest.fixture
def first(wall):
    return give_built_in_vocabulary(wall)


def with_urgency(terms, code, hint):
    return [replace(t, urgency_hint=hint) if t.code == code else t for t in terms]


def test_a_new_wall_gets_the_built_in_terms_as_version_1(wall, first):
    assert (first.version, len(first.terms)) == (1, 62)
    assert vocabulary_of(latest_vocabulary(wall)) == built_in_vocabulary()


def test_the_built_in_terms_are_given_once(wall, first):
    with pytest.raises(Clash, match="already has a vocabulary"):
        give_built_in_vocabulary(wall)

    assert VocabularyVersion.objects.filter(wall=wall).count() == 1


def test_a_wall_without_terms_says_so(wall):
    with pytest.raises(NotFound, match="no vocabulary yet"):
        latest_vocabulary(wall)


def test_a_changed_term_makes_a_new_version_and_leaves_the_old_one(wall, first):
    terms = with_urgency(vocabulary_of(first).terms, "dust", "3")

    second = publish_vocabulary(wall=wall, terms=terms, made_by="Ines Fallow", note="Dust near")

    assert second.version == 2
    assert second.digest != first.digest
    assert vocabulary_of(second).term("dust").urgency_hint == "3"
    assert vocabulary_of(vocabulary_version(wall, 1)).term("dust").urgency_hint == "1–2"
    assert vocabulary_of(second).everyday_words == vocabulary_of(first).everyday_words


def test_a_term_once_there_is_never_taken_out(wall, first):
    terms = [term for term in vocabulary_of(first).terms if term.code != "dust"]

    with pytest.raises(InvalidInput, match="Missing: dust"):
        publish_vocabulary(wall=wall, terms=terms, made_by="Ines Fallow", note="No dust")

    assert latest_vocabulary(wall).version == 1


def test_a_new_version_needs_a_note(wall, first):
    with pytest.raises(InvalidInput, match="what changed and why"):
        publish_vocabulary(
            wall=wall, terms=vocabulary_of(first).terms, made_by="Ines Fallow", note=" "
        )


def test_a_version_that_is_not_there_is_said(wall, first):
    with pytest.raises(NotFound, match="no version 7"):
        vocabulary_version(wall, 7)


def test_the_same_terms_have_the_same_digest_on_two_walls(first):
    other = give_built_in_vocabulary(Wall.objects.create(slug="other", name="Other wall"))

    assert other.digest == first.digest


def test_a_version_cannot_be_edited_in_place(first):
    with pytest.raises(DatabaseError), transaction.atomic():
        VocabularyVersion.objects.filter(pk=first.pk).update(note="changed")

    first.refresh_from_db()
    assert first.note == "Built-in terms"
