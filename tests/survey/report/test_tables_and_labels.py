"""Do tables lose no row over pages, and labels never cover one another?"""

from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas

from survey.report.fonts import load_typeface
from survey.report.layout.ink import Press
from survey.report.layout.labels import LabelBoard
from survey.report.layout.ledger_table import Column, GroupHead, LedgerTable, Row

COLUMNS = (Column("Item", 1), Column("Cells", 2), Column("Size, sq in", 1, align="right"))


def press() -> Press:
    return Press(Canvas("/dev/null"), load_typeface())


def titles_and_cells(table: LedgerTable) -> list[str]:
    table.wrap(300, 700)
    return [
        row.title if row.title is not None else " ".join(row.cells[0] or [])
        for row in table._set or ()
    ]


rows = st.lists(
    st.one_of(
        st.builds(
            lambda n, t: (f"L{n}", t, "1.0"), st.integers(0, 99), st.text("ab \n", max_size=99)
        ),
        st.builds(GroupHead, st.sampled_from(("Areas", "Lines"))),
    ),
    min_size=1,
    max_size=40,
)


@given(rows, st.floats(120, 700))
def test_a_table_split_over_pages_keeps_every_row_in_order(some: list[Row], room: float) -> None:
    whole = LedgerTable(press(), COLUMNS, some)
    expected = titles_and_cells(whole)

    found, left = [], whole
    for _ in range(200):
        left.wrap(300, room)
        if left.height <= room:
            found += titles_and_cells(left)
            break
        first, *rest = left.split(300, room) or left.split(300, 700)
        found += titles_and_cells(first)
        if not rest:
            break
        (left,) = rest

    assert found == expected


@given(rows, st.floats(60, 700))
def test_no_part_is_taller_than_its_room_and_no_group_head_ends_a_page(
    some: list[Row], room: float
) -> None:
    table = LedgerTable(press(), COLUMNS, some)
    table.wrap(300, room)

    parts = table.split(300, room)

    for part in parts[:1]:
        assert part.wrap(300, room)[1] <= room
    if len(parts) == 2:
        assert (parts[0]._set or ())[-1].title is None


@given(st.lists(st.tuples(st.floats(0, 200), st.floats(0, 100)), max_size=60))
def test_placed_labels_never_overlap_and_stay_within(spots: list[tuple[float, float]]) -> None:
    board = LabelBoard(0, 0, 200, 100)
    placed = []
    for x, y in spots:
        at = board.place_near(x, y, width=24, height=7)
        if at is not None:
            placed.append(at)

    for number, (x, y) in enumerate(placed):
        assert 12 <= x <= 188 and 3.5 <= y <= 96.5
        for u, v in placed[:number]:
            assert abs(x - u) >= 24 - 1e-9 or abs(y - v) >= 7 - 1e-9
