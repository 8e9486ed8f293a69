"""Does a person describe a wall through the pages, and keep what was typed when something is off?"""

import pytest
import shapely

from gridmap.models import Wall
from survey.people.models import Role
from tests.support.factories import make_account, make_member, make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

ROWS = {
    f"{prefix}-{key}": value
    for prefix in ("decks", "openings", "zones", "obstructions")
    for key, value in {"TOTAL_FORMS": "1", "INITIAL_FORMS": "0"}.items()
}
TYPED = {
    "name": "North wall",
    "slug": "north",
    "base_above_floor": "8 ft",
    "title": "The Harvest Train",
    "width": "96 ft",
    "height": "16 ft",
    "column_kind": "equal",
    "column_spacing": "2 ft",
    "column_names": "numbers",
    "column_from": "left",
    "row_kind": "equal",
    "row_spacing": "2 ft",
    "row_names": "letters",
    "row_from": "top",
    **ROWS,
}


def typed_row(prefix, place, **fields):
    return {f"{prefix}-{place}-{name}": value for name, value in fields.items()}


@pytest.fixture
def ines(client):
    account = make_account("ines", display_name="Ines Fallow")
    client.force_login(account)
    return account


def test_the_start_page_of_a_newcomer_offers_to_describe_a_wall(client, ines):
    page = client.get("/").content.decode()

    assert 'href="/walls/new/"' in page
    assert "There is none yet" in page


def test_the_start_page_lists_my_walls_alone_with_what_needs_me(client, ines):
    make_wall(wall="mine", name="My wall", lead=ines)
    make_wall(wall="theirs", name="Their wall", lead=make_account())

    page = client.get("/").content.decode()

    assert "My wall" in page and "Their wall" not in page
    assert "Open the first survey" in page
    assert 'class="wall-strip"' in page


def test_a_reader_is_not_asked_to_do_what_only_others_may(client):
    client.force_login(make_member(make_wall(lead=make_account()), Role.READER))

    page = client.get("/").content.decode()

    assert "Nothing waits for you here" in page
    assert "Open the first survey" not in page


def test_whoever_describes_a_wall_becomes_its_lead(client, ines):
    answer = client.post("/walls/new/", TYPED, follow=True)

    wall = Wall.objects.get(slug="north")
    assert wall.memberships.get().account == ines
    assert wall.memberships.get().role == Role.LEAD
    assert wall.title == "The Harvest Train"
    # source: plain arithmetic, 96 / 2 = 48, 16 / 2 = 8, 48 * 8 = 384, 96 * 16 = 1,536
    assert "48 columns, 8 rows, 384 cells, 1,536" in answer.content.decode()


def test_cells_of_2_ft_6_in_leave_part_cells_of_1_ft_on_the_page(client, ines):
    typed = {**TYPED, "column_spacing": "2' 6\"", "row_spacing": "2-6"}

    drawing = client.post("/walls/new/preview/", typed).content.decode()

    # source: plain arithmetic, 38 * 2.5 ft = 95 ft and 6 * 2.5 ft = 15 ft: 1 ft is left each way
    assert "39 columns, 7 rows" in drawing
    assert "last column 39 1′" in drawing and "last row G 1′" in drawing
    assert not Wall.objects.exists()


def test_the_drawing_says_what_it_waits_for(client, ines):
    drawing = client.post("/walls/new/preview/", {**TYPED, "width": "96 fx"}).content.decode()

    assert "96 fx" in drawing and "<svg" not in drawing


def test_a_short_name_left_empty_is_made_from_the_name(client, ines):
    client.post("/walls/new/", {**TYPED, "slug": "", "name": "Booking Hall, East"})

    assert Wall.objects.get().slug == "booking-hall-east"


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("width", "", "is empty"),
        ("width", "96 fx", "96 fx"),
        ("width", "2000 ft", "1,000 ft"),
        ("height", "16 m", "metric"),
        ("slug", "North Wall", "North Wall"),
        ("column_spacing", "", "Say how large a cell is"),
        ("column_spacing", '1/4"', "limit"),
        ("base_above_floor", "-1 ft", "below the limit"),
        ("row_from", "left", "choose one that is offered"),
    ],
)
def test_a_bad_field_is_named_and_never_loses_the_rest(client, ines, field, value, said):
    zone = typed_row("zones", 0, name="river", shape="rectangle", x="0", y="0", w="9 ft", h="3 ft")

    answer = client.post("/walls/new/", {**TYPED, **zone, field: value})

    page = answer.content.decode()
    assert answer.status_code == 400
    assert said in page
    assert 'value="The Harvest Train"' in page and 'value="river"' in page
    assert not Wall.objects.exists()


def test_a_taken_short_name_is_said_beside_its_field(client, ines):
    make_wall(wall="north")

    answer = client.post("/walls/new/", TYPED)

    assert answer.status_code == 400
    assert "There is a wall &#x27;north&#x27; already" in answer.content.decode()


