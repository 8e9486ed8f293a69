"""Does anything on the wall need a person now, and what does each instrument say?

Gathers what the other modules of the watch know; computes nothing of its own.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.urls import Resolver404, resolve

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.people.models import Account
from survey.people.permissions import may
from survey.walls.needs import Need, needs_of
from survey.watch.alarms import Hearing, judge_hearing
from survey.watch.governing import governing, limits_on, margin_in_words
from survey.watch.hours import span_in_words
from survey.watch.last_readings import LastReading, last_readings
from survey.watch.models import Exceedance, Instrument, Limit
from survey.watch.quantities import shown, to_canonical

ELSEWHERE = "elsewhere"
UNTOLD_SILENCE_S = 1e12  # where no silence is agreed, none is told


@dataclass(frozen=True)
class ChannelNow:
    """One channel: what it reads, when, and how far that is from its limits."""

    name: str
    quantity: str
    axis: str
    value: str
    at: datetime | None
    margin: str  # how far the reading is from the limit that governs it, empty where none does


@dataclass(frozen=True)
class InstrumentNow:
    """One instrument: whether it is heard as agreed, its channels, what stands open."""

    instrument: Instrument
    hearing: Hearing
    agreed: bool  # whether the silence it is judged by was agreed
    last_at: datetime | None
    channels: Sequence[ChannelNow]
    open_exceedances: int
    calibration_run_out: bool

    @property
    def unknown(self) -> bool:
        """Whether it is silent for longer than agreed, so that what it watches is unknown."""
        return self.agreed and self.hearing.state == "unknown"


@dataclass(frozen=True)
class DeckNow:
    """The instruments of one deck, or of no deck."""

    name: str
    instruments: Sequence[InstrumentNow]


def needs_of_watch(wall: Wall, account: Account) -> list[Need]:
    """Return what of the watch waits for this person: alarms first."""
    return [
        need
        for need in needs_of(wall)
        if _leads_into_watch(need.href) and may(account, wall, need.action)
    ]


def _leads_into_watch(href: str) -> bool:
    try:
        return resolve(href.split("#")[0].split("?")[0]).namespace == "watch"
    except Resolver404:
        return False


def decks_now(wall: Wall, at: datetime) -> list[DeckNow]:
    """Return every instrument that stands on the wall now, by deck, those of no deck last."""
    rows = [row for row in Instrument.objects.filter(wall=wall) if _stands(row, at)]
    ids = [row.object_id for row in rows]
    last, limits = last_readings(ids), limits_on(wall, at.date())
    still_open = Counter(
        Exceedance.objects.filter(
            wall=wall, instrument_id__in=ids, ends_at__isnull=True
        ).values_list("instrument_id", flat=True)
    )
    by_deck: dict[str, list[InstrumentNow]] = {}
    for row in rows:
        now = _instrument_now(
            row, at, last=last, limits=limits, still_open=still_open[row.object_id]
        )
        by_deck.setdefault(row.deck or ELSEWHERE, []).append(now)
    names = sorted(by_deck, key=lambda name: (name == ELSEWHERE, name))
    return [DeckNow(name, by_deck[name]) for name in names]


def _stands(instrument: Instrument, at: datetime) -> bool:
    day = at.date()
    began = instrument.from_on is None or instrument.from_on <= day
    return began and (instrument.until_on is None or instrument.until_on >= day)


def _instrument_now(
    row: Instrument,
    at: datetime,
    *,
    last: Mapping[tuple[UUID, str], LastReading],
    limits: Sequence[Limit],
    still_open: int,
) -> InstrumentNow:
    channels = [
        _channel_now(row, one, last.get((row.object_id, one["name"])), limits)
        for one in row.channels
    ]
    moments = [channel.at for channel in channels if channel.at is not None]
    last_at = max(moments, default=None)
    return InstrumentNow(
        instrument=row,
        hearing=_hearing(row, last_at, at),
        agreed=row.silence_s is not None,
        last_at=last_at,
        channels=channels,
        open_exceedances=still_open,
        calibration_run_out=row.calibrated_until is not None and row.calibrated_until < at.date(),
    )


def _hearing(row: Instrument, last_at: datetime | None, at: datetime) -> Hearing:
    """Return whether the instrument is heard; one that writes of the future is not known either."""
    try:
        return judge_hearing(
            last_at.timestamp() if last_at else None,
            now_s=at.timestamp(),
            silence_s=row.silence_s or UNTOLD_SILENCE_S,
            say=span_in_words,
        )
    except InvalidInput as error:
        return Hearing("unknown", None, error.message)


def _channel_now(
    row: Instrument,
    channel: Mapping[str, Any],
    last: LastReading | None,
    limits: Sequence[Limit],
) -> ChannelNow:
    quantity, axis = channel["quantity"], channel.get("axis") or ""
    value = margin = ""
    if last is not None:
        reading = float(to_canonical(last.value, quantity, channel["unit"]))
        limit = governing(limits, row, quantity, axis=axis)
        value = shown(reading, quantity)
        margin = margin_in_words(limit, reading) if limit else ""
    return ChannelNow(
        name=channel["name"],
        quantity=quantity,
        axis=axis,
        value=value,
        at=last.at if last else None,
        margin=margin,
    )
