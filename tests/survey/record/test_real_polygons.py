"""Do import and comparison give the right areas on outlines that did not come from us?

About 1,500 counties of the USA stand as damage on a wall of 160 ft by 88 ft, seen in part by both
surveys and changed between them by known amounts. They enter and leave by the public commands
alone; every expected area is computed by plain shapely in `tests.support.county_surveys`.

source of the outlines: U.S. Census Bureau, cartographic boundary files, 2017 edition (public
domain), in the npm package us-atlas 3.0.1 (ISC licence).
"""

import io
import json
from types import SimpleNamespace

import pytest
import shapely
from django.core.management import call_command
from django.db import transaction

from survey.ledger.models import Entry
from survey.record.models import Examination, Observation
from tests.support import county_surveys as known
from tests.support.counties import HEIGHT_IN, WIDTH_IN

pytestmark = [pytest.mark.database]

WALL = {
    "wall": "county-wall",
    "name": "Wall of counties",
    "width": "160 ft",
    "height": "88 ft",
    "grid": {
        "columns": {"spacing": "4 ft", "names": "numbers", "from": "right"},
        "rows": {"spacing": "4 ft", "names": "letters", "from": "top"},
    },
    "openings": [{"name": "window", "polygon": known.OPENING}],
    "decks": [{"name": "1", "level_above_floor": 0}, {"name": "2", "level_above_floor": 500.5}],
}
RELATIVE = 1e-9
CELL_SQ_IN = 1e-8


@pytest.fixture(scope="module")
def edited():
    """The outlines of both surveys; skips, or fails in CI, without the package."""
    return known.edited_counties()


@pytest.fixture(scope="module")
def told(edited, tmp_path_factory, django_db_setup, django_db_blocker):
    """Run the commands once, keep what they printed, and take the rows back."""
    folder = tmp_path_factory.mktemp("county-wall")
    with django_db_blocker.unblock(), transaction.atomic():
        found = run_commands(edited, folder)
        transaction.set_rollback(True)
    return found


def run_commands(edited, folder):
    write(folder / "wall.json", WALL)
    write(folder / "before.json", outlines(edited, edited.before))
    write(folder / "after.json", outlines(edited, edited.after, continues=edited.before))
    write(folder / "seen-before.json", coverage(known.SEEN_BEFORE))
    write(folder / "seen-after.json", coverage(known.SEEN_AFTER))

    def run(command, *words):
        out = io.StringIO()
        call_command(command, *map(str, words), stdout=out)
        return out.getvalue()

    def take(name, survey, day, *more):
        return run(
            "import_outlines", folder / name, "--wall", "county-wall",
            "--survey", survey, "--date", day, *more,
        )  # fmt: skip

    run("import_wall", folder / "wall.json")
    take(
        "before.json", "B1", "2026-03-02", "--kind", "baseline",
        "--coverage", folder / "seen-before.json",
    )  # fmt: skip
    second = ("after.json", "P1", "2026-06-15", "--coverage", folder / "seen-after.json")
    take(*second)
    rows = row_counts()
    said_again = take(*second)
    rows_again = row_counts()
    take("after.json", "X1", "2026-07-01")  # nobody says what X1 saw
    pair = ("B1", "P1", "--wall", "county-wall")
    return SimpleNamespace(
        compared=json.loads(
            run("compare", *pair, "--json", "--tolerance", f"{known.TOLERANCE_IN} in")
        ),
        table=run("compare", *pair, "--by", "cell"),
        rows=rows,
        rows_again=rows_again,
        said_again=said_again,
        unseen=json.loads(run("compare", "B1", "X1", "--wall", "county-wall", "--json")),
    )


def write(path, value):
    path.write_text(json.dumps(value), encoding="utf-8")


def outlines(edited, side, continues=()):
    """Return the file of one survey's outlines, in wall inches."""
    features = []
    for name, shape in side.items():
        properties = {"term": known.WORDS[edited.term[name]], "item": name}
        if name in continues:
            properties["continues"] = name
        geometry = shapely.geometry.mapping(shape)
        features.append({"type": "Feature", "geometry": geometry, "properties": properties})
    return {"type": "FeatureCollection", "frame": "wall-inches", "features": features}


def coverage(parts):
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
            "properties": {"mode": mode, "state": state, "cause": "deck boards"},
        }
        for mode, state, ring in parts
    ]
    return {"type": "FeatureCollection", "frame": "wall-inches", "features": features}


def row_counts():
    return {model.__name__: model.objects.count() for model in (Entry, Observation, Examination)}


def test_the_outlines_are_more_than_a_thousand_with_holes_and_every_kind_of_edit(edited):
    parts = [part for shape in edited.after.values() for part in shapely.get_parts(shape)]

    assert len(edited.before) > 1_300
    assert len(edited.after) > 1_300
    assert sum(len(part.interiors) > 0 for part in parts) > 50
    assert {"kept", *known.EDITS} == set(edited.edit.values())


