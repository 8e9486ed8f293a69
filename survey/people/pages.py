"""How a page of a wall opens: the one question of permission, and the head that shows the role."""

from django.http import HttpRequest

from gridmap.models import Wall
from survey.people.permissions import Action
from survey.people.selectors import open_wall


def open_page(request: HttpRequest, slug: str, action: Action) -> Wall:
    """Return the wall after asking `require`, and let the page's head know it.

    Raises NotFound for a stranger, NotPermitted for a role that does not reach so far.
    """
    wall = open_wall(request.user, slug, action)
    request.wall = wall  # type: ignore[attr-defined]  # read by survey.people.context
    return wall
