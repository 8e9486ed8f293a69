"""Which protections are on the wall, and which of them waits: due off, or due for an inspection?

A facing past its day holds paint that nobody has seen since; damp stands behind sheeting left up.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from gridmap.models import Wall
from survey.watch.models import LogLine
from survey.watch.register_kinds import INSPECTED, PROTECTION, REMOVED, SOUND, TAKE_OFF


def standing_lines(wall: Wall, *kinds: str) -> list[LogLine]:
    """Return the lines of these kinds that nobody withdrew, oldest first."""
    rows = LogLine.objects.filter(wall=wall, kind__in=kinds, withdrawn_because="")
    return list(rows.select_related("head").order_by("at", "object_id"))


@dataclass(frozen=True)
class Protected:
    """One protection with its inspections and its removal, as it stands on a day."""

    line: LogLine
    today: date
    inspections: Sequence[LogLine] = field(default_factory=tuple)
    removed: LogLine | None = None

    @property
    def installed_on(self) -> date:
        """The day on which it went on."""
        return date.fromisoformat(self.line.content["installed_on"])

    @property
    def due_off_on(self) -> date | None:
        """The day on which it is to come off, if one was set."""
        text = self.line.content.get("due_off_on")
        return date.fromisoformat(text) if text else None

    @property
    def last_inspection(self) -> LogLine | None:
        """The newest inspection."""
        return self.inspections[-1] if self.inspections else None

    @property
    def next_inspection_on(self) -> date | None:
        """When it is to be looked at next, if an interval was set."""
        days = self.line.content.get("inspect_every_days")
        if not days:
            return None
        last = self.last_inspection
        return (last.at.date() if last else self.installed_on) + timedelta(days=days)

    @property
    def waits_because(self) -> tuple[str, ...]:
        """Why it needs a person today, the gravest first; empty when it does not."""
        if self.removed is not None:
            return ()
        last, reasons = self.last_inspection, []
        if last is not None and last.content["result"] == TAKE_OFF:
            reasons.append(f"to be taken off, by the inspection of {_said(last.at.date())}")
        elif last is not None and last.content["result"] != SOUND:
            reasons.append(f"to be mended, by the inspection of {_said(last.at.date())}")
        if self.due_off_on is not None and self.due_off_on < self.today:
            reasons.append(
                f"was due off on {_said(self.due_off_on)}, {self._late(self.due_off_on)}"
            )
        following = self.next_inspection_on
        if following is not None and following < self.today:
            reasons.append(f"inspection was due on {_said(following)}, {self._late(following)}")
        return tuple(reasons)

    def _late(self, day: date) -> str:
        days = (self.today - day).days
        return f"{days} day{'' if days == 1 else 's'} ago"


def protections(wall: Wall, today: date) -> list[Protected]:
    """Return every protection of the wall: those that wait, those that stand, those taken off."""
    inspected: dict[object, list[LogLine]] = {}
    for line in standing_lines(wall, INSPECTED):
        inspected.setdefault(line.about, []).append(line)
    removed = {line.about: line for line in standing_lines(wall, REMOVED)}
    found = [
        Protected(
            line,
            today,
            tuple(inspected.get(line.object_id, ())),
            removed.get(line.object_id),
        )
        for line in standing_lines(wall, PROTECTION)
    ]
    return sorted(found, key=lambda one: (one.removed is not None, not one.waits_because))


def _said(day: date) -> str:
    return f"{day.day} {day:%b %Y}"
