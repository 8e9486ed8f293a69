"""What about the readings of a file looks wrong, although each of them could be true?

A doubt is said with what to do about it. One that would make the record false stops the import
until a person says that the readings are right. No Django, no I/O.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from survey.watch.alarms import find_unchanging
from survey.watch.hours import moment_in_words, moment_of, span_in_words
from survey.watch.quantities import quantity_of, shown, to_canonical
from survey.watch.spans import DAY_S, Floats

Moments = NDArray[np.int64]
Readings = Mapping[str, tuple[Moments, Floats]]

# Medians of a whole file that are hardly right; project choices, only ever a question.
_USUAL: Final[Mapping[str, tuple[float, float, str]]] = {
    "air-temperature": (-15.0, 38.0, "the humidity's column, or °F taken for °C"),
    "surface-temperature": (-15.0, 42.0, "another column, or °F taken for °C"),
    "particle-velocity": (-5.0, 5.0, "mm/s taken for in/s"),
    "relative-humidity": (8.0, 100.0, "the temperature's column, or a dead sensor"),
}
_CHANGES_DAILY: Final = frozenset(
    {"air-temperature", "surface-temperature", "relative-humidity", "illuminance", "dew-point"}
)
LONGEST_UNCHANGED_S: Final = DAY_S
CLOCK_ALLOWANCE_S: Final = 600.0
LEAST_SHARED: Final = 12  # readings that must be the same before a shifted clock is spoken of
SAME_SHARE: Final = 0.9
SHIFTS_S: Final = (3600.0, -3600.0)
MOST_SAID: Final = 6


@dataclass(frozen=True)
class Doubt:
    """A sentence about a file; `stops` if nothing is imported before a person answers it."""

    text: str
    stops: bool


def doubts_of(
    read: Readings, channels: Sequence[Mapping[str, Any]], *, now_s: float
) -> list[Doubt]:
    """Return what looks wrong about readings by themselves."""
    by_name = {channel["name"]: channel for channel in channels}
    found = []
    last_us = max((int(times[-1]) for times, _ in read.values() if times.size), default=0)
    if last_us / 1e6 > now_s + CLOCK_ALLOWANCE_S:
        found.append(
            Doubt(
                f"The last reading is of {moment_in_words(moment_of(last_us / 1e6))}, which is yet "
                "to come. Check the clock, the time zone and the order of day and month.",
                stops=True,
            )
        )
    for name, (times, values) in read.items():
        channel = by_name[name]
        found += _unusual(name, values, channel)
        if channel["quantity"] in _CHANGES_DAILY:
            found += _unchanging(name, times, values, channel)
    return found


def _unusual(name: str, values: Floats, channel: Mapping[str, Any]) -> list[Doubt]:
    quantity = channel["quantity"]
    heard = values[~np.isnan(values)]
    if quantity not in _USUAL or heard.size < LEAST_SHARED:
        return []
    least, most, cause = _USUAL[quantity]
    middle = float(np.median(to_canonical(heard, quantity, channel["unit"])))
    if least <= middle <= most:
        return []
    return [
        Doubt(
            f"Channel {name}: as {quantity_of(quantity).words} its middle reading is "
            f"{shown(middle, quantity)}. Is it {cause}?",
            stops=True,
        )
    ]


def _unchanging(
    name: str, times: Moments, values: Floats, channel: Mapping[str, Any]
) -> list[Doubt]:
    spans = find_unchanging(times / 1e6, values, longest_s=LONGEST_UNCHANGED_S)
    said = []
    for span in spans[:MOST_SAID]:
        value = values[np.searchsorted(times, round(span.start_s * 1e6))]
        canonical = float(to_canonical(value, channel["quantity"], channel["unit"]))
        said.append(
            Doubt(
                f"Channel {name} stood at {shown(canonical, channel['quantity'])} for "
                f"{span_in_words(span.duration_s)} from {moment_in_words(moment_of(span.start_s))}."
                " Is the sensor dead or covered?",
                stops=False,
            )
        )
    return said


def other_logger(preamble: Iterable[str], *, serial: str, others: Mapping[str, str]) -> list[Doubt]:
    """Return a doubt where a file names another instrument's serial; `others`: code by serial."""
    words = {word for line in preamble for word in re.split(r"[^\w-]+", line)}
    named = [code for other, code in others.items() if other in words and other != serial]
    if not named or (serial and serial in words):
        return []
    return [
        Doubt(
            f"The file names the serial number of {', '.join(sorted(named))}. Is it the file of "
            "another logger?",
            stops=True,
        )
    ]


Stored = Callable[[str, int, int], tuple[Moments, Floats]]


def against_record(read: Readings, stored: Stored) -> list[Doubt]:
    """Return a doubt where the record says something else of the same moments.

    `stored` gives what is on record of a channel from one moment to another [µs].
    """
    hour_us = round(SHIFTS_S[0] * 1e6)
    for name, (times, values) in read.items():
        if times.size == 0:
            continue
        known, recorded = stored(name, int(times[0]) - hour_us, int(times[-1]) + hour_us)
        same, other = _compared(times, values, known, recorded)
        if other == 0:
            continue
        for shift_s in SHIFTS_S:
            moved = times + np.int64(round(shift_s * 1e6))
            alike, unlike = _compared(moved, values, known, recorded)
            if alike >= LEAST_SHARED and alike >= SAME_SHARE * (alike + unlike) and alike > same:
                side = "later" if shift_s > 0 else "earlier"
                return [
                    Doubt(
                        f"The same readings of channel {name} are on record one hour {side}. Check "
                        "the clock and the time zone; if the record is wrong, replace that import.",
                        stops=True,
                    )
                ]
        return [
            Doubt(
                f"Channel {name}: {other:,} of {same + other:,} moments are on record with another "
                "reading. If this file corrects an earlier one, replace that import.",
                stops=True,
            )
        ]
    return []


def _compared(times: Moments, values: Floats, known: Moments, recorded: Floats) -> tuple[int, int]:
    """Return how many moments read the same in both, and how many otherwise."""
    _, own, other = np.intersect1d(times, known, assume_unique=True, return_indices=True)
    one, two = values[own], recorded[other]
    both = ~np.isnan(one) & ~np.isnan(two)
    same = np.isclose(one[both], two[both], rtol=1e-9, atol=1e-9)
    return int(same.sum()), int((~same).sum())
