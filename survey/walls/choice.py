"""Which wall a command means."""

from gridmap.errors import InvalidInput, NotFound
from gridmap.models import Wall


def the_wall(slug: str | None) -> Wall:
    """Return the wall of that short name, or the only one there is.

    Raises NotFound where there is none, InvalidInput where the choice is open.
    """
    slugs = list(Wall.objects.order_by("slug").values_list("slug", flat=True))
    if not slugs:
        raise NotFound("There is no wall yet. Describe one: python3 manage.py import_wall FILE")
    if slug is None and len(slugs) > 1:
        raise InvalidInput(f"There are {len(slugs)} walls; choose: --wall {'|'.join(slugs)}")
    wall = Wall.objects.filter(slug=slug or slugs[0]).first()
    if wall is None:
        raise NotFound(f"There is no wall {slug!r}. Walls: {', '.join(slugs)}.")
    return wall
