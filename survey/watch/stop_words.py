"""How are an exceedance, a stop and the lines of their log said to people?

The same words stand on pages, in notices and in e-mails, so that they cannot differ.
"""

from collections.abc import Callable, Mapping
from typing import Any

from django.urls import reverse

from gridmap.lengths import format_feet_inches
from survey.watch import stop_kinds as kinds
from survey.watch.hours import moment_in_words, span_in_words
from survey.watch.limit_words import CHANGE, value_in_words
from survey.watch.models import LogLine
from survey.watch.quantities import quantity_of
from survey.watch.stops import Case

_FIT = {"fit": "fit for use", "fit-after-repair": "fit after repair", "not-fit": "not fit"}
_CAUSE = {
    "agreed": "agreed",
    "disputed": "disputed",
    "reserved": "reserved",
    "not-known": "not known",
}
MOST_CELLS = 60


def peak_in_words(case: Case) -> str:
    """Return an exceedance's peak in every unit that people use."""
    row = case.exceedance
    if row is None:
        return ""
    unit = row.content["unit"]
    if case.limit is None:
        return f"{row.peak:g} {unit}"
    direction = case.limit.content.get("direction", "above")
    words = value_in_words(row.peak, case.limit.quantity, unit, direction=direction)
    return f"{words} within 24 h" if direction == CHANGE else words


def channel_in_words(case: Case) -> str:
    """Return what the channel of an exceedance reads, along which axis, and whether over 24 h."""
    row = case.exceedance
    if row is None:
        return ""
    channels = case.instrument.channels if case.instrument else []
    found = next((one for one in channels if one["name"] == row.channel), None)
    if found is None:
        return f"Channel {row.channel}"
    words = quantity_of(found["quantity"]).words.capitalize()
    axis = found.get("axis")
    along = f", {'vector sum' if axis == 'sum' else f'axis {axis}'}" if axis else ""
    change = case.limit is not None and case.limit.content.get("direction") == CHANGE
    return f"{words}{along}{', change within 24 h' if change else ''}"


def finding_in_words(case: Case) -> str:
    """Return in one line what happened and when."""
    when = moment_in_words(case.started)
    if case.exceedance is None:
        return f"{case.name}, {when}: {case.said}."
    return f"{case.name}, {when}: {peak_in_words(case)}."


def response_in_words(case: Case) -> str:
    """Return how long it took until the first person was told."""
    if case.told_at is None:
        return ""
    return span_in_words(max((case.told_at - case.started).total_seconds(), 0.0))


def line_in_words(line: LogLine) -> str:
    """Return a line of the log as a sentence."""
    said = _WORDS.get(line.kind)
    return said(line.content) if said else line.kind


def page_of(case: Case) -> str:
    """Return the address of a case's page."""
    name = "watch:stop" if case.stop is not None else "watch:exceedance"
    return reverse(name, args=[case.wall.slug, case.id])


def _open(text: str) -> str:
    """Return a text without its full stop, for a sentence that goes on."""
    return text.strip().rstrip(".")


def _activity(said: Mapping[str, Any]) -> str:
    plant = f", {said['plant']}" if said.get("plant") else ""
    distance = said.get("distance_in")
    away = f", {format_feet_inches(distance)} from the wall" if distance is not None else ""
    return f"{_open(said['activity'])}{plant}{away} (said by {said['by']})."


def _told(said: Mapping[str, Any]) -> str:
    role = f", {said['role']}," if said.get("role") else ""
    words = f" “{said['said']}”" if said.get("said") else ""
    return f"{said['who']}{role} told, {said['how']}, by {said['by']}.{words}"


def _cells_due(said: Mapping[str, Any]) -> str:
    changed = f" Changed because: {said['changed_because']}" if said.get("changed_because") else ""
    counted = f"{len(said['cells'])} cell{'' if len(said['cells']) == 1 else 's'}"
    return f"{counted}, chosen by {said['by']}. {said['chosen']}{changed}"


def _reinspected(said: Mapping[str, Any]) -> str:
    note = f" {said['note']}" if said.get("note") else ""
    return f"Scaffold {_FIT[said['result']]}, {said['by']} ({said['competence']}).{note}"


def _looked(said: Mapping[str, Any]) -> str:
    cells = said["cells"]
    named = ", ".join(cells[:MOST_CELLS]) + (" …" if len(cells) > MOST_CELLS else "")
    left_out = said.get("inaccessible")
    reason = (
        f" Inaccessible: {left_out['reason']}, accepted by {left_out['accepted_by']}."
        if left_out
        else ""
    )
    return f"{named}: {_open(said['result'])} ({said['by']}).{reason}"


def _cause(said: Mapping[str, Any]) -> str:
    return f"{_open(said['cause'])} (opinion of {said['by']}, {_CAUSE[said['agreed']]})."


def _no_objection(said: Mapping[str, Any]) -> str:
    return f"{said['words']} {said['by']}."


def _instruction(said: Mapping[str, Any]) -> str:
    return f"{_open(said['words'])} ({said['by']}, {said['role']})."


def _notice(said: Mapping[str, Any]) -> str:
    return f"Notice N-{said['number']} to {said['to']}, {said['sent']}; by {said['by']}."


_WORDS: dict[str, Callable[[Mapping[str, Any]], str]] = {
    kinds.ACTIVITY: _activity,
    kinds.TOLD: _told,
    kinds.CELLS_DUE: _cells_due,
    kinds.REINSPECTED: _reinspected,
    kinds.LOOKED: _looked,
    kinds.CAUSE: _cause,
    kinds.NO_OBJECTION: _no_objection,
    kinds.INSTRUCTION: _instruction,
    kinds.NOTICE: _notice,
}
