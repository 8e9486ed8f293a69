"""Does a report print the details that a person accepted, and name every other pair?"""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from survey.jobs.services import run_job
from survey.ledger.drafts import Draft
from survey.photos.hints import accept_hint, dismiss_hint
from survey.photos.models import HintAnswer
from survey.photos.pair_selectors import hints_of
from survey.record.services import append_to_survey
from survey.report.collect import Issue, report_content
from survey.report.collect_pairs import detail_pairs, pair_images, pairs_asked
from survey.report.collect_seen import images
from survey.report.content import to_plain
from tests.survey.photos.paired import CELL, LOSSES, PRIYA, ask, frame, take, two_surveys

pytestmark = [pytest.mark.django_db, pytest.mark.database]
MOMENT = datetime(2026, 6, 20, 9, tzinfo=UTC)


@pytest.fixture
def pair():
    before, after = two_surveys()
    window = before.layout.grid.bounds(CELL)
    take(before, frame(window, seed=1), "before.jpg", lamp="two flash heads")
    take(after, frame(window, seed=2, losses=LOSSES), "after.jpg", lamp="two flash heads")
    return compared(ask(before, after))


def compared(found):
    run_job.call(found.job_id)
    found.refresh_from_db()
    return found


def accept(pair, number=0):
    return accept_hint(pair, pair.hints[number]["key"], term="paint-loss", writer=PRIYA)


def details(pair):
    return detail_pairs(pair.after_survey, pair.before_survey)


def asked(pair):
    return pairs_asked(pair.after_survey, pair.before_survey)


def test_a_pair_of_which_no_hint_was_accepted_is_named_and_not_printed(pair):
    assert details(pair) == ()
    (row,) = asked(pair)
    assert (row.cell, row.mode) == (CELL, "Normal light")
    assert row.before.startswith("B1: before.jpg, ")
    assert row.outcome.startswith("compared; laid on each other to ± 0.0")
    assert row.answers == f"{sum(not hint['below_error'] for hint in pair.hints)} not answered"


def test_an_accepted_hint_is_printed_before_and_after(pair):
    accept(pair)

    (detail,) = details(pair)

    assert (detail.before.survey, detail.after.survey) == ("B1", "P1")
    assert detail.laid_error_in == pair.quality["error_in"]
    assert detail.place_error_in == pair.before["error_in"]
    assert detail.before.light == "Normal light, two flash heads"
    assert detail.after.digest == pair.after["digest"]
    assert [item.words.split(",")[0] for item in detail.items] == ["paint loss"]


def test_the_pictures_printed_are_the_pairs_own(pair):
    accept(pair)

    (detail,) = details(pair)

    assert Path(detail.before.source).read_bytes()[:2] == b"\xff\xd8"
    assert Path(detail.before.source).name == pair.before_blob_id
    assert Path(detail.after.source).name == pair.after_blob_id
    assert detail.whole_in == tuple(pair.bounds_in)


def test_the_detail_holds_what_was_accepted_with_the_wall_around_it(pair):
    accept(pair)

    (detail,) = details(pair)

    x0, y0, x1, y1 = detail.bounds_in
    hint = pair.hints[0]
    assert x1 - x0 == y1 - y0 >= 8
    for x, y in hint["ring"]:
        assert x0 + 1 <= x <= x1 - 1 and y0 + 1 <= y <= y1 - 1
    assert pair.bounds_in[0] <= x0 and x1 <= pair.bounds_in[2]
    (item,) = detail.items
    assert x0 < item.at_in[0] < x1 and y0 < item.at_in[1] < y1


def test_what_lies_far_apart_is_printed_as_two_details(pair):
    by_place = sorted(range(len(pair.hints)), key=lambda n: pair.hints[n]["ring"][0][0])
    accept(pair, by_place[0])
    accept(pair, by_place[-1])

    first, second = details(pair)

    assert first.bounds_in != second.bounds_in
    assert len(first.items) == len(second.items) == 1


def test_an_outline_that_was_withdrawn_is_not_printed(pair):
    accept(pair)
    answer = HintAnswer.objects.get()
    entry = pair.after_survey.logbook.entries.get(object_id=answer.observation_id)
    withdrawal = Draft(
        kind="withdrawal",
        body={"reason": "a smear on the lens"},
        object_id=answer.observation_id,
        made_at=MOMENT,
        observed_by="Priya Lund",
        parents=(entry.pk,),
    )
    append_to_survey(pair.after_survey, [withdrawal], writer=PRIYA)

    assert details(pair) == ()


def test_how_hints_were_answered_is_counted(pair):
    accept(pair, 0)
    dismiss_hint(pair, pair.hints[1]["key"], reason="a shadow", writer=PRIYA)

    (row,) = asked(pair)

    assert row.answers.startswith("1 accepted, 1 dismissed")
    left = sum(row.answer is None and not row.below_error for row in hints_of(pair))
    assert (f"{left} not answered" in row.answers) == bool(left)


def test_a_refused_pair_is_named_with_its_reason():
    before, after = two_surveys()
    window = before.layout.grid.bounds(CELL)
    take(before, frame(window, seed=1), "before.jpg", lamp_side="left", mode="raking")
    take(after, frame(window, seed=2), "after.jpg", lamp_side="right", mode="raking")
    found = compared(ask(before, after, mode="raking"))

    (row,) = asked(found)

    assert row.outcome == f"not comparable, not printed: {found.reason}"
    assert "lamp" in found.reason and row.answers == ""
    assert details(found) == ()


def test_the_earlier_picture_stands_in_the_list_of_images_with_digest_and_operator(pair):
    own = images(pair.after_survey)

    (row,) = pair_images(pair.after_survey, pair.before_survey, own)

    assert (row.survey, row.name, row.digest) == ("B1", "before.jpg", pair.before["digest"])
    assert row.operator == pair.before["operator"]
    assert (row.mode, row.place) == ("Normal light, two flash heads", CELL)
    assert pair.after["digest"] in {image.digest for image in own}


def test_a_report_that_stands_alone_has_no_pairs(pair):
    accept(pair)

    content = report_content(pair.after_survey, against=None, issue=Issue(), produced_at=MOMENT)

    assert content.pairs == content.pairs_asked == ()


def test_a_report_against_the_earlier_survey_has_them_and_keeps_digests(pair):
    accept(pair)

    content = report_content(
        pair.after_survey, against=pair.before_survey, issue=Issue(kind="phase"), produced_at=MOMENT
    )

    kept = to_plain(content)
    assert kept["pairs"][0]["before"]["digest"] == pair.before["digest"]
    assert {row["digest"] for row in kept["images"]} >= {
        pair.before["digest"],
        pair.after["digest"],
    }
