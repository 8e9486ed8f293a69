"""Compare two surveys of a wall: what changed, how sure, and what could not be compared."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from gridmap.errors import InvalidInput, PontataError
from gridmap.lengths import SQ_IN_PER_SQ_FT, format_feet_inches_plain
from survey.compare.model import Comparison, SizeRow
from survey.compare.reading_order import changed_first
from survey.compare.selectors import comparison
from survey.compare.tolerance import read_tolerance_in
from survey.record.selectors import survey_of_wall
from survey.walls.choice import the_wall


class Command(BaseCommand):
    help = (
        "Compare two surveys. Only what both saw in a mode that the term needs is compared; "
        "the rest is named as not compared."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("before", metavar="BEFORE", help="code of the earlier survey")
        parser.add_argument("after", metavar="AFTER", help="code of the later survey")
        parser.add_argument("--tolerance", default="0", help="drawing tolerance, such as '1/4 in'")
        parser.add_argument("--by", choices=["term", "zone", "deck", "cell"], default="term")
        parser.add_argument("--json", action="store_true", help="print everything as JSON")
        parser.add_argument("--wall", metavar="NAME", help="the wall, where there are several")

    def handle(self, *, before: str, after: str, **options: Any) -> None:
        try:
            wall = the_wall(options["wall"])
            tolerance_in = read_tolerance_in(options["tolerance"])
            first, second = survey_of_wall(wall, before), survey_of_wall(wall, after)
            if first.pk == second.pk:
                raise InvalidInput(f"BEFORE and AFTER are both {before}; name two surveys.")
            found = comparison(first, second, tolerance_in=tolerance_in)
        except PontataError as error:
            raise CommandError(error.message) from error
        if options["json"]:
            self.stdout.write(json.dumps(found.to_json(), indent=1, ensure_ascii=False))
        else:
            self._tell(found, options["by"])

    def _tell(self, found: Comparison, by: str) -> None:
        self.stdout.write(
            f"{found.before} to {found.after}: {found.compared_sq_in / SQ_IN_PER_SQ_FT:.1f} sq ft "
            f"compared, {found.not_compared_sq_in / SQ_IN_PER_SQ_FT:.1f} sq ft not; drawing "
            f"tolerance {format_feet_inches_plain(found.tolerance_in)}."
        )
        for line in _table(self._rows(found, by), by):
            self.stdout.write(line)
        for item in changed_first(found.items):
            growth = item.growth
            sure = (
                f", p {growth.p_adjusted:.3g} after control" if growth and growth.p_adjusted else ""
            )
            self.stdout.write(f"  {item.item} {item.term}: {item.finding}{sure}")
        for query in found.queries:
            self.stdout.write(f"  Query {query.item}, rule {query.rule}: {query.message}")
        self.stdout.write(
            f"{found.tested} items tested; false-discovery rate held at "
            f"{found.false_discovery_rate:.0%}."
        )

    @staticmethod
    def _rows(found: Comparison, by: str) -> tuple[SizeRow, ...]:
        rows = {"term": found.terms, "zone": found.zones, "deck": found.decks, "cell": found.cells}
        return rows[by]


def _table(rows: tuple[SizeRow, ...], by: str) -> list[str]:
    head = "" if by == "term" else f"{by.capitalize():<12}"
    lines = [f"{head}{'Term':<32}{'before':>12}{'after':>12}{'added':>12}{'removed':>12}  unit"]
    units = {"area": "sq in", "line": "in", "point": "count"}
    for row in rows:
        place = "" if by == "term" else f"{row.place:<12}"
        for kind, sizes in row.sizes.items():
            numbers = (sizes.before, sizes.after, sizes.added, sizes.removed)
            figures = "".join(f"{number:>12.2f}" for number in numbers)
            lines.append(f"{place}{row.term:<32}{figures}  {units[kind]}")
    return lines if rows else ["Nothing is drawn in the part that was compared."]