@pytest.mark.parametrize("term", known.TERMS)
def test_areas_of_a_term_on_the_wall_are_those_of_plain_shapely(told, edited, term):
    row = next(row for row in told.compared["terms"] if row["term"] == term)

    expected = known.sizes(edited, term)

    assert {key: row[key] for key in expected} == pytest.approx(expected, rel=RELATIVE)
    assert all(expected.values())
    assert row["compared_sq_in"] == pytest.approx(
        known.compared_region(known.MODE[term]).area, rel=RELATIVE
    )


@pytest.mark.parametrize("term", known.TERMS)
def test_areas_in_each_cell_are_those_cut_by_brute_force(told, edited, term):
    rows = {row["cell"]: row for row in told.compared["cells"] if row["term"] == term}

    expected = known.sizes_by_cell(edited, term)

    nothing = dict.fromkeys(next(iter(expected.values())), 0.0)
    for label, sizes in expected.items():
        row = rows.get(label, nothing)
        assert {key: row[key] for key in sizes} == pytest.approx(sizes, abs=CELL_SQ_IN, rel=0), (
            label
        )
    assert set(rows) <= set(expected)


@pytest.mark.parametrize("term", known.TERMS)
def test_decks_share_out_a_term_at_the_height_of_their_boards(told, edited, term):
    rows = {row["deck"]: row for row in told.compared["decks"] if row["term"] == term}
    before, after, *_ = known.areas_of_term(edited, term)
    upper = shapely.box(0, 500.5, WIDTH_IN, HEIGHT_IN)

    expected = {"2": (before & upper).area, "1": (before - upper).area}

    assert {deck: rows[deck]["before_sq_in"] for deck in rows} == pytest.approx(
        expected, rel=RELATIVE
    )
    assert sum(row["after_sq_in"] for row in rows.values()) == pytest.approx(
        after.area, rel=RELATIVE
    )


def test_what_was_compared_is_what_both_surveys_saw_of_the_painted_wall(told):
    compared = known.compared_anywhere().area
    painted = WIDTH_IN * HEIGHT_IN - shapely.Polygon(known.OPENING).area

    assert told.compared["compared_sq_in"] == pytest.approx(compared, rel=RELATIVE)
    assert told.compared["not_compared_sq_in"] == pytest.approx(painted - compared, rel=RELATIVE)


def test_each_item_has_the_size_of_its_outline_in_the_compared_part(told, edited):
    items = {row["item"]: row for row in told.compared["items"]}
    regions = {mode: known.compared_region(mode) for mode in ("normal", "raking")}
    whole = [
        name
        for name in edited.before.keys() & edited.after.keys()
        if items[name]["finding"] in ("no change shown", "grown", "drawn smaller")
    ]

    for name in whole:
        region = regions[known.MODE[edited.term[name]]]
        row = items[name]
        assert row["before_sq_in"] == pytest.approx((edited.before[name] & region).area, rel=1e-7)
        assert row["after_sq_in"] == pytest.approx((edited.after[name] & region).area, rel=1e-7)
    assert len(whole) > 600


def test_what_was_done_to_an_outline_is_what_is_found(told, edited):
    found = {row["item"]: row["finding"] for row in told.compared["items"]}
    shown = {mode: known.compared_region(mode) for mode in ("normal", "raking")}
    inside = {
        name
        for name, term in edited.term.items()
        if all(
            shown[known.MODE[term]].contains(side[name])
            for side in (edited.before, edited.after)
            if name in side
        )
    }
    by_edit = {
        edit: {found[name] for name in inside if edited.edit[name] == edit}
        for edit in set(edited.edit.values())
    }

    assert by_edit["kept"] == {"no change shown"}
    assert by_edit["cut"] <= {"drawn smaller", "progressed"}
    assert "drawn smaller" in by_edit["cut"]
    assert by_edit["added"] <= {"new", "progressed"}
    assert "new" in by_edit["added"]
    assert "not found" in by_edit["dropped"]
    assert "grown" in by_edit["grown"]
    assert not {"grown", "drawn smaller"} & by_edit["dropped"]


def test_the_table_for_people_names_cells(told):
    assert "A01" not in told.table.splitlines()[0]
    assert any(line.split()[:2] == ["K20", "paint-loss"] for line in told.table.splitlines())


def test_the_same_files_twice_change_nothing(told, edited):
    assert told.rows_again == told.rows
    assert f"0 outlines imported, {len(edited.after)} were there already" in told.said_again
    assert "0 examinations of cells imported" in told.said_again


def test_without_coverage_everything_is_not_comparable(told):
    painted = WIDTH_IN * HEIGHT_IN - shapely.Polygon(known.OPENING).area
    unseen = told.unseen

    assert unseen["compared_sq_in"] == 0
    assert unseen["not_compared_sq_in"] == pytest.approx(painted, rel=RELATIVE)
    assert all(row[key] == 0 for row in unseen["terms"] for key in row if key.endswith("_sq_in"))
    assert unseen["cells"] == []
    assert {row["finding"] for row in unseen["items"]} == {"not comparable"}
    assert unseen["tested"] == 0
