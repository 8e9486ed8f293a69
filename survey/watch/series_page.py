"""What does the chart of a channel show?

Its columns, silences and limits, what passed them, the phases of works and the days of surveys.
"""

from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime, time
from typing import Any

import numpy as np

from survey.record.models import Survey
from survey.watch.blocks import microseconds_of
from survey.watch.governing import governing, limits_on
from survey.watch.models import Exceedance, Instrument
from survey.watch.periods import Period
from survey.watch.picture import picture_of
from survey.watch.quantities import from_canonical, quantity_of
from survey.watch.series import Series, channel_of, series
from survey.watch.spans import DAY_S, Floats, Span

MOST_GAPS = 400  # that are drawn; a picture has no room for more
DIGITS = 6  # significant, for the wire


def chart_of(
    instrument: Instrument, name: str, *, start: datetime, end: datetime, columns: int
) -> dict[str, Any]:
    """Return everything that the chart draws, in the unit that people see first."""
    found = series(instrument, name, start, end)
    channel = channel_of(instrument, name)
    return chart_from(found, instrument, channel, start=start, end=end, columns=columns)


def chart_from(
    found: Series,
    instrument: Instrument,
    channel: Mapping[str, Any],
    *,
    start: datetime,
    end: datetime,
    columns: int,
) -> dict[str, Any]:
    """Return the same of a series at hand; `channel` says its name, quantity and unit."""
    quantity = quantity_of(channel["quantity"])
    unit = next(iter(quantity.shown_in))
    drawn = picture_of(
        found.times_us,
        found.values,
        start_us=microseconds_of(start),
        end_us=microseconds_of(end),
        columns=columns,
    )
    return {
        "instrument": instrument.code,
        "channel": channel["name"],
        "words": quantity.words,
        "unit": unit,
        "digits": quantity.shown_in[unit],
        "start": start.timestamp(),
        "end": end.timestamp(),
        "columns": columns,
        "filled": drawn.columns.tolist(),
        "least": _wire(in_unit(drawn.least, channel, unit)),
        "most": _wire(in_unit(drawn.most, channel, unit)),
        "readings": int((~np.isnan(found.values)).sum()),
        "gaps": _gaps(found, start, end),
        "limits": _limits(instrument, channel, unit, end.date()),
        "phases": _phases(instrument, start, end),
        "surveys": _surveys(instrument, start, end),
        "exceedances": _exceedances(instrument, channel["name"], start, end),
    }


def in_unit(values: Floats, channel: Any, unit: str) -> Floats:
    """Return a channel's values in another unit of its quantity."""
    quantity = quantity_of(channel["quantity"])
    if unit == channel["unit"]:
        return values
    account = values
    if channel["unit"] != quantity.unit:
        account = quantity.others[channel["unit"]].to_canonical(values)
    return from_canonical(account, quantity.name, unit)


def _wire(values: Floats) -> list[float]:
    return [float(f"{value:.{DIGITS}g}") for value in values.tolist()]


def _gaps(found: Series, start: datetime, end: datetime) -> list[list[float]]:
    """Return silences in the span shown, the longest where there are too many to draw."""
    watched = Span(start.timestamp(), end.timestamp())
    gaps = sorted(found.gaps(watched), key=lambda span: -span.duration_s)[:MOST_GAPS]
    return sorted([span.start_s, span.end_s] for span in gaps)


def _limits(instrument: Instrument, channel: Any, unit: str, day: date) -> list[dict[str, Any]]:
    agreed = governing(
        limits_on(instrument.wall, day),
        instrument,
        channel["quantity"],
        axis=channel.get("axis") or "",
    )
    if agreed is None:
        return []
    named = [("amber", agreed.amber), ("red", agreed.red)]
    return [
        {"level": level, "value": float(from_canonical(value, channel["quantity"], unit))}
        for level, value in named
        if value is not None
    ]


def _phases(instrument: Instrument, start: datetime, end: datetime) -> list[dict[str, Any]]:
    phases = instrument.wall.phases.order_by("number")
    days = [(f"Phase {one.number}", one.starts_on, one.ends_on) for one in phases]
    return _shown_days(days, start, end)


def _surveys(instrument: Instrument, start: datetime, end: datetime) -> list[dict[str, Any]]:
    surveys = Survey.objects.filter(wall=instrument.wall).order_by("starts_on", "code")
    days = [(one.code, one.starts_on, one.ends_on) for one in surveys]
    return _shown_days(days, start, end)


def _shown_days(
    named: Iterable[tuple[str, date, date]], start: datetime, end: datetime
) -> list[dict[str, Any]]:
    found = []
    for name, first, last in named:
        begins = datetime.combine(first, time(), UTC).timestamp()
        ends = datetime.combine(last, time(), UTC).timestamp() + DAY_S
        if begins < end.timestamp() and ends > start.timestamp():
            found.append({"name": name, "start": begins, "end": ends})
    return found


def _exceedances(
    instrument: Instrument, name: str, start: datetime, end: datetime
) -> list[dict[str, Any]]:
    """Return when the channel was found to pass a limit, the newest where there are too many."""
    rows = Exceedance.objects.filter(
        instrument_id=instrument.object_id, channel=name, starts_at__gte=start, starts_at__lt=end
    )
    return [
        {"level": level, "at": began.timestamp()}
        for level, began in rows.order_by("-starts_at").values_list("level", "starts_at")[
            :MOST_GAPS
        ]
    ]


def days_of(instrument: Instrument, name: str, period: Period) -> list[dict[str, Any]]:
    """Return the table beside the chart: each day's least, most and count of readings."""
    channel = channel_of(instrument, name)
    unit = next(iter(quantity_of(channel["quantity"]).shown_in))
    found = series(instrument, name, period.start, period.end)
    heard = ~np.isnan(found.values)
    times, values = found.times_us[heard], in_unit(found.values[heard], channel, unit)
    if times.size == 0:
        return []
    days = times // round(DAY_S * 1e6)
    firsts = np.flatnonzero(np.concatenate(([True], np.diff(days) > 0)))
    counts = np.diff(np.concatenate((firsts, [times.size])))
    least, most = np.minimum.reduceat(values, firsts), np.maximum.reduceat(values, firsts)
    return [
        {
            "day": datetime.fromtimestamp(float(day) * DAY_S, UTC),
            "least": float(low),
            "most": float(high),
            "count": int(count),
        }
        for day, low, high, count in zip(days[firsts], least, most, counts, strict=True)
    ]
