"""What did one channel read from then to then, whatever files, pushes and hands it came by?

Where two imports speak of one moment the later one counts; a replaced or withdrawn import counts
no more. Values are in the channel's own unit. Nothing is filled in.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any
from uuid import UUID

import numpy as np

from gridmap.errors import NotFound
from survey.ledger.models import Entry
from survey.ledger.selectors import histories_of
from survey.watch.blocks import Moments, microseconds_of, unpack
from survey.watch.models import Instrument, ReadingBlock, ReadingsImport
from survey.watch.quantities import QUANTITIES, from_canonical, to_canonical
from survey.watch.spans import MOST_MISSED, Floats, Span

MICROSECONDS = 1e6
SPOT = "spot-reading"  # from the deck


@dataclass(frozen=True)
class Series:
    """Readings of one channel in order of time; NaN where the instrument had no number."""

    times_us: Moments
    values: Floats
    interval_s: float | None = None

    @property
    def times_s(self) -> Floats:
        """Times in seconds since 1970 UTC."""
        return self.times_us / MICROSECONDS

    def gaps(self, watched: Span | None = None) -> tuple[Span, ...]:
        """Return the silences, by the instrument's interval; none is known without one.

        The same as `unknown_spans`, without its checks, which stored readings have passed.
        """
        if self.interval_s is None:
            return ()
        there = ~np.isnan(self.values)
        times = self.times_us if there.all() else self.times_us[there]
        ends = [] if watched is None else [watched.start_s, watched.end_s]
        longest_us = self.interval_s * MOST_MISSED * MICROSECONDS
        after = np.flatnonzero(np.diff(times) > longest_us)
        spans = [
            (float(times[n]) / MICROSECONDS, float(times[n + 1]) / MICROSECONDS)
            for n in after.tolist()
        ]
        if ends and times.size == 0:
            spans = [(ends[0], ends[1])]
        elif ends:
            first, last = float(times[0]) / MICROSECONDS, float(times[-1]) / MICROSECONDS
            spans = [(ends[0], first), *spans, (last, ends[1])]
        shortest_s = self.interval_s * MOST_MISSED
        return tuple(Span(*span) for span in spans if span[1] - span[0] > shortest_s)


def series(instrument: Instrument, channel: str, start: datetime, end: datetime) -> Series:
    """Return a channel's readings from start to end, both in. Raises NotFound."""
    described = channel_of(instrument, channel)
    least, most = microseconds_of(start), microseconds_of(end)
    pieces = _stored(instrument.object_id, channel, start, end)
    spots = _spots(instrument, described)
    if spots is not None:
        pieces.append(spots)
    times, values = _merged(pieces)
    inside = slice(np.searchsorted(times, least), np.searchsorted(times, most, side="right"))
    return Series(times[inside], values[inside], instrument.interval_s)


def channel_of(instrument: Instrument, name: str) -> Mapping[str, Any]:
    """Return what an instrument says of a channel; raises NotFound."""
    for channel in instrument.channels:
        if channel["name"] == name:
            return dict(channel)
    raise NotFound(f"Instrument {instrument.code} has no channel {name!r}.")


def live_imports(instrument: UUID) -> dict[UUID, int]:
    """Return the imports that count, each with its place in the logbook."""
    rows = ReadingsImport.objects.filter(instrument_id=instrument, replaced_by__isnull=True)
    return dict(rows.values_list("object_id", "head__seq"))


def _stored(
    instrument: UUID, channel: str, start: datetime, end: datetime
) -> list[tuple[Moments, Floats]]:
    """Return stored pieces, those of earlier imports first."""
    places = live_imports(instrument)
    rows = ReadingBlock.objects.filter(
        instrument_id=instrument, channel=channel, first_at__lte=end, last_at__gte=start
    ).order_by("month", "pk")
    found = [
        (places[import_id], unpack(times, values))
        for import_id, times, values in rows.values_list("import_id", "times", "values")
        if import_id in places
    ]
    return [piece for _, piece in sorted(found, key=lambda one: one[0])]


def _merged(pieces: list[tuple[Moments, Floats]]) -> tuple[Moments, Floats]:
    """Return pieces as one series; of readings of one moment the last piece's counts."""
    if not pieces:
        return np.zeros(0, np.int64), np.zeros(0)
    by_start = sorted(pieces, key=lambda piece: int(piece[0][0]))
    if all(one[0][-1] < two[0][0] for one, two in pairwise(by_start)):
        return np.concatenate([p[0] for p in by_start]), np.concatenate([p[1] for p in by_start])
    times = np.concatenate([piece[0] for piece in pieces])
    values = np.concatenate([piece[1] for piece in pieces])
    order = np.argsort(times, kind="stable")
    times, values = times[order], values[order]
    last_of_moment = np.concatenate((np.diff(times) > 0, [True]))
    return times[last_of_moment], values[last_of_moment]


def _spots(instrument: Instrument, channel: Mapping[str, Any]) -> tuple[Moments, Floats] | None:
    """Return what was read by hand on the deck under the instrument's code, if anything."""
    first_alike = next(one for one in instrument.channels if one["quantity"] == channel["quantity"])
    if first_alike["name"] != channel["name"]:
        return None  # the deck names quantity and instrument only: its readings go to the first
    found: dict[int, float] = {}
    for entry in _spot_heads(instrument):
        quantity, unit = _deck_quantity(entry.content)
        if quantity == channel["quantity"]:
            value = to_canonical(entry.content["value"], quantity, unit)
            at_us = microseconds_of(entry.made_at)
            found[at_us] = float(from_canonical(value, quantity, channel["unit"]))
    if not found:
        return None
    times = np.array(sorted(found), dtype=np.int64)
    return times, np.array([found[at] for at in times.tolist()])


def _spot_heads(instrument: Instrument) -> list[Entry]:
    rows = Entry.objects.filter(logbook__wall_id=instrument.wall_id, kind=SPOT)
    objects: dict[Any, set[UUID]] = {}
    for entry in rows.select_related("logbook").order_by("made_at"):
        if str(entry.content.get("instrument", "")).strip() == instrument.code:
            objects.setdefault(entry.logbook, set()).add(entry.object_id)
    return [
        history.heads[-1]
        for logbook, ids in objects.items()
        for _, histories in histories_of(logbook, ids)
        for history in histories
    ]


def _deck_quantity(content: Mapping[str, Any]) -> tuple[str, str]:
    """Return quantity and unit of a deck reading; digits of a moisture meter are no per cent."""
    quantity, unit = content["quantity"], content["unit"]
    if quantity == "moisture" and unit == "digits":
        quantity = "moisture-digits"
    known = QUANTITIES.get(quantity)
    return (quantity, unit) if known and unit in known.units else ("", "")
