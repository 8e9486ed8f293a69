"""Which instruments and readings do tests of the watch's pages stand on? Rows, not logger files."""

from datetime import UTC, date, datetime

import numpy as np

from survey.ledger.drafts import new_id
from survey.ledger.models import Entry
from survey.watch.blocks import pack, store
from survey.watch.models import Instrument, Limit, ReadingsImport
from tests.support.factories import make_observation, make_survey

AIR = [
    {"name": "air", "quantity": "air-temperature", "unit": "°C", "error": 0.5},
    {"name": "rh", "quantity": "relative-humidity", "unit": "%", "error": 3.0},
]


def at(year, month, day, hour=0, minute=0):
    """Return a moment in UTC as seconds since 1970."""
    return datetime(year, month, day, hour, minute, tzinfo=UTC).timestamp()


def head_of(wall):
    """Return some entry of the wall, for rows that need a head."""
    entry = Entry.objects.filter(logbook__wall=wall).first()
    return entry or make_observation(make_survey(wall, "X9")).head


def make_instrument(wall, code="A1", channels=AIR, **more):
    """Return an instrument's row."""
    fields = {
        "name": f"Instrument {code}",
        "content": {"code": code, "height_in": 100.0, "time": {"offset_min": 0}},
        "deck": "1",
        "interval_s": 3600.0,
        "silence_s": 86_400.0,
        "from_on": date(2026, 2, 1),
    }
    return Instrument.objects.create(
        object_id=new_id(), wall=wall, head=head_of(wall), code=code, channels=channels,
        **{**fields, **more},
    )  # fmt: skip


def make_readings(instrument, channel, times_s, values, *, replaced_by=None):
    """Keep readings of one channel as one import's; return the import."""
    made = ReadingsImport.objects.create(
        object_id=new_id(), wall=instrument.wall, head=head_of(instrument.wall), content={},
        instrument_id=instrument.object_id, source="file", replaced_by=replaced_by,
    )  # fmt: skip
    store(
        pack(
            instrument=instrument.object_id,
            readings_import=made.object_id,
            channel=channel,
            times_us=np.array([round(one * 1e6) for one in times_s], dtype=np.int64),
            values=np.array(values, dtype=float),
        )
    )
    return made


def make_limit(wall, quantity="particle-velocity", *, place=("wall", ""), **more):
    """Return an agreed limit's row, in/s unless said otherwise."""
    fields = {
        "version": 1,
        "amber": 0.05,
        "red": 0.08,
        "unit": "in/s",
        "valid_from": date(2026, 2, 1),
        "valid_to": None,
    }
    what, name = place
    content = {
        "place": {"what": what, "name": name},
        "source": "Protocol",
        "label": "agreed-on-site",
    }
    return Limit.objects.create(
        object_id=new_id(), wall=wall, head=head_of(wall), quantity=quantity,
        content={**content, **more.pop("content", {})}, **{**fields, **more},
    )  # fmt: skip
