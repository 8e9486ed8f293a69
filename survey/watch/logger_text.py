"""What does a logger's file say, channel by channel, and which of its lines say nothing sure?

Columns belong to channels as a person matched them; a unit in a column's head is turned into the
channel's. What cannot be understood is refused with its line and reason, never repaired. No
Django, no I/O.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from gridmap.errors import InvalidInput
from survey.watch.column_heads import suggested, unit_fits, unit_of
from survey.watch.field_numbers import numbers_of
from survey.watch.field_table import FieldTable, field_table
from survey.watch.field_times import Unclear, stamp_columns, stamps_of
from survey.watch.local_time import InUtc, from_offset, from_zone
from survey.watch.quantities import from_canonical, quantity_of, to_canonical
from survey.watch.spans import Floats

MOST_REFUSED_SHARE: Final = 0.05  # of a column's numbers; beyond it the column is a wrong one
LONGEST_TEXT: Final = 80
Moments = NDArray[np.int64]


@dataclass(frozen=True)
class How:
    """How a file is to be read: column heads to channels, the answers to what it leaves open."""

    columns: Mapping[str, str] = field(default_factory=dict)
    day_first: bool | None = None
    decimal: str | None = None
    zone: str | None = None
    offset_min: int | None = None

    def to_json(self) -> dict[str, Any]:
        """Return it for an entry's body; what was not said is left out."""
        said = {
            "day_first": self.day_first,
            "decimal": self.decimal,
            "zone": self.zone,
            "offset_min": self.offset_min,
        }
        known = {key: value for key, value in said.items() if value is not None}
        return {"columns": dict(self.columns), **known}

    @staticmethod
    def from_json(said: Mapping[str, Any]) -> "How":
        """Return what an entry's body says."""
        return How(**said)


@dataclass(frozen=True)
class Refused:
    """One thing in a file that was not taken: its line, column, text and why."""

    line: int
    column: str
    text: str
    reason: str


@dataclass(frozen=True)
class Column:
    """A column that was read, the channel that it fills and the unit that it stands in."""

    head: str
    channel: str
    unit: str
    unit_said: bool  # in its head


@dataclass(frozen=True)
class LoggerReadings:
    """What a file said: per channel times [µs UTC], rising, and values in the channel's unit."""

    channels: Mapping[str, tuple[Moments, Floats]]
    columns: tuple[Column, ...]
    unused: tuple[str, ...]
    refused: tuple[Refused, ...]
    notes: tuple[str, ...]
    table: FieldTable

    @property
    def accepted(self) -> int:
        """How many numbers were taken."""
        return sum(int((~np.isnan(values)).sum()) for _, values in self.channels.values())


def read_logger(
    data: bytes, *, channels: Sequence[Mapping[str, Any]], clock: Mapping[str, Any], how: How
) -> LoggerReadings:
    """Return what a file says of an instrument's channels.

    Raises Unclear where it can be read in two ways, InvalidInput where it cannot be read.
    """
    table = field_table(data)
    columns = stamp_columns(table)
    chosen = _chosen(table, columns, channels, how)
    stamps = stamps_of(table, columns, day_first=how.day_first)
    refused = [Refused(line, "", _short(text), _odd(table)) for line, text in table.odd]
    refused += [
        Refused(
            int(table.lines[row]), table.heads[columns[0]], _stamp_text(table, columns, row),
            "This names no day and time that the calendar has.",
        )
        for row in stamps.wrong
    ]  # fmt: skip
    in_utc, backwards = _in_utc(stamps.seconds, stamps.in_utc, clock, how)
    refused += [
        Refused(
            int(table.lines[row]), table.heads[columns[0]], _stamp_text(table, columns, row),
            "The clock went forward over this hour: it never was. If the logger's clock is never "
            "changed, give the instrument a fixed offset.",
        )
        for row in np.flatnonzero(in_utc.never).tolist()
    ]  # fmt: skip
    order = _in_order(in_utc.seconds)
    moments = np.round(in_utc.seconds[order] * 1e6).astype(np.int64)
    notes = [*in_utc.notes]
    if backwards:
        notes.append("The file runs from the newest line to the oldest; it was turned round.")
    read: dict[str, tuple[Moments, Floats]] = {}
    taken_once = 0
    decimal = _decimal(table, [place for place, _, _ in chosen], how.decimal)
    for place, head, channel in chosen:
        values, wrong = _values(table, place, head, channel, decimal)
        refused += wrong
        times, kept, twice, clashes = _once(moments, values[order], table.lines[order], head)
        read[channel["name"]] = (times, kept)
        refused += clashes
        taken_once = max(taken_once, twice)
    if taken_once:
        notes.append(
            "1 line stands more than once in the file and counts once."
            if taken_once == 1
            else f"{taken_once:,} lines stand more than once in the file and count once."
        )
    used = {place for place, _, _ in chosen} | set(columns)
    return LoggerReadings(
        channels=read,
        columns=tuple(
            Column(head, channel["name"], unit_of(head) or channel["unit"], bool(unit_of(head)))
            for _, head, channel in chosen
        ),
        unused=tuple(head for place, head in enumerate(table.heads) if place not in used),
        refused=tuple(sorted(refused, key=lambda one: one.line)),
        notes=tuple(notes),
        table=table,
    )


