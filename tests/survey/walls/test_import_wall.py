"""Does the command make the wall that a file describes, and nothing from a bad one?"""

import io
import json

import pytest
from django.core.management import CommandError, call_command

from gridmap.models import Layout, Wall
from survey.ledger.models import Logbook
from tests.support.factories import make_account, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

# The file of the design's page on public commands, key for key.
NORTH = {
    "wall": "north",
    "name": "North wall",
    "width": "84 ft",
    "height": "14 ft",
    "base_above_floor": "8 ft",
    "grid": {
        "columns": {"spacing": "2 ft", "names": "numbers", "from": "left"},
        "rows": {"spacing": "2 ft", "names": "letters", "from": "top"},
    },
    "openings": [
        {"name": "clock", "polygon": [["40' 6\"", "9 ft"], ["43' 6\"", "9 ft"], [522, 144]]}
    ],
    "zones": [{"name": "river", "polygon": [[0, 0], ["20 ft", 0], ["20 ft", "3 ft"]]}],
    "decks": [{"name": "1", "level_above_floor": "7 ft"}],
}


@pytest.fixture
def described(tmp_path):
    def write(description=NORTH, **changes):
        path = tmp_path / "north.json"
        path.write_text(
            description if isinstance(description, str) else json.dumps({**description, **changes})
        )
        return str(path)

    return write


def run(*arguments, **options):
    output = io.StringIO()
    call_command("import_wall", *arguments, stdout=output, **options)
    return output.getvalue()


def refusal(*arguments, **options):
    with pytest.raises(CommandError) as caught:
        run(*arguments, **options)
    assert caught.value.returncode == 1
    assert not Layout.objects.exists() and not Wall.objects.exists()
    assert not Logbook.objects.exists()
    return str(caught.value)


def test_the_described_wall_is_made_and_said(described):
    printed = run(described())

    layout = Wall.objects.get(slug="north").layout
    assert (layout.width_in, layout.height_in) == (1008.0, 168.0)
    assert layout.wall.base_above_floor_in == 96.0
    assert layout.openings[0]["name"] == "clock"
    assert layout.openings[0]["polygon"][:3] == [[486, 108], [522, 108], [522, 144]]
    assert layout.zones[0]["name"] == "river"
    assert layout.decks == [{"name": "1", "level_above_floor_in": 84.0}]
    # source: plain arithmetic, 84 ft / 2 ft = 42, 14 ft / 2 ft = 7, 42 * 7 = 294, 84 * 14 = 1,176
    assert "42 columns, 7 rows, 294 cells, 1,176" in printed


def test_a_wall_of_96_ft_by_16_ft_has_384_whole_cells_of_2_ft(described):
    printed = json.loads(run(described(width="96 ft", height="16 ft", openings=[]), json=True))

    # source: plain arithmetic, 96 / 2 = 48, 16 / 2 = 8, 48 * 8 = 384, 96 * 16 = 1,536
    assert (printed["columns"], printed["rows"], printed["cells"]) == (48, 8, 384)
    assert printed["area_sq_in"] == 1536 * 144
    assert printed["part_cells"] == []


def test_cells_of_2_ft_6_in_leave_a_last_column_and_row_of_1_ft(described):
    grid = {
        "columns": {"spacing": "2' 6\"", "names": "numbers", "from": "left"},
        "rows": {"spacing": "2 ft 6 in", "names": "letters", "from": "top"},
    }

    printed = run(described(width="96 ft", height="16 ft", openings=[], grid=grid))

    # source: plain arithmetic, 38 * 2.5 ft = 95 ft and 6 * 2.5 ft = 15 ft: 1 ft is left each way
    assert "39 columns, 7 rows, 273 cells" in printed
    layout = Wall.objects.get(slug="north").layout
    assert layout.grid.columns.lines_in[-2:] == (95 * 12.0, 96 * 12.0)
    assert layout.grid.rows.lines_in[:2] == (0.0, 12.0)  # counted from the top
    assert "last column 39 1′" in printed and "last row G 1′" in printed


def test_the_only_account_becomes_the_lead(described):
    make_account("ines", display_name="Ines Fallow")

    assert "Lead conservator: Ines Fallow." in run(described())


def test_among_several_accounts_none_is_guessed_and_the_way_is_told(described):
    make_account("ines")
    make_account("tomas")

    assert "give_role north ACCOUNT lead" in run(described())
    assert not Wall.objects.get(slug="north").memberships.exists()


def test_a_named_lead_is_taken(described):
    make_account("ines")
    make_account("tomas", display_name="Tomas Sedge")

    assert "Lead conservator: Tomas Sedge." in run(described(), lead="tomas")


def test_an_unknown_lead_makes_nothing(described):
    assert "'nobody'" in refusal(described(), lead="nobody")


def test_a_taken_short_name_is_refused_with_the_way_out(described):
    make_wall(wall="north")

    with pytest.raises(CommandError, match="--new-version"):
        run(described())

    assert Layout.objects.count() == 1


def test_a_new_version_stands_beside_the_old_one(described):
    wall = make_wall(wall="north")

    run(described(), new_version=True)

    assert list(wall.layouts.values_list("version", "width_in")) == [(1, 288.0), (2, 1008.0)]


def test_a_new_version_of_no_wall_is_refused(described):
    assert "'north'" in refusal(described(), new_version=True)


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"width": "84 fx"}, "84 fx"),
        ({"width": None}, "width is missing"),
        ({"height": "-2 ft"}, "height"),
        ({"width": "4000 ft"}, "1,000 ft"),
        ({"wall": "North Wall"}, "North Wall"),
        ({"wall": "new"}, "keeps for its own pages"),
        ({"colour": "red"}, "colour"),
        ({"grid": {"columns": {"spacing": "2 ft", "names": "numbers", "from": "up"}}}, "grid"),
        ({"zones": [{"name": "sky"}]}, "zones[0].polygon"),
        ({"zones": [{"name": "sky", "polygon": [[0, 0], [5, 5], [9, 9]]}]}, "no area"),
        ({"decks": [{"name": "1"}]}, "decks[0].level_above_floor"),
        (
            {"obstructions": [{"name": "b", "polygon": [[0, 0], [9, 0], [9, 9]], "mode": "x"}]},
            "'x'",
        ),
        (
            {"obstructions": [{"name": "b", "polygon": [[0, 0], [9, 0], [9, 9]], "from": "soon"}]},
            "'soon'",
        ),
    ],
)
def test_a_bad_value_is_named_and_nothing_is_made(described, changes, named):
    assert named in refusal(described(**changes))


@pytest.mark.parametrize(
    ("text", "named"),
    [("[1, 2]", "one JSON object"), ("{", "line 1, column 2"), ('{"width": NaN}', "NaN")],
)
def test_what_is_no_description_makes_nothing(described, text, named):
    assert named in refusal(described(text))


def test_a_missing_file_makes_nothing(tmp_path):
    assert "There is no file" in refusal(str(tmp_path / "none.json"))
