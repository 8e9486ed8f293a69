"""Which picture lies under a survey's outlines, and is a new version never put in silence?"""

from datetime import date

import pytest

from gridmap.errors import InvalidInput
from survey.ledger.drafts import Draft
from survey.photos.base_pictures import base_pictures, shown_pct
from survey.photos.orthophotos import mosaic_from_picture
from survey.photos.services import add_photograph
from survey.record.base_pictures import pictures_under
from survey.record.boot import survey_boot
from survey.record.services import append_to_survey
from tests.support.factories import make_member, make_survey, make_wall
from tests.survey.photos.laid import PRIYA, take
from tests.survey.photos.test_mosaicking import lay
from tests.survey.photos.test_orthophotos import WHOLE, bring, painting, saved

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def survey():
    return make_survey(make_wall())


def later(survey):
    return make_survey(
        survey.wall, "P1", starts_on=date(2026, 6, 15), ends_on=date(2026, 6, 19), kind="round"
    )


def whole_photograph(survey, tmp_path, name="whole.png"):
    path = saved(tmp_path, name)
    receipt = add_photograph(
        survey=survey,
        data=path.read_bytes(),
        name=name,
        mode="normal",
        operator="Priya Lund",
        bounds_in=WHOLE,
        rectified=True,
    )
    return survey.photographs.get(head_id=receipt.id)


def test_a_mosaic_says_of_which_survey_version_day_and_error_it_is(survey, tmp_path):
    mosaic = bring(survey, saved(tmp_path), taken_on=date(2026, 3, 3))

    [picture] = pictures_under(survey)

    assert picture["id"] == str(mosaic.pk)
    assert (picture["survey"], picture["version"]) == ("B1", 1)
    assert (picture["taken_on"], picture["error_in"]) == ("2026-03-03", 0.25)
    assert picture["url"] == f"/api/v1/mosaics/{mosaic.pk}/" + "{z}/{x}/{y}.jpg"
    assert (picture["px_per_in"], picture["levels"], picture["tile_px"]) == (5.0, 3, 512)


def test_the_newest_version_comes_first_and_the_earlier_ones_can_be_chosen(survey, tmp_path):
    bring(survey, saved(tmp_path, "a.tif"))
    bring(survey, saved(tmp_path, "b.tif", pixels=painting()[:, ::-1]))

    assert [picture["version"] for picture in pictures_under(survey)] == [2, 1]


def test_a_new_version_that_shows_less_of_the_wall_does_not_come_first(survey, tmp_path):
    bring(survey, saved(tmp_path))
    take(survey, "C03")
    lay(survey)

    pictures = pictures_under(survey)

    assert [(p["version"], p["shown_pct"]) for p in pictures] == [(1, 100), (2, 1)]


def test_the_own_picture_of_a_survey_comes_before_that_of_the_survey_before(survey, tmp_path):
    after = later(survey)
    bring(survey, saved(tmp_path, "a.tif"))
    bring(after, saved(tmp_path, "b.tif"))

    assert [p["survey"] for p in pictures_under(after)] == ["P1", "B1"]
    assert [p["survey"] for p in pictures_under(survey)] == ["B1"]


def test_an_own_mosaic_of_a_few_cells_stands_behind_the_whole_wall_of_the_survey_before(
    survey, tmp_path
):
    after = later(survey)
    bring(survey, saved(tmp_path))
    take(after, "C03")
    lay(after)

    assert [p["survey"] for p in pictures_under(after)] == ["B1", "P1"]


def test_a_photograph_of_which_a_mosaic_was_made_is_not_named_twice(survey, tmp_path):
    photograph = whole_photograph(survey, tmp_path)
    before = [p["kind"] for p in pictures_under(survey)]

    mosaic_from_picture(survey, photograph, "Priya Lund")

    assert before == ["image"]
    assert [p["kind"] for p in pictures_under(survey)] == ["tiles"]


def test_a_mosaic_in_conflict_lies_under_nothing(survey, tmp_path):
    mosaic = bring(survey, saved(tmp_path))
    content = mosaic.head.content
    drafts = [
        Draft(
            kind="mosaic",
            body={**content, "error_in": error_in},
            object_id=mosaic.pk,
            made_at=mosaic.head.made_at,
            observed_by="Priya Lund",
            parents=(mosaic.head_id,),
        )
        for error_in in (0.1, 0.2)
    ]
    append_to_survey(survey, drafts, writer=PRIYA)

    assert pictures_under(survey) == []


def test_the_share_of_the_wall_counts_missing_cells(survey):
    for cell in ("C03", "C04"):
        take(survey, cell)

    # Two of 84 cells of the same size. By hand: 2.4 %.
    assert shown_pct(lay(survey), survey) == 2


def test_the_survey_page_is_given_the_pictures(survey, tmp_path):
    bring(survey, saved(tmp_path))

    boot = survey_boot(survey, make_member(survey.wall))

    assert [picture["kind"] for picture in boot["pictures"]] == ["tiles"]
    assert len(base_pictures(survey)) == 1


def test_a_historical_picture_lies_under_no_pen_and_becomes_no_mosaic(survey, tmp_path):
    card = whole_photograph(survey, tmp_path)
    survey.photographs.filter(pk=card.pk).update(role="historic")
    card.refresh_from_db()

    assert base_pictures(survey) == []
    assert pictures_under(later(survey)) == []
    with pytest.raises(InvalidInput, match="is a historical picture"):
        mosaic_from_picture(survey, card, "Priya Lund")


def test_a_placed_historical_picture_is_not_among_the_pictures_under_the_pen(survey):
    old = {
        "date_words": "about 1951",
        "date_certainty": "probable",
        "source": "a postcard",
        "source_certainty": "certain",
    }
    take(survey, "C03", role="historic", historic=old)

    assert pictures_under(survey) == []