def test_shapes_are_typed_without_drawing_software(client, ines):
    typed = {
        **TYPED,
        "openings-TOTAL_FORMS": "2",
        **typed_row("openings", 0, name="clock", shape="circle", x="42 ft", y="10' 6\"", w="3 ft"),
        **typed_row("openings", 1, name="door", shape="arch", x="63 ft", y="0", w="6 ft", h="18"),
        **typed_row("zones", 0, name="river", shape="points", points="0, 0\n9 ft, 0\n9 ft, 3 ft"),
        **typed_row("decks", 0, name="1", level_above_floor="7 ft"),
        **typed_row(
            "obstructions", 0, name="boards", shape="rectangle", x="0", y="5' 6\"", w="96 ft",
            h="1 ft", cause="deck 2's boards", mode="", first_day="2026-02-20",
        ),
    }  # fmt: skip

    client.post("/walls/new/", typed)

    layout = Wall.objects.get(slug="north").layout
    clock, door = (shapely.Polygon(part["polygon"]) for part in layout.openings)
    assert clock.bounds == (486.0, 108.0, 522.0, 144.0)
    assert door.bounds == (720.0, 0.0, 792.0, 18.0)
    assert shapely.Polygon(layout.zones[0]["polygon"]).area == 108 * 36 / 2
    assert layout.decks == [{"name": "1", "level_above_floor_in": 84.0}]
    boards = layout.obstructions[0]
    assert shapely.Polygon(boards["polygon"]).bounds == (0.0, 66.0, 1152.0, 78.0)
    assert (boards["cause"], boards["mode"], boards["from"]) == (
        "deck 2's boards",
        None,
        "2026-02-20",
    )


def test_unequal_lines_are_typed_and_both_ends_added(client, ines):
    typed = {**TYPED, "column_kind": "lines", "column_lines": "2 ft, 4' 1 1/2\"; 90 ft"}

    client.post("/walls/new/", typed)

    grid = Wall.objects.get(slug="north").layout.grid
    assert grid.columns.lines_in == (0.0, 24.0, 49.5, 1080.0, 1152.0)


def test_lines_out_of_order_are_refused_beside_their_field(client, ines):
    typed = {**TYPED, "column_kind": "lines", "column_lines": "4 ft, 2 ft"}

    answer = client.post("/walls/new/", typed)

    assert answer.status_code == 400
    assert "24.0 in follows 48.0 in" in answer.content.decode()


def test_a_shape_beyond_the_wall_is_refused_in_its_row(client, ines):
    zone = typed_row(
        "zones", 0, name="sky", shape="rectangle", x="99 ft", y="0", w="9 ft", h="3 ft"
    )

    answer = client.post("/walls/new/", {**TYPED, **zone})

    assert answer.status_code == 400
    assert "beyond the wall" in answer.content.decode()


def test_another_row_is_had_without_scripts_and_keeps_what_was_typed(client, ines):
    zone = typed_row("zones", 0, name="river", shape="rectangle", x="0 ft")

    page = client.post("/walls/new/", {**TYPED, **zone, "another": "zones"}).content.decode()

    assert 'name="zones-1-name"' in page
    assert 'value="river"' in page
    assert not Wall.objects.exists()


def test_a_change_of_layout_makes_a_version_and_leaves_surveys_theirs(client, ines):
    wall = make_wall(lead=ines)
    survey = make_survey(wall)
    page = client.get(f"/walls/{wall.slug}/set-up/layout/").content.decode()
    assert 'value="24&#x27; 0&quot;"' in page

    client.post(
        f"/walls/{wall.slug}/set-up/layout/",
        {
            **TYPED,
            "seen_version": "1",
            **typed_row("decks", 0, name="3", level_above_floor="21 ft"),
        },
    )

    assert [row.version for row in wall.layouts.all()] == [1, 2]
    survey.refresh_from_db()
    assert survey.layout.version == 1
    assert Wall.objects.get(pk=wall.pk).layout.decks[0]["name"] == "3"


def test_what_is_kept_is_typed_back_to_the_same_layout(client, ines):
    circle = typed_row(
        "openings", 0, name="clock", shape="circle", x="42 ft", y="10' 6\"", w="3 ft"
    )
    client.post("/walls/new/", {**TYPED, **circle, "row_spacing": "2' 6\"", "row_from": "top"})
    first = Wall.objects.get(slug="north").layout
    shown = client.get("/walls/north/set-up/layout/").context["forms"]

    typed_again = {"seen_version": "1"}
    for form in [shown.grid, *(f for rows in shown.rows.values() for f in rows)]:
        for field in form:
            typed_again[field.html_name] = field.value() or ""
    for rows in shown.rows.values():
        typed_again[f"{rows.prefix}-TOTAL_FORMS"] = rows.total_form_count()
        typed_again[f"{rows.prefix}-INITIAL_FORMS"] = 0
    client.post("/walls/north/set-up/layout/", typed_again)

    second = Wall.objects.get(slug="north").layout
    assert second.version == 2
    assert (second.grid_json, second.openings) == (first.grid_json, first.openings)


def test_a_layout_changed_by_another_meanwhile_is_not_overwritten(client, ines):
    wall = make_wall(lead=ines)
    address = f"/walls/{wall.slug}/set-up/layout/"
    client.post(address, {**TYPED, "seen_version": "1"})

    answer = client.post(address, {**TYPED, "seen_version": "1", "width": "97 ft"})

    assert answer.status_code == 400
    assert "Somebody made version 2" in answer.content.decode()
    assert wall.layouts.count() == 2


def test_the_height_above_the_floor_is_fixed_once_there_are_surveys(client, ines):
    wall = make_wall(lead=ines)
    make_survey(wall)
    address = f"/walls/{wall.slug}/set-up/identity/"

    answer = client.post(address, {"name": "Another name", "base_above_floor": "9 ft"})

    wall.refresh_from_db()
    assert answer.status_code == 400
    assert "can no longer change" in answer.content.decode()
    assert (wall.name, wall.base_above_floor_in) == ("Booking hall, north wall", 96.0)


def test_the_identity_is_changed_as_typed(client, ines):
    wall = make_wall(lead=ines)

    client.post(
        f"/walls/{wall.slug}/set-up/identity/",
        {"name": "North", "base_above_floor": "8 ft", "insurer": "Marrowby Mutual Fire Office"},
    )

    wall.refresh_from_db()
    assert (wall.name, wall.insurer) == ("North", "Marrowby Mutual Fire Office")
