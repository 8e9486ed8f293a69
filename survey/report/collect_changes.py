"""What changed, what was decided and what was done, as a report says it."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from datetime import date

from survey.compare.model import UNITS, Comparison, ItemFinding
from survey.compare.model import LossWindow as Window
from survey.compare.pages import query_rows
from survey.compare.reading_order import changed_first
from survey.compare.sampled import sampled
from survey.record.models import CauseOpinion, Continuation, Decision, Mode, Observation, Survey
from survey.record.sampling import SamplingStatement
from survey.report import content as says
from survey.treatments.models import Treatment

CHOICES = {
    "leave": "leave as it is",
    "watch": "watch",
    "treat": "treat",
    "investigate": "investigate",
}
# What changed enough to stand in the change table; the rest is counted.
TOLD = frozenset(
    {
        "new",
        "split",
        "merged",
        "grown",
        "progressed",
        "revealed",
        "first seen",
        "drawn smaller",
        "not found",
        "treated",
    }
)
LABELS = {
    "method": "Method",
    "tool": "Tool",
    "product_chemical": "Product, chemical name",
    "product_trade": "Product, trade name",
    "batch": "Batch",
    "concentration": "Concentration",
    "solvent": "Solvent",
    "amount": "Amount",
    "dwell_min": "Dwell, min",
    "temperature_c": "Temperature, °C",
    "humidity_rh_pct": "Relative humidity, %",
    "condition_before": "Condition before",
    "residues": "Residues left",
    "retreatment_note": "Later treatment",
    "waste_and_safety": "Waste and safety",
}


def _day(day: date | None) -> str:
    return day.isoformat() if day else "day not recorded"


def first_seen_words(survey: Survey) -> dict[str, str]:
    """Return for each outline of a survey the survey and day on which its item was first seen."""
    prior: dict[str, list[str]] = defaultdict(list)
    links = Continuation.objects.filter(observation__survey__wall=survey.wall)
    for later, earlier in links.values_list("observation_id", "prior_object_id"):
        prior[str(later)].append(str(earlier))
    days = {
        str(key): (day, code)
        for key, day, code in Observation.objects.filter(survey__wall=survey.wall).values_list(
            "object_id", "observed_on", "survey__code"
        )
    }
    words = {}
    for object_id in survey.observations.values_list("object_id", flat=True):
        day, code = min(days[key] for key in _ancestors(str(object_id), prior) if key in days)
        words[str(object_id)] = f"{code}, {day.isoformat()}"
    return words


def _ancestors(object_id: str, prior: dict[str, list[str]]) -> set[str]:
    found, waiting = {object_id}, [object_id]
    while waiting:
        for earlier in prior[waiting.pop()]:
            if earlier not in found:
                found.add(earlier)
                waiting.append(earlier)
    return found


def comparison_summary(found: Comparison, survey: Survey) -> says.ComparisonSummary:
    """Return what was compared, with the items that changed."""
    states = Counter(state.state for state in found.cell_states)
    counts = Counter(item.finding for item in found.items)
    opinions = _opinions(survey)
    noise = found.noise
    statement = sampled(found)
    return says.ComparisonSummary(
        before=found.before,
        after=found.after,
        compared_sq_in=found.compared_sq_in,
        not_compared_sq_in=found.not_compared_sq_in,
        tested=found.tested,
        false_discovery_rate=found.false_discovery_rate,
        tolerance_in=found.tolerance_in,
        cells_compared=states["compared"],
        cells_not_comparable=states["not comparable"],
        cells_not_examined=states["not examined"],
        counts=tuple(
            says.FindingCount(finding, counts[finding])
            for finding in says.Finding
            if counts[finding]
        ),
        assumptions=(
            f"Boundary error {noise.default_boundary_error_in} in where none is stated, "
            f"correlated over {noise.correlation_length_in} in along the edge.",
            "Where an outline was drawn over a picture whose error of place is known, that error "
            "is added to its boundary error in quadrature.",
            f"Another hand adds a bias of {noise.hand_bias_sd_in} in (one standard deviation), "
            f"another session {noise.session_bias_sd_in} in.",
            *(_if_random(statement) if statement else ()),
        ),
        changes=tuple(
            _change(item, opinions) for item in changed_first(found.items) if item.finding in TOLD
        ),
    )


def _if_random(statement: SamplingStatement) -> tuple[str, str]:
    return (
        statement.text,
        "The sentence above holds only for cells that were drawn at random; cells picked for "
        "their risk prove nothing about the rest.",
    )


def _change(item: ItemFinding, opinions: dict[str, list[CauseOpinion]]) -> says.ChangeRow:
    unit = UNITS[item.kind].replace("_", " ")
    growth = item.growth
    heard = [o for object_id in (*item.after_ids, *item.before_ids) for o in opinions[object_id]]
    return says.ChangeRow(
        item=item.item,
        cells=item.cells,
        term=item.term,
        finding=says.Finding(item.finding),
        before=says.Size(item.before, unit) if item.before is not None else None,
        after=says.Size(item.after, unit) if item.after is not None else None,
        standard_error=growth.standard_error if growth else None,
        threshold=growth.threshold if growth else None,
        reliably_seen=growth.reliably_seen if growth else None,
        p_adjusted=growth.p_adjusted if growth else None,
        loss_window=_window(item.window, heard) if item.window else None,
        explanation=item.reason,
    )


def _window(window: Window, heard: list[CauseOpinion]) -> says.LossWindow:
    last_sound = "no earlier record"
    if window.last_sound_survey:
        mode = window.last_sound_mode
        light = f", {Mode(mode).label.lower()}" if mode in Mode.values else ""
        last_sound = f"{window.last_sound_survey}, {_day(window.last_sound_to)}{light}"
        if window.last_sound_photographs:
            last_sound += f", photograph {window.last_sound_photographs[0][:12]}"
    return says.LossWindow(
        last_sound=last_sound,
        first_found=f"{window.first_found_survey}, {_day(window.first_found_from)}",
        between=window.between,
        edge=window.edge,
        debris=window.debris,
        opinions=tuple(f"{o.rank}. {o.cause}, in the opinion of {o.opinion_of}" for o in heard),
        standing=heard[0].standing if heard else "",
    )


def _opinions(survey: Survey) -> dict[str, list[CauseOpinion]]:
    found: dict[str, list[CauseOpinion]] = defaultdict(list)
    for row in CauseOpinion.objects.filter(logbook__wall=survey.wall, conflict=False):
        found[str(row.item)].append(row)
    return found


def not_comparable_cells(found: Comparison) -> tuple[says.CellNote, ...]:
    """Return the cells that the comparison leaves out, with the reason."""
    return tuple(
        says.CellNote(state.cell, state.reason or state.state)
        for state in found.cell_states
        if state.state != "compared"
    )


def queries_said(found: Comparison) -> tuple[says.Query, ...]:
    """Return the contradictions, each with its decision or without."""
    cells = {item.item: item.cells for item in found.items}
    return tuple(
        says.Query(
            item=row.query.item,
            cells=cells.get(row.query.item, ()),
            message=row.query.message,
            rule=row.query.rule,
            explanations=row.query.explanations,
            decision=_decided(row.decision),
            decided_by=row.decision.decided_by if row.decision else "",
            decided_on=row.decision.made_at.date() if row.decision else None,
        )
        for row in query_rows(found)
    )


def _decided(decision: Decision | None) -> str:
    if decision is None:
        return ""
    return f"{decision.choice.replace('-', ' ')}: {decision.details.get('reason', '')}"


def decisions_said(survey: Survey) -> tuple[says.Decision, ...]:
    """Return the decisions about items of the wall that were made up to the survey's end."""
    rows = [
        row
        for row in Decision.objects.filter(
            logbook__wall=survey.wall, subject="item", conflict=False
        )
        if row.logbook_id == survey.logbook_id or row.made_at.date() <= survey.ends_on
    ]
    items = _items_of(row.item for row in rows)
    return tuple(
        says.Decision(
            item=items[str(row.item)][0] if str(row.item) in items else "item not on this wall",
            cells=items[str(row.item)][1] if str(row.item) in items else (),
            choice=CHOICES.get(row.choice, row.choice),
            reason=row.details.get("reason", ""),
            decided_by=row.decided_by,
            decided_on=row.made_at.date(),
            consented_by=row.details.get("consented_by", ""),
            refused=tuple(
                says.RefusedOption(option["option"], option["reason"])
                for option in row.details.get("refused", [])
            ),
            review_on=row.review_on,
            recommendation=row.recommendation,
        )
        for row in rows
    )


