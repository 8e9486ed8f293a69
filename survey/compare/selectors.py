"""What the record gives a comparison: two surveys, what they saw, and what happened between."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from gridmap.models import Layout, Wall
from survey.compare.engine import compare
from survey.compare.model import (
    SEEN_NO_CHANGE,
    Act,
    CompareInput,
    Comparison,
    NoiseModel,
    Outline,
    Part,
    PhotographPlace,
    SurveyRecord,
    TermRule,
    WallEvent,
)
from survey.ledger.selectors import head_seq
from survey.record.models import Continuation, Examination, Observation, Standing, Survey
from survey.record.selectors import coverage_by_mode, standing_observations
from survey.treatments.models import Treatment
from survey.vocabulary.selectors import vocabulary_of

COMPARISONS_KEPT = 16


def baseline_of(wall: Wall) -> Survey | None:
    """Return the first baseline of a wall, or None."""
    return wall.surveys.filter(kind="baseline").order_by("starts_on", "code").first()


def comparison(before: Survey, after: Survey, *, tolerance_in: float = 0.0) -> Comparison:
    """Return the comparison of two surveys; it is kept until an entry comes to either logbook."""
    wall = after.wall
    standing = wall.logbooks.filter(name="").first()
    heads = (
        head_seq(before.logbook),
        head_seq(after.logbook),
        head_seq(standing) if standing else 0,
        Continuation.objects.filter(observation__survey__wall=wall).count(),
    )
    return _kept(before.pk, after.pk, tolerance_in, heads)


@lru_cache(maxsize=COMPARISONS_KEPT)
def _kept(before: Any, after: Any, tolerance_in: float, heads: tuple[int, ...]) -> Comparison:
    surveys = Survey.objects.select_related("wall", "layout", "vocabulary", "logbook")
    return compare(
        compare_input(surveys.get(pk=before), surveys.get(pk=after), tolerance_in=tolerance_in)
    )


def compare_input(before: Survey, after: Survey, *, tolerance_in: float = 0.0) -> CompareInput:
    """Return everything that the comparison of two surveys depends on."""
    layout = after.layout
    baseline = baseline_of(after.wall)
    further = baseline is not None and baseline.pk not in {before.pk, after.pk}
    return CompareInput(
        before=survey_record(before),
        after=survey_record(after),
        baseline=survey_record(baseline) if further and baseline else None,
        grid=layout.grid,
        width_in=layout.width_in,
        height_in=layout.height_in,
        terms=term_rules(before, after),
        openings=_parts(layout.openings),
        zones=_parts(layout.zones),
        decks=_deck_parts(layout),
        acts=acts_between(after.wall, before.starts_on, after.ends_on),
        events=events_between(after.wall, before.starts_on, after.ends_on),
        lineage=_lineage(after.wall),
        tolerance_in=tolerance_in,
        noise=NoiseModel(),
    )


def survey_record(survey: Survey) -> SurveyRecord:
    """Return a survey's outlines, what it saw, and what it looked for there."""
    examinations = list(survey.examinations.all())
    rows = list(
        standing_observations(survey).select_related("head").defer("shape_json", "head__body")
    )
    copied = any(row.basis == SEEN_NO_CHANGE for row in rows)
    drawings = _drawings(survey.wall) if copied else {}
    return SurveyRecord(
        code=survey.code,
        starts_on=survey.starts_on,
        ends_on=survey.ends_on,
        outlines=tuple(_outline(row, drawings) for row in rows),
        coverage=coverage_by_mode(examinations),
        searched=_searched(survey, examinations),
        photographs=_photographs(survey),
    )


@dataclass(frozen=True)
class _Drawing:
    """Who drew an outline, in which session, and which one it was copied from without drawing."""

    hand: str
    session: str
    copied_from: str | None


def _drawings(wall: Wall) -> dict[str, _Drawing]:
    """Return for each observation of a wall how its outline came about."""
    rows = Observation.objects.filter(survey__wall=wall).values_list(
        "object_id", "observed_by", "session", "basis", "details__continues"
    )
    return {
        str(object_id): _Drawing(
            hand, session, str(prior[0]) if basis == SEEN_NO_CHANGE and prior else None
        )
        for object_id, hand, session, basis, prior in rows
    }


def _drawn(row: Observation, drawings: Mapping[str, _Drawing]) -> _Drawing:
    """Return the last real drawing behind an outline: a tap copies it and draws nothing."""
    own = _Drawing(row.observed_by, row.session, None)
    drawing = drawings.get(str(row.pk), own)
    while drawing.copied_from is not None and drawing.copied_from in drawings:
        drawing = drawings[drawing.copied_from]
    return drawing


def _outline(row: Observation, drawings: Mapping[str, _Drawing]) -> Outline:
    drawn = _drawn(row, drawings)
    return Outline(
        id=str(row.pk),
        item=row.item,
        term=row.term,
        kind=row.geometry_kind,  # type: ignore[arg-type]  # area, line or point by construction
        shape=row.shape,
        boundary_error_in=row.boundary_error_in,
        boundary_error_source=row.boundary_error_source,
        picture_error_in=row.picture_error_in,
        hand=drawn.hand,
        session=drawn.session,
        mode=row.mode,
        continues=tuple(row.details["continues"]),
        basis=row.basis,
        condition=row.condition,
        conflict=row.standing == Standing.CONFLICT,
        head=row.head.digest,
        observed_on=row.observed_on,
        edge=row.details.get("edge", ""),
        debris=row.details.get("debris", ""),
        photographs=tuple(row.details.get("photographs", [])),
    )


