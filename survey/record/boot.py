"""What the survey page needs to start: wall, layout, survey, terms, pictures and addresses."""

from typing import Any

from django.conf import settings
from django.urls import reverse

from gridmap.models import Layout, Wall
from survey.people.models import Account, Role
from survey.people.permissions import Action, may, role_on
from survey.record.base_pictures import pictures_under
from survey.record.models import Survey, SurveyState
from survey.record.selectors import previous_survey
from survey.vocabulary.models import VocabularyVersion
from survey.vocabulary.selectors import vocabulary_of


def survey_boot(survey: Survey, account: Account) -> dict[str, Any]:
    """Return the page's data block for one survey."""
    wall = survey.wall
    previous = previous_survey(survey)
    role = role_on(account, wall)
    return {
        "wall": wall_boot(wall, survey.layout),
        "layout": layout_boot(survey.layout),
        "survey": {
            "id": str(survey.id),
            "code": survey.code,
            "kind": survey.kind,
            "state": survey.state,
            "modes": survey.modes,
            "search_list": survey.search_list,
            "layout": survey.layout.version,
            "vocabulary": survey.vocabulary.version,
            "starts_on": survey.starts_on.isoformat(),
            "ends_on": survey.ends_on.isoformat(),
        },
        "previous": {"code": previous.code, "id": str(previous.id)} if previous else None,
        "surveys": [_survey_line(row) for row in wall.surveys.all()],
        "terms": terms_boot(survey.vocabulary),
        "everyday_words": [w.to_json() for w in vocabulary_of(survey.vocabulary).everyday_words],
        "pictures": pictures_under(survey),
        "account": {
            "name": str(account),
            "role": Role(role).label if role else "",
            "can_record": may(account, wall, Action.RECORD) and survey.state == SurveyState.OPEN,
            "can_decide": may(account, wall, Action.DECIDE),
        },
        "clock": settings.FIXED_CLOCK.isoformat() if settings.FIXED_CLOCK else None,
        "urls": _addresses(survey, previous),
    }


def wall_boot(wall: Wall, layout: Layout) -> dict[str, Any]:
    """Return what identifies a wall and how large it is."""
    return {
        "slug": wall.slug,
        "name": wall.name,
        "width_in": layout.width_in,
        "height_in": layout.height_in,
        "base_above_floor_in": wall.base_above_floor_in,
    }


def layout_boot(layout: Layout) -> dict[str, Any]:
    """Return a layout as the browser draws it."""
    return {
        "version": layout.version,
        "grid": layout.grid.to_json(),
        "openings": layout.openings,
        "zones": layout.zones,
        "decks": layout.deck_bands,
        "obstructions": layout.obstructions,
    }


def terms_boot(vocabulary: VocabularyVersion) -> list[dict[str, Any]]:
    """Return the terms with their symbols drawn out."""
    return vocabulary_of(vocabulary).for_browser()


def _survey_line(survey: Survey) -> dict[str, Any]:
    return {
        "code": survey.code,
        "kind": survey.kind,
        "state": survey.state,
        "starts_on": survey.starts_on.isoformat(),
        "ends_on": survey.ends_on.isoformat(),
        "url": reverse("record:survey", args=[survey.wall.slug, survey.code]),
    }


def _addresses(survey: Survey, previous: Survey | None) -> dict[str, str | None]:
    arguments = [survey.wall.slug, survey.code]
    return {
        "entries": reverse("api:entries", args=arguments),
        "shapes": reverse("api:shapes", args=arguments),
        "examinations": reverse("api:examinations", args=arguments),
        "previous_shapes": (
            reverse("api:shapes", args=[survey.wall.slug, previous.code]) if previous else None
        ),
        "treatments": reverse("treatments:list", args=[survey.wall.slug]),
        "decide": reverse("treatments:decide", args=[*arguments, _ANY_ITEM]).replace(
            _ANY_ITEM, "ITEM"
        ),
    }


_ANY_ITEM = "00000000-0000-0000-0000-000000000000"
