"""What vibration is to be expected at the wall from the plant on the contractor's list, how far off
must each machine stay, and on which days does it meet people at the wall?

By FTA's and Caltrans' equations against each agreed limit, and the supervised trial: measured
values govern, and a trial lengthens a distance and never shortens it. No limit is preset.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Final
from uuid import UUID

from gridmap.lengths import IN_PER_FT
from gridmap.models import Wall
from survey.watch.clash_calendar import Clash, Reaches, WallDays, Works, clashes
from survey.watch.deck_statements import treated_days
from survey.watch.governing import SUM
from survey.watch.limit_kinds import ABOVE, VELOCITY
from survey.watch.models import Limit, LogLine
from survey.watch.protection import standing_lines
from survey.watch.quantities import from_canonical, to_canonical
from survey.watch.register_kinds import BLOW, PLANT
from survey.watch.stand_off import (
    CALTRANS_EXPONENT,
    FTA_EXPONENT,
    Blow,
    Trial,
    distance_for_limit_ft,
    expected_ppv_in_s,
    judge_trial,
)
from survey.watch.units import in_s_to_mm_s

LEVELS: Final = ("amber", "red")
EXPONENTS: Final = {"FTA": FTA_EXPONENT, "Caltrans": CALTRANS_EXPONENT}


@dataclass(frozen=True)
class StandOff:
    """The distance for one level of one limit [ft] by both equations, with the trials' verdicts."""

    limit: Limit
    level: str
    limit_in_s: float
    distances_ft: Mapping[str, float]
    trials: Mapping[str, Trial]

    @property
    def limit_mm_s(self) -> float:
        """The limit in mm/s."""
        return float(in_s_to_mm_s(self.limit_in_s))

    @property
    def allowed_ft(self) -> float:
        """The longest of what the equations and the trial ask for."""
        return max(*self.distances_ft.values(), *(t.allowed_ft for t in self.trials.values()))


@dataclass(frozen=True)
class Forecast:
    """One machine of the plant list with what is expected of it at the wall."""

    line: LogLine
    blows: Sequence[LogLine]
    expected_in_s: Mapping[str, float] = field(default_factory=dict)
    factors: Mapping[str, float] = field(default_factory=dict)
    stand_offs: Sequence[StandOff] = field(default_factory=tuple)
    reaches: Reaches = "unknown"

    @property
    def distance_ft(self) -> float:
        """How far off it is planned to work."""
        return float(self.line.content["distance_in"]) / IN_PER_FT

    @property
    def expected_mm_s(self) -> dict[str, float]:
        """What is expected at the wall, in mm/s."""
        return {name: float(in_s_to_mm_s(value)) for name, value in self.expected_in_s.items()}

    @property
    def same_masonry(self) -> bool:
        """Whether it works on the masonry that carries the painting: no equation holds there."""
        return bool(self.line.content.get("same_masonry"))

    @property
    def days(self) -> tuple[date, date]:
        """Its first and last day on site."""
        content = self.line.content
        return date.fromisoformat(content["from"]), date.fromisoformat(content["to"])

    @property
    def too_near(self) -> StandOff | None:
        """The red level whose distance the plan undercuts most, if it does."""
        short = [
            one
            for one in self.stand_offs
            if one.level == "red" and self.distance_ft < one.allowed_ft
        ]
        return max(short, key=lambda one: one.allowed_ft, default=None)


def forecasts(wall: Wall, *, today: date | None = None) -> list[Forecast]:
    """Return the plant list of a wall with its forecasts, by first day.

    With `today`, machines whose days are over come last.
    """
    blows: dict[UUID | None, list[LogLine]] = {}
    for line in standing_lines(wall, BLOW):
        blows.setdefault(line.about, []).append(line)
    limits = [row for row in Limit.objects.filter(wall=wall, quantity=VELOCITY) if _usable(row)]
    found = [
        forecast(line, blows.get(line.object_id, []), limits)
        for line in standing_lines(wall, PLANT)
    ]
    return sorted(
        found,
        key=lambda one: (
            today is not None and one.days[1] < today,
            one.days,
            one.line.content["name"],
        ),
    )


