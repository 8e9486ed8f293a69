"""What is shown of a climate record beyond the readings themselves, and what stays hidden, and why?

Salt cycles, seasonal band, control types and trend stay hidden until they apply; the reason names
what is missing. Whether a method applies is a person's statement, never this program's.
No Django, no I/O.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from survey.watch.climate_band import METHOD, NoBand, seasonal_cycle, target_band
from survey.watch.climate_days import Air
from survey.watch.control_types import SOURCE as TYPES_SOURCE
from survey.watch.control_types import TYPES, humidity_limits, share_inside, temperature_limits
from survey.watch.salts import (
    GREENSPAN,
    HYSTERESIS_RH_PCT,
    NACL_IN_MIXTURE_RH_PCT,
    SULFATE,
    SULFATE_RANGE_RH_PCT,
    Passage,
    count_with_thinning,
    deliquescence_rh_pct,
    passage_of,
)
from survey.watch.spans import DAY_S, YEAR_S, Floats, first_of_each
from survey.watch.trend import NoTrend, trend

DWELL_S = 1800.0  # dissolution takes about 30 min; Godts et al. 2021
THINNED_TO_S = (1800.0, 3600.0, 7200.0)
AT_C = 20.0  # where a salt's threshold is named in words


@dataclass(frozen=True)
class Part:
    """One computation: its title, why it is hidden or what it says, and rows of a table."""

    key: str
    title: str
    hidden_because: str = ""
    lines: Sequence[str] = ()
    heads: Sequence[str] = ()
    rows: Sequence[Sequence[str]] = field(default_factory=tuple)


def salt_cycles(air: Air, salts: Sequence[str], *, interval_s: float) -> Part:
    """Return how often the air crossed each identified salt's humidity, thinned as well."""
    key, title = "salt-cycles", "Salt cycles"
    if not salts:
        return Part(
            key, title,
            "No salt is identified on record. Before that, a count of crossings has no meaning: "
            "take a sample, have it analysed, then state here which salts were found and by whom.",
        )  # fmt: skip
    if air.times_s.size < 2:
        return Part(key, title, "No reading of humidity lies in this period.")
    rows = []
    for name, passage in _passages(salts, air.air_c):
        longer = [every for every in THINNED_TO_S if every > interval_s]
        found = count_with_thinning(
            air.times_s, air.humidity_rh_pct, passage, interval_s=interval_s, thinned_to_s=longer
        )
        thinned = ", ".join(f"{one.cycles} at {one.interval_s / 60:g} min" for one in found.thinned)
        verdict = "holds" if found.holds else "hangs on the logging interval"
        unknown_h = f"{found.full.unknown_s / 3600:.0f}"
        rows.append((name, passage.in_words, str(found.full.cycles), thinned, verdict, unknown_h))
    return Part(
        key, title, lines=(
            f"A cycle is one drying after one wetting, each of {DWELL_S / 60:g} min or more, with "
            f"a hysteresis of ±{HYSTERESIS_RH_PCT:g}\u00a0% RH (a choice of this program). "
            f"Readings every {interval_s / 60:g} min; no cycle is counted across a silence.",
            f"Humidities over single salts by {GREENSPAN}; sulfate as the range that sources give. "
            "Salts in a wall come in mixtures and answer to the humidity in the pores, which is "
            "not that of the air at the sensor.",
        ),
        heads=("Salt", "Threshold", "Cycles", "Thinned", "The count", "Unknown, h"), rows=rows,
    )  # fmt: skip


def seasonal_band(air: Air, *, stated: bool, interval_s: float) -> Part:
    """Return the band by the EN 15757 method, by analogy, or why it is hidden."""
    key, title = "seasonal-band", "Seasonal band"
    if not stated:
        return Part(key, title, f"{METHOD} It is shown once a person answers for the analogy.")
    found = target_band(air.times_s, air.humidity_rh_pct, interval_s=interval_s)
    if isinstance(found, NoBand):
        return Part(key, title, found.reason)
    bounds = f"Band used: {found.low:+.1f} to {found.high:+.1f} % RH about the seasonal cycle."
    return Part(key, title, lines=(bounds, *found.statements))


def control_types(air: Air, *, stated: bool, interval_s: float) -> Part:
    """Return the share of readings within each type of control, or why it is hidden."""
    key, title = "control-types", "Types of control"
    if not stated:
        return Part(
            key, title,
            "The types were made for collections of other materials, not for a wall painting. They "
            "are shown once a person says why they serve here.",
        )  # fmt: skip
    covered_s = float(np.ptp(air.times_s)) if air.times_s.size else 0.0
    if covered_s < YEAR_S:
        return Part(
            key, title,
            f"The period holds {covered_s / DAY_S:.0f} days of readings; the types start from an "
            "annual average, which takes a full year.",
        )  # fmt: skip
    rows = _types(air, interval_s=interval_s)
    heads = ("Type", "RH inside, %", "Temperature inside, %")
    return Part(key, title, lines=(f"{TYPES_SOURCE}: check the edition.",), heads=heads, rows=rows)


def humidity_trend(air: Air) -> Part:
    """Return the trend of daily humidity, or why none is stated."""
    key, title = "trend", "Trend"
    times, values = first_of_each(air.times_s, air.humidity_rh_pct, every_s=DAY_S)
    found = trend(times, values, unit="% RH")
    if isinstance(found, NoTrend):
        return Part(key, title, found.reason)
    first = "One reading a day, the first."
    return Part(key, title, lines=(found.statement, first))


def _passages(salts: Sequence[str], air_c: Floats) -> list[tuple[str, Passage]]:
    found = []
    for salt in salts:
        if salt == SULFATE:
            for edge in SULFATE_RANGE_RH_PCT:
                found.append((f"{salt}, at {edge:g} % RH", _around(edge)))
            continue
        at_each = deliquescence_rh_pct(salt, air_c)
        at_20 = float(deliquescence_rh_pct(salt, AT_C))
        found.append((f"{salt}, {at_20:.1f} % RH at 20 °C", _around(at_each)))
        if salt == "NaCl":
            mixed = Passage(at_20, NACL_IN_MIXTURE_RH_PCT, DWELL_S)
            found.append((f"{salt} in a common mixture", mixed))
    return found


def _around(threshold: float | Floats) -> Passage:
    return passage_of(threshold, hysteresis_rh_pct=HYSTERESIS_RH_PCT, dwell_s=DWELL_S)


def _types(air: Air, *, interval_s: float) -> list[tuple[str, str, str]]:
    seasons = [
        seasonal_cycle(air.times_s, values, interval_s=interval_s)
        for values in (air.humidity_rh_pct, air.air_c)
    ]
    annual = float(air.humidity_rh_pct.mean()), float(air.air_c.mean())
    rows = []
    for one in TYPES:
        damp = humidity_limits(one, annual_rh_pct=annual[0], seasonal_rh_pct=seasons[0])
        warm = temperature_limits(one, annual_c=annual[1], seasonal_c=seasons[1])
        rows.append(
            (
                one.key,
                f"{100 * share_inside(air.humidity_rh_pct, damp):.1f}",
                f"{100 * share_inside(air.air_c, warm):.1f}",
            )
        )
    return rows
