"""What does the page of a pair need to start: pictures, place, quality, hints, terms, addresses?"""

from typing import Any

from django.urls import reverse

from survey.people.models import Account
from survey.people.permissions import Action, may
from survey.photos.models import PicturePair
from survey.photos.pair_listing import light_words
from survey.photos.pair_pictures import MOSAIC
from survey.photos.pair_selectors import AnsweredHint, hints_of
from survey.record.boot import terms_boot
from survey.record.models import Observation, Survey, SurveyState

KEY = "KEY"  # stands in addresses for the key of a hint


def pair_boot(pair: PicturePair, account: Account) -> dict[str, Any]:
    """Return the page's data block for a pair that was compared or refused."""
    survey = pair.after_survey
    return {
        "cell": pair.cell,
        "mode": pair.mode,
        "bounds_in": pair.bounds_in,
        "px_per_in": pair.px_per_in,
        "grid": survey.layout.grid.to_json(),
        "state": pair.state,
        "reason": pair.reason,
        "quality": pair.quality,
        "before": _side(pair, pair.before, pair.before_survey, pair.before_blob_id),
        "after": _side(pair, pair.after, survey, pair.after_blob_id),
        "difference": _blob(pair.difference_blob_id),
        "hints": hints_boot(pair),
        "terms": terms_boot(survey.vocabulary),
        "survey": {
            "code": survey.code,
            "is_open": survey.state == SurveyState.OPEN,
            "search_list": survey.search_list.get(pair.mode, []),
            "url": reverse("record:survey", args=[pair.wall.slug, survey.code]),
        },
        "can_record": may(account, pair.wall, Action.RECORD) and survey.state == SurveyState.OPEN,
        "urls": {
            "acceptance": reverse("api:hint_acceptance", args=[pair.wall.slug, pair.pk, KEY]),
            "dismissal": reverse("api:hint_dismissal", args=[pair.wall.slug, pair.pk, KEY]),
        },
    }


def hints_boot(pair: PicturePair) -> list[dict[str, Any]]:
    """Return the hints, the strongest first, each with its answer."""
    found = hints_of(pair)
    ids = [row.answer.observation_id for row in found if row.answer and row.answer.observation_id]
    outlines = {row.pk: row for row in Observation.objects.filter(pk__in=ids)}
    return [
        {**row.hint, "number": row.number, "answer": _answer(pair, row, outlines)} for row in found
    ]


def _answer(
    pair: PicturePair, hint: AnsweredHint, outlines: dict[Any, Observation]
) -> dict[str, Any] | None:
    answer = hint.answer
    if answer is None:
        return None
    outline = outlines.get(answer.observation_id)
    return {
        "answer": answer.answer,
        "reason": answer.reason,
        "by": answer.head.observed_by,
        "conflict": answer.conflict,
        "outline": _outline(pair, outline) if outline else None,
    }


def _outline(pair: PicturePair, row: Observation) -> dict[str, Any]:
    slug, code = pair.wall.slug, pair.after_survey.code
    cell = row.cells[0] if row.cells else pair.cell
    return {
        "item": row.item,
        "term": row.term,
        "standing": row.standing,
        "url": f"{reverse('record:survey', args=[slug, code])}?outline={row.pk}#{cell}",
        "item_url": reverse("record:item", args=[slug, row.pk]),
    }


def _side(
    pair: PicturePair, picture: dict[str, Any], survey: Survey, blob: str | None
) -> dict[str, Any]:
    page = (
        reverse("photos:mosaics", args=[pair.wall.slug, survey.code])
        if picture["kind"] == MOSAIC
        else reverse("photos:photograph", args=[pair.wall.slug, picture["id"]])
    )
    return {
        "survey": survey.code,
        "name": picture["name"],
        "taken_on": picture["taken_on"],
        "taken_on_certain": picture["taken_on_certain"],
        "light": light_words(picture),
        "operator": picture["operator"],
        "error_in": picture["error_in"],
        "px_per_in": picture["px_per_in"],
        "page": page,
        "url": _blob(blob),
    }


def _blob(digest: str | None) -> str | None:
    return reverse("api:blob", args=[digest]) if digest else None
