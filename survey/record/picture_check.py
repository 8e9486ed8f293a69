"""Is a file a picture that can be kept? The room that knows pictures registers who answers that.

Rooms that keep pictures beside their own records (treatments) ask here, so that every picture of
the wall passes the same check.
"""

from collections.abc import Callable
from pathlib import Path

from gridmap.errors import InvalidInput

# Takes the file and its name, returns its media type; raises InvalidInput with the reason.
PictureCheck = Callable[[Path, str], str]
_checks: list[PictureCheck] = []


def register(check: PictureCheck) -> None:
    """Make the check known; called once from a room's AppConfig.ready."""
    _checks[:] = [check]


def checked_mime(path: Path, name: str) -> str:
    """Return a picture's media type after it was decoded whole; raises InvalidInput."""
    if not _checks:
        raise InvalidInput(f"{name} cannot be checked here, so it is not kept.", field="data")
    return _checks[0](path, name)