def _searched(
    survey: Survey, examinations: Iterable[Examination]
) -> dict[str, dict[str, BaseGeometry] | None]:
    """Return per mode where each term was looked for; None: every term wherever the mode saw.

    A cell that is not called done asserts nothing, except where no search list was ever agreed
    for its mode, as with areas seen that came from a file.
    """
    by_list: dict[str, dict[frozenset[str] | None, list[bytes]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for row in examinations:
        agreed = survey.search_list.get(row.mode)
        asserted: frozenset[str] | None = frozenset(row.searched or ())
        if row.searched is None:
            asserted = None if not agreed else frozenset(agreed if row.done else ())
        elif not row.done:
            asserted = frozenset()
        by_list[row.mode][asserted].append(bytes(row.seen_wkb))
    return {mode: _areas_by_term(survey, lists) for mode, lists in by_list.items()}


def _areas_by_term(
    survey: Survey, lists: dict[frozenset[str] | None, list[bytes]]
) -> dict[str, BaseGeometry] | None:
    if set(lists) == {None}:
        return None
    unions = {
        asserted: shapely.union_all(shapely.from_wkb(pieces)) for asserted, pieces in lists.items()
    }
    return {
        term.code: shapely.union_all(
            [area for asserted, area in unions.items() if asserted is None or term.code in asserted]
        )
        for term in vocabulary_of(survey.vocabulary).terms
    }


def _photographs(survey: Survey) -> tuple[PhotographPlace, ...]:
    rows = survey.photographs.filter(conflict=False, bounds_in__isnull=False)
    return tuple(
        PhotographPlace(
            digest=row.blob_id,
            shape=shapely.box(*row.bounds_in),
            mode=row.mode,
            taken_on=row.taken_at.date() if row.taken_at else None,
        )
        for row in rows
        if row.bounds_in
    )


def term_rules(before: Survey, after: Survey) -> dict[str, TermRule]:
    """Return the rules of the later survey's terms, with those only the earlier one knew."""
    terms = {term.code: term for term in vocabulary_of(before.vocabulary).terms}
    terms |= {term.code: term for term in vocabulary_of(after.vocabulary).terms}
    shared_modes = set(before.modes) & set(after.modes)
    return {
        code: TermRule(
            code=code,
            name=term.name,
            layer=term.layer,
            kind=term.kind,
            geometry=tuple(term.geometry),
            rule=term.rule,
            modes=term.modes_needed(shared_modes) or tuple(term.modes),
            progresses_to=term.progresses_to,
            resolves_to=term.resolves_to,
            query_on_change="query" in term.rule_note,
        )
        for code, term in terms.items()
    }


def acts_between(wall: Wall, start: date, end: date) -> tuple[Act, ...]:
    """Return the treatments that began between two days, both included."""
    rows = Treatment.objects.filter(
        logbook__wall=wall,
        withdrawn_because="",
        conflict=False,
        started_at__date__gte=start,
        started_at__date__lte=end,
    ).select_related("head")
    return tuple(
        Act(
            term=row.term,
            shape=row.shape,
            on=row.started_at.date(),
            reveals=row.reveals,
            id=str(row.pk),
            head=row.head.digest,
            name=row.details.get("method", ""),
        )
        for row in rows
    )


def events_between(wall: Wall, start: date, end: date) -> tuple[WallEvent, ...]:
    """Return the phases of works and their listed activities that reach into a span of days."""
    found = []
    for phase in wall.phases.all():
        if phase.starts_on <= end and phase.ends_on >= start:
            what = f"{phase}, {phase.starts_on:%Y-%m-%d} to {phase.ends_on:%Y-%m-%d}"
            found.append(WallEvent(on=phase.starts_on, what=what))
        for activity in phase.activities:
            day = date.fromisoformat(activity["from"])
            if start <= day <= end:
                found.append(WallEvent(on=day, what=activity["name"]))
    return tuple(sorted(found, key=lambda event: (event.on or date.min, event.what)))


def _parts(items: Iterable[dict[str, Any]]) -> tuple[Part, ...]:
    return tuple(
        Part(item["name"], shapely.make_valid(shapely.Polygon(item["polygon"]))) for item in items
    )


def _deck_parts(layout: Layout) -> tuple[Part, ...]:
    return tuple(
        Part(deck["name"], shapely.box(0.0, deck["band"][0], layout.width_in, deck["band"][1]))
        for deck in layout.deck_bands
    )


def _lineage(wall: Wall) -> dict[str, tuple[str, ...]]:
    links: dict[str, list[str]] = defaultdict(list)
    rows = Continuation.objects.filter(observation__survey__wall=wall).values_list(
        "observation_id", "prior_object_id"
    )
    for later, prior in rows:
        links[str(later)].append(str(prior))
    return {later: tuple(priors) for later, priors in links.items()}
