"""Which treatments and decisions stand on a wall, read back for pages, comparison and report."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from uuid import UUID

import shapely
from django.db.models import Q, QuerySet

from gridmap.errors import NotFound
from gridmap.models import Wall
from gridmap.strip import AreaInk
from survey.record.history import chain_of
from survey.record.models import Decision, Observation, Standing, Survey
from survey.treatments.models import Treatment
from survey.vocabulary.selectors import latest_vocabulary, vocabulary_of
from survey.vocabulary.terms import Term

SPOT_IN = 3.0  # half of the diamond that stands for a point on the strip
LETTER_SIZE_OF_WIDTH = 0.0121  # of the wall's width, as the strip prints letters


@dataclass(frozen=True)
class TreatmentRow:
    """A treatment with the term that its page names."""

    treatment: Treatment
    term: Term


@dataclass(frozen=True)
class DecisionRow:
    """A decision, the item that it is about, the item as last drawn, and whether it is due."""

    decision: Decision
    observation: Observation | None
    latest: Observation | None
    term: Term | None
    superseded: bool
    due: bool


def treatments_of(wall: Wall) -> QuerySet[Treatment]:
    """Return the treatments of a wall that stand, oldest first."""
    return Treatment.objects.filter(logbook__wall=wall, withdrawn_because="").order_by(
        "started_at", "object_id"
    )


def between(wall: Wall, first: date, last: date) -> QuerySet[Treatment]:
    """Return the treatments that began between two days, both included (UTC)."""
    return treatments_of(wall).filter(
        started_at__gte=datetime.combine(first, time.min, UTC),
        started_at__lte=datetime.combine(last, time.max, UTC),
    )


def treatment_of_wall(wall: Wall, object_id: UUID) -> Treatment:
    """Return a treatment, withdrawn ones too; raises NotFound."""
    found = (
        Treatment.objects.select_related("logbook", "head")
        .filter(logbook__wall=wall, object_id=object_id)
        .first()
    )
    if found is None:
        raise NotFound("There is no such treatment on this wall.")
    return found


def with_terms(wall: Wall, treatments: Iterable[Treatment]) -> list[TreatmentRow]:
    """Return treatments with the terms that they carry, by the newest vocabulary of the wall."""
    vocabulary = vocabulary_of(latest_vocabulary(wall))
    return [TreatmentRow(row, vocabulary.term(row.term)) for row in treatments]


def treated_areas(rows: Iterable[TreatmentRow], link: str, *, width_in: float) -> list[AreaInk]:
    """Return the treated places as the strip draws them; `link` has TREATMENT for the id.

    Letters stand beside a place that is smaller than they are, and are left out where others
    stand already.
    """
    size_in = LETTER_SIZE_OF_WIDTH * width_in
    taken: list[tuple[float, float]] = []
    inks = []
    # The largest first, so that a small place lies on top and can be chosen.
    for row in sorted(rows, key=lambda row: -row.treatment.area_sq_in):
        shape = row.treatment.shape
        if row.treatment.geometry_kind == "point":
            shape = shapely.buffer(shape, SPOT_IN, quad_segs=1)
        letters = row.term.symbol.letters
        at_in = _letters_at(shape, size_in)
        free = all(
            abs(at_in[0] - x) > 1.6 * size_in or abs(at_in[1] - y) > size_in for x, y in taken
        )
        if free:
            taken.append(at_in)
        inks.append(
            AreaInk(
                rings=[
                    list(ring.coords)
                    for piece in shapely.get_parts(shape)
                    for ring in (piece.exterior, *piece.interiors)
                ],
                style="strip-treated",
                words=f"{letters}, {row.term.name}, {', '.join(row.treatment.cells[:4])}",
                link=link.replace("TREATMENT", str(row.treatment.object_id)),
                text=letters if free else "",
                text_at_in=at_in,
            )
        )
    return inks


def _letters_at(shape: shapely.Geometry, size_in: float) -> tuple[float, float]:
    """Return where two letters stand: inside a shape with room for them, else at its right."""
    x0, y0, x1, y1 = shapely.bounds(shape)
    if x1 - x0 < 2 * size_in or y1 - y0 < size_in:
        return float(x1 + 0.9 * size_in), float((y0 + y1) / 2)
    place = shapely.point_on_surface(shape)
    return float(place.x), float(place.y)


def observation_of_survey(survey: Survey, object_id: UUID) -> Observation:
    """Return an item of a survey; raises NotFound."""
    found = (
        survey.observations.select_related("survey__wall", "survey__vocabulary")
        .filter(object_id=object_id)
        .first()
    )
    if found is None:
        raise NotFound(f"There is no such item in survey {survey.code}.")
    return found


def observations_named(survey: Survey, item: str) -> list[Observation]:
    """Return the outlines of a survey that stand under an item's label, in any case."""
    rows = survey.observations.exclude(standing=Standing.WITHDRAWN)
    return list(rows.filter(item__iexact=item.strip()))


def decisions_of_item(observation: Observation) -> list[Decision]:
    """Return the decisions about an item through all surveys, newest first."""
    ids = [row.pk for row in chain_of(observation)]
    return list(Decision.objects.filter(item__in=ids).order_by("-made_at", "-object_id"))


def item_decisions(wall: Wall, today: date) -> list[DecisionRow]:
    """Return every decision about items of a wall, newest first.

    Of one item the newest decision counts, through the surveys that it continues in; earlier
    ones are superseded and no longer due.
    """
    decisions = list(
        Decision.objects.filter(logbook__wall=wall, subject="item").order_by(
            "-made_at", "-object_id"
        )
    )
    items = [decision.item for decision in decisions if decision.item is not None]
    observations = {
        row.pk: row
        for row in Observation.objects.filter(pk__in=items).select_related("survey__vocabulary")
    }
    decided: set[UUID] = set()
    rows = []
    for decision in decisions:
        observation = observations.get(decision.item) if decision.item else None
        chain = chain_of(observation) if observation else []
        superseded = any(row.pk in decided for row in chain)
        decided |= {row.pk for row in chain}
        term = None
        if observation is not None:
            term = vocabulary_of(observation.survey.vocabulary).term(observation.term)
        due = not superseded and decision.review_on is not None and decision.review_on <= today
        latest = chain[-1] if chain else None
        rows.append(DecisionRow(decision, observation, latest, term, superseded, due))
    return rows


def items_undecided(survey: Survey, *, at_most: int) -> list[tuple[Observation, Term]]:
    """Return the outlines of a survey that are marked or urgent and have no decision yet.

    Marked or severe condition (2, 3) or urgency 2, 3; worst first. A decision about the same
    item in another survey counts.
    """
    standing = survey.observations.filter(standing=Standing.STANDS)
    grave = list(standing.filter(Q(condition__gte=2) | Q(urgency__gte=2)))
    grave.sort(key=lambda row: (-(row.urgency or 0), -(row.condition or 0), row.item))
    decided = set(
        Decision.objects.filter(logbook__wall=survey.wall, subject="item").values_list(
            "item", flat=True
        )
    )
    vocabulary = vocabulary_of(survey.vocabulary)
    found: list[tuple[Observation, Term]] = []
    for row in grave:
        if len(found) == at_most:
            break
        if not decided & {earlier.pk for earlier in chain_of(row)}:
            found.append((row, vocabulary.term(row.term)))
    return found
