"""On which days do works that shake the wall fall on days when it is surveyed or treated?

Whole local days, both ends in. A clash is a day on which an activity that is expected to reach
amber or red is planned together with hands or a look at the wall; without an expectation it counts
as one, because nothing is known of it. No Django, no I/O, no clock.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from gridmap.errors import InvalidInput

Reaches = Literal["red", "amber", "neither", "unknown"]
GRAVITY: dict[Reaches, int] = {"red": 0, "unknown": 1, "amber": 2, "neither": 3}
LONGEST_DAYS = 3660  # ten years; a longer one is a slip of the pen


@dataclass(frozen=True)
class Works:
    """An activity of the contractor with its days, and what is expected of it at the wall."""

    activity: str
    first_on: date
    last_on: date
    reaches: Reaches

    def __post_init__(self) -> None:
        _require_days(self.activity, self.first_on, self.last_on)


@dataclass(frozen=True)
class WallDays:
    """Days on which somebody is at the wall: a survey, a treatment, a photograph session."""

    what: str
    first_on: date
    last_on: date

    def __post_init__(self) -> None:
        _require_days(self.what, self.first_on, self.last_on)


@dataclass(frozen=True)
class Clash:
    """The days on which one activity and one use of the wall meet."""

    works: Works
    wall: WallDays
    first_on: date
    last_on: date

    @property
    def days(self) -> int:
        """How many days they share."""
        return (self.last_on - self.first_on).days + 1


def clashes(works: Iterable[Works], wall: Sequence[WallDays]) -> tuple[Clash, ...]:
    """Return all clashes, by their first day and then the gravest first."""
    found = []
    for activity in works:
        if activity.reaches == "neither":
            continue
        for days in wall:
            first = max(activity.first_on, days.first_on)
            last = min(activity.last_on, days.last_on)
            if first <= last:
                found.append(Clash(activity, days, first, last))
    return tuple(
        sorted(
            found,
            key=lambda one: (
                one.first_on,
                GRAVITY[one.works.reaches],
                one.works.activity,
                one.wall.what,
            ),
        )
    )


def quiet_days(works: Iterable[Works], *, first_on: date, last_on: date) -> tuple[date, ...]:
    """Return the days of a stretch on which no activity is expected to reach amber, or unknown."""
    _require_days("the stretch", first_on, last_on)
    loud = [one for one in works if one.reaches != "neither"]
    days = (first_on + timedelta(step) for step in range((last_on - first_on).days + 1))
    return tuple(day for day in days if not any(one.first_on <= day <= one.last_on for one in loud))


def _require_days(what: str, first_on: date, last_on: date) -> None:
    if last_on < first_on:
        raise InvalidInput(
            f"{what}: its last day {last_on} lies before its first {first_on}.", field="last_on"
        )
    if (last_on - first_on).days > LONGEST_DAYS:
        raise InvalidInput(f"{what}: more than ten years long; check the dates.", field="last_on")