def _chosen(
    table: FieldTable,
    stamp: tuple[int, ...],
    channels: Sequence[Mapping[str, Any]],
    how: How,
) -> list[tuple[int, str, Mapping[str, Any]]]:
    """Return place, head and channel of each column that is read; raises Unclear, InvalidInput."""
    by_name = {channel["name"]: channel for channel in channels}
    others = [head for place, head in enumerate(table.heads) if place not in stamp]
    columns = how.columns or suggested(others, channels)
    if not how.columns and len(columns) < len(channels):
        raise Unclear(
            f"It is not sure which column fills which channel. Columns: {', '.join(others)}. "
            f"Channels: {', '.join(by_name)}. Match them; nothing was imported.",
            field="columns",
            choices=tuple((head, head) for head in others),
        )
    found = []
    for head, name in columns.items():
        if head not in others:
            raise InvalidInput(
                f"The file has no column “{head}”; it has: {', '.join(others)}. Is it the file of "
                "another logger? Nothing was imported.",
                field="columns",
            )
        if name not in by_name:
            raise InvalidInput(
                f"The instrument has no channel {name!r}; it has: {', '.join(by_name)}.",
                field="columns",
            )
        if not unit_fits(head, by_name[name]):
            quantity = quantity_of(by_name[name]["quantity"])
            raise InvalidInput(
                f"Column “{head}” is in {unit_of(head)}, but channel {name} reads "
                f"{quantity.words}, in {' or '.join(quantity.units)}. Are two columns swapped? "
                "Nothing was imported.",
                field="columns",
            )
        found.append((table.heads.index(head), head, by_name[name]))
    if len(set(columns.values())) < len(columns):
        raise InvalidInput("Two columns fill one channel; match each once.", field="columns")
    return found


def _in_utc(
    seconds: Floats, carried: bool, clock: Mapping[str, Any], how: How
) -> tuple[InUtc, bool]:
    """Return rows in UTC, and whether the file ran backwards."""
    steps = np.diff(seconds[~np.isnan(seconds)])
    backwards = bool(steps.size and (steps < 0).sum() > (steps > 0).sum())
    turned = seconds[::-1] if backwards else seconds
    zone = how.zone or (None if how.offset_min is not None else clock.get("zone"))
    if carried:
        found = from_offset(turned, 0)
    elif zone is not None:
        found = from_zone(turned, ZoneInfo(zone))
    else:
        offset = how.offset_min if how.offset_min is not None else clock["offset_min"]
        found = from_offset(turned, int(offset))
    if backwards:
        found = InUtc(found.seconds[::-1], found.never[::-1], found.notes)
    return found, backwards


def _in_order(seconds: Floats) -> NDArray[np.intp]:
    """Return the rows that name a moment, in order of time; as they stand where they rise."""
    there = np.flatnonzero(~np.isnan(seconds))
    if (np.diff(seconds[there]) > 0).all():
        return there
    return there[np.argsort(seconds[there], kind="stable")]


