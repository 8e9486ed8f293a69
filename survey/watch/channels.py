"""Which channels of a wall read a quantity, and what did they read, in its one unit of account?"""

from dataclasses import dataclass
from datetime import UTC, datetime

from gridmap.models import Wall
from survey.watch.models import Instrument
from survey.watch.quantities import to_canonical
from survey.watch.series import series
from survey.watch.spans import Floats
from survey.watch.units import fahrenheit_difference_to_celsius

EARLIEST = datetime(1900, 1, 1, tzinfo=UTC)  # before every reading
USUAL_INTERVAL_S = 900.0  # between two readings, where an instrument names none


@dataclass(frozen=True)
class ChannelOf:
    """One channel of an instrument; `error` is its standard uncertainty in the unit of account."""

    instrument: Instrument
    name: str
    quantity: str
    unit: str
    axis: str
    error: float | None


def interval_s_of(instrument: Instrument) -> float:
    """Return how far apart an instrument's readings are expected [s]."""
    return instrument.interval_s or USUAL_INTERVAL_S


def channels_of(wall: Wall, *quantities: str) -> list[ChannelOf]:
    """Return the channels of a wall that read one of these quantities, by instrument's code."""
    return [
        ChannelOf(
            instrument=row,
            name=channel["name"],
            quantity=channel["quantity"],
            unit=channel["unit"],
            axis=channel.get("axis") or "",
            error=_error(channel.get("error"), channel["quantity"], channel["unit"]),
        )
        for row in Instrument.objects.filter(wall=wall).select_related("wall")
        for channel in row.channels
        if channel["quantity"] in quantities
    ]


def heard_between(channel: ChannelOf, start: datetime, end: datetime) -> tuple[Floats, Floats]:
    """Return times [s UTC] and readings of a channel, in the quantity's unit of account.

    From start, in, to end, out: days that follow each other share no reading.
    """
    found = series(channel.instrument, channel.name, start, end)
    inside = found.times_s < end.timestamp()
    values = to_canonical(found.values, channel.quantity, channel.unit)
    return found.times_s[inside], values[inside]


def _error(stated: float | None, quantity: str, unit: str) -> float | None:
    if stated is None:
        return None
    if unit == "°F":  # an error is a difference: no 32 is taken off
        return float(fahrenheit_difference_to_celsius(stated))
    return float(to_canonical(stated, quantity, unit))
