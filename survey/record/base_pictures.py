"""Which pictures of the wall can lie under a survey's outlines? The room that knows them registers.

The first picture of a mode is the one that is shown; the others of it are choices. Each says of
which survey, day and error it is, so that an older picture is never taken for today's.
"""

from collections.abc import Callable
from typing import Any

from survey.record.models import Survey

Provider = Callable[[Survey], list[dict[str, Any]]]
_providers: list[Provider] = []


def register(provider: Provider) -> None:
    """Make known who answers; called once from a room's AppConfig.ready."""
    _providers[:] = [provider]


def pictures_under(survey: Survey) -> list[dict[str, Any]]:
    """Return the pictures, as the survey page and the tablet's pack take them."""
    return [picture for provider in _providers for picture in provider(survey)]
