"""What the record gives a report: everything that it prints, collected once.

Reads the database and decides nothing that another room decides; the layout only prints.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import shapely

from gridmap.models import Layout
from survey.compare.model import Comparison
from survey.compare.selectors import comparison
from survey.people.models import Membership, Role
from survey.record.models import Mode, Survey
from survey.record.selectors import painted_area, pre_works_statement
from survey.report import content as says
from survey.report.collect_changes import (
    comparison_summary,
    decisions_said,
    first_seen_words,
    not_comparable_cells,
    queries_said,
    treatments_said,
)
from survey.report.collect_pairs import detail_pairs, pair_images, pairs_asked
from survey.report.collect_plates import cell_plates, schedule_rows
from survey.report.collect_seen import coverages, images, not_seen_cells
from survey.vocabulary.selectors import vocabulary_of


@dataclass(frozen=True)
class Issue:
    """Which paper is made: its number, version and state."""

    kind: str = "condition"
    number: str = "draft"
    version: int = 1
    issued: bool = False
    supersedes: str | None = None
    versions: tuple[says.VersionRow, ...] = ()


def report_content(
    survey: Survey,
    *,
    against: Survey | None,
    issue: Issue,
    produced_at: datetime,
    tolerance_in: float = 0.0,
) -> says.ReportContent:
    """Return everything that a report on a survey prints."""
    found = comparison(against, survey, tolerance_in=tolerance_in) if against else None
    terms = _terms(survey)
    first_seen = first_seen_words(survey)
    layout = survey.layout
    own_images = images(survey)
    return says.ReportContent(
        document=_document(survey, against, issue, produced_at),
        work=_work(survey),
        instruction=says.Instruction(
            purpose=survey.instruction, reader=survey.wall.insurer or survey.wall.owner
        ),
        parties=_parties(survey),
        authors=_authors(survey),
        survey=_facts(survey, terms),
        wall=_wall_map(layout),
        terms=terms,
        summary=_summary(survey, found),
        coverage=coverages(survey),
        openings_sq_in=layout.width_in * layout.height_in - painted_area(layout).area,
        plates=cell_plates(survey, against, found),
        pairs=detail_pairs(survey, against),
        pairs_asked=pairs_asked(survey, against),
        schedule=schedule_rows(survey, found, first_seen),
        comparison=comparison_summary(found, survey) if found else None,
        not_comparable=not_comparable_cells(found) if found else (),
        not_seen=not_seen_cells(survey),
        queries=queries_said(found) if found else (),
        decisions=decisions_said(survey),
        treatments=treatments_said(survey, against),
        signatures=_signatures(survey),
        images=(*own_images, *pair_images(survey, against, own_images)),
        versions=issue.versions,
    )


def _document(
    survey: Survey, against: Survey | None, issue: Issue, produced_at: datetime
) -> says.Document:
    notes = [pre_works_statement(survey)]
    if against is not None:
        said = pre_works_statement(against)
        notes.append(f"Survey {against.code}: {said[:1].lower()}{said[1:]}" if said else "")
    if survey.wall.invented:
        notes.append("Invented demo data.")
    return says.Document(
        number=issue.number,
        version=issue.version,
        state=says.ReportState.ISSUED if issue.issued else says.ReportState.DRAFT,
        kind=says.ReportKind(issue.kind),
        survey_code=survey.code,
        against_code=against.code if against else None,
        produced_at=produced_at,
        issued_on=produced_at.date() if issue.issued else None,
        supersedes=issue.supersedes,
        layout_version=survey.layout.version,
        vocabulary_version=survey.vocabulary.version,
        standing_notes=tuple(note for note in notes if note),
    )


def _work(survey: Survey) -> says.WorkOfArt:
    wall, layout = survey.wall, survey.layout
    return says.WorkOfArt(
        title=wall.title or wall.name,
        artist=wall.artist,
        made=wall.made,
        technique=wall.technique,
        place=wall.place,
        owner=wall.owner,
        inventory_number=wall.inventory_number,
        width_in=layout.width_in,
        height_in=layout.height_in,
        base_above_floor_in=wall.base_above_floor_in,
    )


def _parties(survey: Survey) -> tuple[says.Party, ...]:
    wall = survey.wall
    named = [("Owner", wall.owner), ("Insurer", wall.insurer), ("Contractor", wall.contractor)]
    return tuple(says.Party(role, name) for role, name in named if name)


def _authors(survey: Survey) -> tuple[says.Author, ...]:
    """Name everybody who observed in the survey, with the role each has on the wall."""
    names = set(survey.observations.values_list("observed_by", flat=True))
    names |= set(survey.examinations.values_list("observed_by", flat=True))
    roles = {
        str(member.account): Role(member.role).label
        for member in Membership.objects.filter(wall=survey.wall).select_related("account")
    }
    return tuple(says.Author(name, roles.get(name, "Observer")) for name in sorted(names))


def _facts(survey: Survey, terms: dict[str, says.TermEntry]) -> says.SurveyFacts:
    layout = survey.layout
    decks = ", ".join(str(deck["name"]) for deck in layout.decks)
    hides = "; ".join(f"{o['name']} ({o.get('cause') or 'hidden'})" for o in layout.obstructions)
    return says.SurveyFacts(
        code=survey.code,
        kind=survey.get_kind_display(),
        starts_on=survey.starts_on,
        ends_on=survey.ends_on,
        state=survey.get_state_display().lower(),
        access=" ".join(
            part
            for part in (f"Decks {decks}." if decks else "", f"{hides}." if hides else "")
            if part
        ),
        method=tuple(part for part in survey.method.split("\n\n") if part.strip()),
        modes=tuple(_mode(survey, mode, terms) for mode in survey.modes),
        searched_by=tuple(
            survey.examinations.order_by().values_list("observed_by", flat=True).distinct()
        ),
    )


def _mode(survey: Survey, mode: str, terms: dict[str, says.TermEntry]) -> says.ModeUsed:
    searched = [terms[code].name for code in survey.search_list.get(mode, []) if code in terms]
    return says.ModeUsed(mode, Mode(mode).label, searched_for=tuple(searched))


def _terms(survey: Survey) -> dict[str, says.TermEntry]:
    return {
        term.code: says.TermEntry(
            code=term.code,
            name=term.name,
            layer=term.layer,
            kind=term.kind,
            definition=term.definition,
            symbol=term.symbol,
            rule=term.rule_meaning,
        )
        for term in vocabulary_of(survey.vocabulary).terms
    }


def _wall_map(layout: Layout) -> says.WallMap:
    base_in = layout.wall.base_above_floor_in
    return says.WallMap(
        columns=says.bands_of(layout.grid.columns),
        rows=says.bands_of(layout.grid.rows),
        openings=_areas(layout.openings),
        zones=_areas(layout.zones),
        decks=tuple(
            says.Deck(str(deck["name"]), float(deck["level_above_floor_in"]) - base_in)
            for deck in layout.decks
        ),
    )


def _areas(parts: Iterable[dict[str, Any]]) -> tuple[says.NamedArea, ...]:
    return tuple(
        says.NamedArea(part["name"], shapely.make_valid(shapely.Polygon(part["polygon"])))
        for part in parts
    )


def _summary(survey: Survey, found: Comparison | None) -> tuple[str, ...]:
    standing = survey.observations.exclude(standing="withdrawn")
    pressing = standing.filter(urgency=3).count()
    lines = []
    if pressing:
        lines.append(f"{pressing} item{'s ask' if pressing > 1 else ' asks'} for action now.")
    if found is not None:
        changed = sum(
            item.finding in {"new", "grown", "progressed", "split", "merged"}
            for item in found.items
        )
        lines.append(
            f"{changed} of {len(found.items)} items compared with {found.before} are new, grown "
            "or progressed beyond what drawing explains."
        )
        if found.queries:
            lines.append(f"{len(found.queries)} contradictions in the record are put as queries.")
    lines.append(f"{standing.count()} items stand in survey {survey.code}.")
    return tuple(lines)


def _signatures(survey: Survey) -> tuple[says.SignatureField, ...]:
    lead = (
        Membership.objects.filter(wall=survey.wall, role=Role.LEAD)
        .select_related("account")
        .order_by("account__username")
        .first()
    )
    return (
        says.SignatureField(
            role="Lead conservator",
            name=str(lead.account) if lead else "",
            statement="The survey was made as this report says.",
        ),
        says.SignatureField(role="Owner", organisation=survey.wall.owner),
        says.SignatureField(
            role="Contractor",
            organisation=survey.wall.contractor,
            statement="Attended, signed, refused, or with reservations by cell.",
            takes_reservations=True,
        ),
    )