def _decimal(table: FieldTable, places: Iterable[int], said: str | None) -> str:
    """Return the decimal sign; raises Unclear where a comma may part thousands."""
    if said is not None:
        return said
    sample = range(0, table.rows, max(table.rows // 500, 1))
    texts = [table.text(row, place) for place in places for row in sample]
    commas = [text for text in texts if "," in text]
    if not commas:
        return "."
    if any("." in text for text in texts) or all(len(t.split(",")[-1]) == 3 for t in commas):
        raise Unclear(
            f"A reading such as {commas[0]} has a comma that may be the decimal sign or part "
            "thousands. Which sign comes before the decimals? Nothing was imported.",
            field="decimal",
            choices=((",", "A comma"), (".", "A point")),
        )
    return ","


def _values(
    table: FieldTable, place: int, head: str, channel: Mapping[str, Any], decimal: str
) -> tuple[Floats, list[Refused]]:
    """Return a column in the channel's unit, and what of it was refused."""
    column = numbers_of(table, place, decimal=decimal)
    values, unit = column.values, unit_of(head) or channel["unit"]
    quantity = quantity_of(channel["quantity"])
    least, most = quantity.range_in(unit)
    with np.errstate(invalid="ignore"):
        beyond = np.flatnonzero((values < least) | (values > most))
    _refuse_wrong_column(values, beyond, head, f"{least:g} to {most:g} {unit}", quantity.words)
    refused = [
        Refused(
            int(table.lines[row]), head, _short(table.text(row, place)),
            "This is no number; the other readings of the line are kept.",
        )
        for row in column.wrong.tolist()
    ]  # fmt: skip
    for row in beyond.tolist():
        side = f"above {most:g}" if values[row] > most else f"below {least:g}"
        text = table.text(row, place)
        reason = f"{text} {unit} {quantity.words} is {side} {unit}."
        refused.append(Refused(int(table.lines[row]), head, _short(text), reason))
    values = values.copy()
    values[beyond] = np.nan
    if unit != channel["unit"]:
        account = to_canonical(values, quantity.name, unit)
        values = from_canonical(account, quantity.name, channel["unit"])
    return values, refused


def _refuse_wrong_column(
    values: Floats, beyond: NDArray[np.intp], head: str, limits: str, words: str
) -> None:
    count = int((~np.isnan(values)).sum())
    if count and beyond.size > max(MOST_REFUSED_SHARE * count, 1):
        first = float(values[beyond[0]])
        raise InvalidInput(
            f"Column “{head}”: {beyond.size:,} of {count:,} readings, the first {first:g}, lie "
            f"outside {limits}, which {words} can be. Check the order of the columns and the unit; "
            "nothing was imported.",
            field="columns",
        )


def _once(
    moments: Moments, values: Floats, lines: NDArray[np.int64], head: str
) -> tuple[Moments, Floats, int, list[Refused]]:
    """Return readings with each moment once; the first line of a moment is the one kept."""
    if moments.size == 0:
        return moments, values, 0, []
    again = np.concatenate(([False], np.diff(moments) == 0))
    if not again.any():
        return moments, values, 0, []
    kept = ~again
    place = np.cumsum(kept) - 1
    firsts = values[kept]
    fills = np.flatnonzero(again & np.isnan(firsts[place]) & ~np.isnan(values))
    firsts[place[fills][::-1]] = values[fills][::-1]  # a number counts before no number
    kept_values, firsts = firsts, firsts[place]
    other = again & (values != firsts) & ~np.isnan(values) & ~np.isnan(firsts)
    clashes = [
        Refused(
            int(lines[row]), head, f"{values[row]:g}",
            f"The moment was read before as {firsts[row]:g}; the first line counts.",
        )
        for row in np.flatnonzero(other).tolist()
    ]  # fmt: skip
    return moments[kept], kept_values, int((again & ~other).sum()), clashes


def _stamp_text(table: FieldTable, columns: tuple[int, ...], row: int) -> str:
    return _short(" ".join(table.text(row, column) for column in columns))


def _odd(table: FieldTable) -> str:
    return f"The line does not have the {len(table.heads)} columns of the header."


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 1] + "…"