def _items_of(ids: Iterable[object]) -> dict[str, tuple[str, tuple[str, ...]]]:
    rows = Observation.objects.filter(pk__in=[key for key in ids if key is not None])
    return {str(row.pk): (row.item, tuple(row.cells)) for row in rows}


def treatments_said(survey: Survey, against: Survey | None) -> tuple[says.Treatment, ...]:
    """Return the treatments up to the survey's end, since the survey compared with if there is."""
    rows = Treatment.objects.filter(
        logbook__wall=survey.wall,
        withdrawn_because="",
        conflict=False,
        started_at__date__lte=survey.ends_on,
    )
    if against is not None:
        rows = rows.filter(started_at__date__gte=against.starts_on)
    return tuple(_treatment(row) for row in rows)


def _treatment(row: Treatment) -> says.Treatment:
    details = row.details
    return says.Treatment(
        cells=tuple(row.cells),
        term=row.term,
        started=f"{row.started_at:%Y-%m-%d %H:%M} UTC",
        ended=f"{row.ended_at:%Y-%m-%d %H:%M} UTC" if row.ended_at else "",
        reason=details.get("reason", ""),
        decided_by=details.get("decided_by", ""),
        consent=details.get("consent", ""),
        details=tuple(
            (label, str(details[key])) for key, label in LABELS.items() if details.get(key)
        ),
        operators=tuple(details.get("operators", [])),
        result=details.get("result", ""),
        adverse_effects=details.get("adverse_effects", ""),
    )