def forecast(line: LogLine, blows: Sequence[LogLine], limits: Sequence[Limit]) -> Forecast:
    """Return what is expected of one machine, held against the limits valid on its days."""
    if line.content.get("same_masonry"):
        return Forecast(line, blows)
    reference = float(line.content["reference_ppv_in_s"])
    bare = Forecast(line, blows)
    trial = [Blow(b.content["distance_in"] / IN_PER_FT, b.content["ppv_in_s"]) for b in blows]
    expected, factors = {}, {}
    for name, exponent in EXPONENTS.items():
        expected[name] = float(expected_ppv_in_s(reference, bare.distance_ft, exponent=exponent))
        if trial:
            factors[name] = max(
                blow.ppv_in_s
                / float(expected_ppv_in_s(reference, blow.distance_ft, exponent=exponent))
                for blow in trial
            )
    valid = [row for row in limits if _valid(row, *bare.days)]
    stand_offs = [
        _stand_off(row, level, value, reference=reference, trial=trial)
        for row in valid
        for level in LEVELS
        if (value := _in_s(row, level)) is not None
    ]
    return Forecast(
        line, blows, expected, factors, stand_offs, _reaches(expected, factors, stand_offs)
    )


def _stand_off(
    row: Limit, level: str, limit_in_s: float, *, reference: float, trial: Sequence[Blow]
) -> StandOff:
    distances, trials = {}, {}
    for name, exponent in EXPONENTS.items():
        distances[name] = distance_for_limit_ft(reference, limit_in_s, exponent=exponent)
        if trial:
            trials[name] = judge_trial(
                trial, ppv_at_25_ft_in_s=reference, limit_in_s=limit_in_s, exponent=exponent
            )
    return StandOff(row, level, limit_in_s, distances, trials)


def _reaches(
    expected: Mapping[str, float], factors: Mapping[str, float], stand_offs: Sequence[StandOff]
) -> Reaches:
    """Return the gravest level that is expected; a trial raises what is expected, never lowers."""
    if not stand_offs:
        return "unknown"
    most = max(value * max(1.0, factors.get(name, 1.0)) for name, value in expected.items())
    reached = {one.level for one in stand_offs if most >= one.limit_in_s}
    return "red" if "red" in reached else "amber" if "amber" in reached else "neither"


def _usable(row: Limit) -> bool:
    """Whether a limit is a plain peak of one axis: ratios to a table and sums are none."""
    content = row.content
    plain = not content.get("table") and content.get("axis") != SUM
    return plain and content.get("direction", ABOVE) == ABOVE


def _valid(row: Limit, first: date, last: date) -> bool:
    return row.valid_from <= last and (row.valid_to is None or row.valid_to >= first)


def _in_s(row: Limit, level: str) -> float | None:
    value = getattr(row, level)
    if value is None:
        return None
    return float(from_canonical(to_canonical(value, VELOCITY, row.unit), VELOCITY, "in/s"))


def works_of(found: Sequence[Forecast]) -> list[Works]:
    """Return the plant list as activities of the calendar."""
    return [
        Works(f"{one.line.content['activity']}: {one.line.content['name']}", *one.days, one.reaches)
        for one in found
    ]


def days_at_wall(wall: Wall) -> list[WallDays]:
    """Return the days on which people survey or treat the wall."""
    surveys = [
        WallDays(f"Survey {survey.code}", survey.starts_on, survey.ends_on)
        for survey in wall.surveys.all()
    ]
    return surveys + [WallDays("Treatment", *span) for span in treated_days(wall)]


@dataclass(frozen=True)
class Day:
    """One day of the calendar: what works, who is at the wall, and whether both meet."""

    day: date
    today: bool
    works: Sequence[Works]
    wall: Sequence[str]
    clash: bool


def calendar_weeks(
    works: Sequence[Works], wall: Sequence[WallDays], *, first: date, today: date, weeks: int = 6
) -> list[list[Day]]:
    """Return weeks from the Monday on or before `first`, seven days each."""
    monday = first - timedelta(days=first.weekday())
    return [
        [
            _day(works, wall, monday + timedelta(days=7 * week + step), today=today)
            for step in range(7)
        ]
        for week in range(weeks)
    ]


def _day(works: Sequence[Works], wall: Sequence[WallDays], day: date, *, today: date) -> Day:
    at_work = [one for one in works if one.first_on <= day <= one.last_on]
    names = list(dict.fromkeys(one.what for one in wall if one.first_on <= day <= one.last_on))
    loud = any(one.reaches != "neither" for one in at_work)
    return Day(day, day == today, at_work, names, bool(names) and loud)


def clashes_of(wall: Wall, found: Sequence[Forecast], *, after: date) -> list[Clash]:
    """Return the clashes that are not over on a day."""
    return [one for one in clashes(works_of(found), days_at_wall(wall)) if one.last_on >= after]
