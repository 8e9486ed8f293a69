"""What a treatment entry must say, and how treatments become rows."""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

import shapely

from gridmap.errors import InvalidInput
from gridmap.measure import area_sq_in, cells_touched
from gridmap.models import Layout
from gridmap.outline import shape_of, take_outline
from survey.ledger.kinds import History, Projection
from survey.ledger.models import Entry, Logbook
from survey.record import fields
from survey.record.bodies import check_reason, geometry_kind, refuse_off_lattice
from survey.treatments.models import Treatment
from survey.vocabulary.selectors import latest_vocabulary, vocabulary_of

TEXTS = (
    "reason",
    "decided_by",
    "consent",
    "condition_before",
    "method",
    "tool",
    "product_chemical",
    "product_trade",
    "batch",
    "concentration",
    "solvent",
    "amount",
    "result",
    "adverse_effects",
    "residues",
    "retreatment_note",
    "waste_and_safety",
)
NEEDED = ("reason", "decided_by", "condition_before", "method", "result")
_KEYS = frozenset(TEXTS) | {
    "term",
    "geometry",
    "dwell_min",
    "temperature_c",
    "humidity_rh_pct",
    "operators",
    "started_at",
    "ended_at",
    "reveals",
    "photographs",
}


def check_treatment(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse a treatment that leaves out place, reason, decision-maker, operator or result."""
    fields.refuse_unknown_keys(body, _KEYS)
    term = vocabulary_of(latest_vocabulary(logbook.wall)).term(fields.needed_text(body, "term"))
    if "T" not in term.kinds:
        raise InvalidInput(f"{term.name} is not a treatment.", field="term")
    kind = geometry_kind(body.get("geometry"))
    if kind not in term.geometry:
        raise InvalidInput(
            f"{term.name} is drawn as {' or '.join(term.geometry)}, not as {kind}.",
            field="geometry",
        )
    refuse_off_lattice(body["geometry"], field="geometry")
    layout = logbook.wall.layout
    take_outline(body["geometry"], kind=kind, width_in=layout.width_in, height_in=layout.height_in)
    for field in TEXTS:
        fields.text(body, field, longest=fields.LONGEST_NOTE)
    for field in NEEDED:
        fields.needed_text(body, field, longest=fields.LONGEST_NOTE)
    if not fields.texts(body, "operators", most=20):
        raise InvalidInput("operators is empty; name who did the work.", field="operators")
    fields.optional_number(body, "dwell_min", least=0, most=10_080, unit="min")
    fields.optional_number(body, "temperature_c", least=-30, most=60, unit="°C")
    fields.optional_number(body, "humidity_rh_pct", least=0, most=100, unit="% RH")
    fields.optional_flag(body, "reveals")
    started, ended = _moment(body, "started_at"), _optional_moment(body, "ended_at")
    if ended is not None and ended < started:
        raise InvalidInput("ended_at lies before started_at.", field="ended_at")
    _check_photographs(body)


def _check_photographs(body: Mapping[str, Any]) -> None:
    photographs = body.get("photographs", {})
    if not isinstance(photographs, Mapping):
        raise InvalidInput("photographs must be an object.", field="photographs")
    for moment in photographs:
        if moment not in {"before", "during", "after"}:
            raise InvalidInput(
                f"photographs has {moment!r}; it takes before, during and after.",
                field="photographs",
            )
        fields.texts(photographs, moment)


def _optional_moment(body: Mapping[str, Any], field: str) -> datetime | None:
    return None if body.get(field) in (None, "") else _moment(body, field)


def _moment(body: Mapping[str, Any], field: str) -> datetime:
    value = body.get(field)
    try:
        moment = datetime.fromisoformat(value)  # type: ignore[arg-type]  # refused just below
        moment.astimezone(UTC)  # the first and last days of the calendar have no UTC
    except (TypeError, ValueError, OverflowError) as error:
        raise InvalidInput(
            f"{field} is {value!r}; it must be a date and time such as 2026-06-22T08:30:00Z.",
            field=field,
        ) from error
    if moment.tzinfo is None:
        raise InvalidInput(f"{field} is {value!r}; the time zone is missing.", field=field)
    return moment


def project_treatments(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the treatment of each history anew."""
    layout = logbook.wall.layout
    Treatment.objects.filter(object_id__in=[h.object_id for h in histories]).delete()
    Treatment.objects.bulk_create([_treatment(logbook, layout, h) for h in histories])


def _treatment(logbook: Logbook, layout: Layout, history: History) -> Treatment:
    head = history.heads[-1]
    withdrawal = next((e for e in history.heads if e.kind == "treatment-withdrawn"), None)
    shown: Entry = [e for e in history.entries if e.kind == "treatment"][-1]
    content = shown.content
    kind = geometry_kind(content["geometry"])
    shape = shape_of(
        content["geometry"], kind, width_in=layout.width_in, height_in=layout.height_in
    )
    return Treatment(
        object_id=history.object_id,
        logbook=logbook,
        head=head,
        conflict=history.conflict,
        withdrawn_because=withdrawal.content["reason"] if withdrawal else "",
        term=content["term"],
        geometry_kind=kind,
        geometry=content["geometry"],
        shape_wkb=shapely.to_wkb(shape),
        area_sq_in=area_sq_in(shape) if kind == "area" else 0.0,
        cells=cells_touched(shape, layout.grid),
        started_at=_moment(content, "started_at"),
        ended_at=_optional_moment(content, "ended_at"),
        reveals=content.get("reveals", False),
        details={
            key: content[key]
            for key in content
            if key not in {"term", "geometry", "started_at", "ended_at", "reveals"}
        },
        recorded_by=shown.recorded_by,
    )


PROJECTION = Projection(
    "treatment",
    {"treatment": check_treatment, "treatment-withdrawn": check_reason},
    project_treatments,
    lambda logbook: Treatment.objects.filter(logbook=logbook).delete() and None,
    replacing=frozenset({"treatment-withdrawn"}),
)
