"""How are a channel's readings packed into rows, one a month, and unpacked again without loss?"""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from survey.watch.models import ReadingBlock
from survey.watch.spans import Floats

Moments = NDArray[np.int64]  # microseconds since 1970 UTC

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
BLOCKS_AT_ONCE = 200


def pack(
    *, instrument: UUID, readings_import: UUID, channel: str, times_us: Moments, values: Floats
) -> list[ReadingBlock]:
    """Return the rows of one channel of one import; times must rise."""
    if times_us.size == 0:
        return []
    months = times_us.astype("datetime64[us]").astype("datetime64[M]")
    cuts = [0, *(np.flatnonzero(np.diff(months.astype(np.int64))) + 1).tolist(), times_us.size]
    return [
        ReadingBlock(
            instrument_id=instrument,
            import_id=readings_import,
            channel=channel,
            month=months[start].astype(object),
            count=end - start,
            first_at=moment_of_us(int(times_us[start])),
            last_at=moment_of_us(int(times_us[end - 1])),
            times=times_us[start:end].astype("<i8").tobytes(),
            values=values[start:end].astype("<f8").tobytes(),
        )
        for start, end in pairwise(cuts)
    ]


def store(blocks: Iterable[ReadingBlock]) -> None:
    """Write packed rows."""
    ReadingBlock.objects.bulk_create(blocks, batch_size=BLOCKS_AT_ONCE)


def unpack(times: bytes | memoryview, values: bytes | memoryview) -> tuple[Moments, Floats]:
    """Return what a row holds."""
    return np.frombuffer(times, dtype="<i8"), np.frombuffer(values, dtype="<f8")


def moment_of_us(microseconds: int) -> datetime:
    """Return microseconds since 1970 UTC as a moment, to the last microsecond."""
    return EPOCH + timedelta(microseconds=microseconds)


def microseconds_of(at: datetime) -> int:
    """Return a moment as microseconds since 1970 UTC, to the last microsecond."""
    return (at - EPOCH) // timedelta(microseconds=1)
