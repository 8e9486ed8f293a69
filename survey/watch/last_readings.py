"""What did each channel of a wall's instruments read last, and when?

Reads the newest block of each channel only, so that a year of readings costs no more than a day.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

import numpy as np
from django.db.models import Exists, OuterRef

from survey.watch.blocks import moment_of_us, unpack
from survey.watch.models import ReadingBlock, ReadingsImport


@dataclass(frozen=True)
class LastReading:
    """A channel's newest reading, in the channel's own unit."""

    channel: str
    at: datetime
    value: float


def last_readings(instruments: Iterable[UUID]) -> Mapping[tuple[UUID, str], LastReading]:
    """Return the newest number of each channel by instrument and channel.

    Replaced imports do not count, nor moments at which the instrument had no number.
    """
    replaced = ReadingsImport.objects.filter(
        object_id=OuterRef("import_id"), replaced_by__isnull=False
    )
    ids = list(instruments)
    rows = ReadingBlock.objects.filter(~Exists(replaced), instrument_id__in=ids)
    newest: dict[tuple[UUID, str], LastReading] = {}
    keys = rows.order_by("-last_at").values_list("pk", "instrument_id", "channel", "last_at")
    for pk, instrument, channel, last_at in keys:
        held = newest.get((instrument, channel))
        if held is not None and held.at >= last_at:
            continue
        found = _last_number(ReadingBlock.objects.get(pk=pk))
        if found is not None and (held is None or found.at > held.at):
            newest[instrument, channel] = found
    return newest


def _last_number(block: ReadingBlock) -> LastReading | None:
    times, values = unpack(block.times, block.values)
    there = np.flatnonzero(~np.isnan(values))
    if there.size == 0:
        return None
    at = moment_of_us(int(times[there[-1]]))
    return LastReading(block.channel, at, float(values[there[-1]]))
