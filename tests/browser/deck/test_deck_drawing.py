"""Does drawing on the deck tell pen, palm and finger apart, and keep every point over a dead battery?"""

import pytest
from playwright.sync_api import expect

from tests.browser.deck.drawing_steps import (
    AROUND,
    SLOWER_THAN_A_BOUNCE_MS,
    Hand,
    begin,
    entries,
    grow,
    outline_under_pen,
    pixel_of,
    points,
    view,
    wait_until_saved,
    wait_until_still,
)
from tests.support.deck_page import DECK, READY, open_deck, prepare
from tests.support.switched_server import SwitchedServer, copy_of
from tests.support.tablet import Tablet

pytestmark = pytest.mark.browser

STROKE = tuple((x, 40 - (x * x) // 80) for x in range(-60, 61, 6))


@pytest.fixture(scope="module")
def prepared(playwright, chromium_path, demo_server, tmp_path_factory):
    """A tablet that was prepared below; the server is off from then on."""
    folder = tmp_path_factory.mktemp("drawing")
    server = SwitchedServer(copy_of(demo_server.data_folder, folder / "server"))
    server.switch_on()
    (folder / "tablet").mkdir()
    held = Tablet(playwright=playwright, chromium_path=chromium_path, profile=folder / "tablet")
    try:
        page = held.switch_on()
        prepare(page, server.url, name="Deck 1")
        held.url = server.url
        page.evaluate("navigator.serviceWorker.ready")
        page.reload()
        page.wait_for_selector(READY)
    finally:
        server.switch_off()
    yield held
    held.pull_the_plug()


@pytest.fixture
def page(prepared):
    """The deck page as a person finds it who begins: nothing under the pen, fingers draw."""
    page = prepared.context.pages[-1]
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.evaluate(f"{DECK}.pen.putAside()")
    page.evaluate(
        f"{DECK}.drafts.others().then((rows) => {DECK}.drafts.forget(rows.map((row) => row.id)))"
    )
    page.evaluate(f"{DECK}.store.set({{penSeen: false, freehand: false}})")
    begin(page)
    yield page
    assert not errors, f"uncaught errors in the page: {errors}"


@pytest.fixture
def hand(page):
    return Hand(page)


def test_five_taps_and_one_control_put_an_area_down(page, hand):
    before = len(entries(page))

    hand.tap(*AROUND)
    page.get_by_role("button", name="Put down outline").click()

    expect(page.locator("#deck-said")).to_contain_text("put down: paint loss")
    expect(page.locator("#deck-saved")).to_have_text("Saved on this tablet")
    kept = entries(page)
    assert len(kept) == before + 1
    assert len(kept[-1]["body"]["geometry"]["coordinates"][0]) == len(AROUND) + 1
    assert page.evaluate(f"{DECK}.drafts.others()") == []


def test_a_palm_just_before_the_pen_leaves_no_point(page, hand):
    hand.tap(AROUND[0])

    hand.touch("touchStart", (30, 100))
    hand.touch("touchEnd")
    hand.pen_down((0, 0), (20, 10))
    hand.pen_up((0, 0))

    # The first tap, and the two ends of the stroke that went out and back.
    sketch = outline_under_pen(page)["shape"]["sketch"]
    assert len(sketch) <= 1 + len([(0, 0), (20, 10), (0, 0)])
    assert outline_under_pen(page)["done"] == 2
    assert outline_under_pen(page)["undone"] == 0


def test_a_finger_well_before_the_pen_drew_what_it_drew(page, hand):
    hand.tap(AROUND[0], AROUND[1])

    hand.pen_down(*STROKE)
    hand.pen_up(STROKE[-1])

    assert outline_under_pen(page)["done"] == 3


def test_a_palm_beside_the_pen_reaches_nothing(page, hand):
    before = view(page)

    hand.pen_down(*STROKE[:10])
    hand.touch("touchStart", (200, 150))
    hand.touch("touchMove", (140, 100))
    hand.touch("touchEnd")
    hand.pen_on(*STROKE[10:])
    hand.pen_up(STROKE[-1])

    assert view(page) == before
    assert outline_under_pen(page)["done"] == 1
    assert page.evaluate(f"{DECK}.store.state.draft.geometry.type") == "Polygon"


def test_a_palm_that_slid_under_the_pen_does_not_leave_the_wall_moved(page, hand):
    before = view(page)

    hand.touch("touchStart", (100, 100))
    hand.touch("touchMove", (115, 110))
    hand.touch("touchMove", (130, 120))
    hand.pen_down(*STROKE)
    hand.pen_up(STROKE[-1])
    hand.touch("touchEnd")

    assert view(page) == pytest.approx(before)
    assert outline_under_pen(page)["done"] == 1


def test_once_a_pen_was_seen_a_finger_only_moves_the_wall(page, hand):
    hand.pen_down(*STROKE)
    hand.pen_up(STROKE[-1])
    page.wait_for_timeout(SLOWER_THAN_A_BOUNCE_MS)
    wait_until_still(page)
    drawn, before = outline_under_pen(page), view(page)

    hand.tap((-150, 100))
    hand.slide(*((x, 0) for x in range(0, 100, 10)))

    assert outline_under_pen(page) == drawn
    assert view(page)[0] < before[0]


def test_a_pen_once_seen_is_remembered_over_a_restart_until_fingers_are_let_in(page, hand):
    hand.pen_down(*STROKE)
    hand.pen_up(STROKE[-1])
    wait_until_saved(page)
    page.reload()
    page.wait_for_selector(READY)
    page.get_by_role("button", name="Put down outline").click()
    expect(page.locator("#deck-said")).to_contain_text("put down")
    begin(page)

    hand.tap(AROUND[0])
    assert points(page) == 0
    page.get_by_role("button", name="Let fingers draw").click()
    hand.tap(AROUND[0])

    assert points(page) == 1


def test_a_touch_that_is_cut_off_taps_nothing(page, hand):
    hand.tap(AROUND[0])

    hand.touch("touchStart", AROUND[1])
    hand.touch("touchCancel")
    page.wait_for_timeout(SLOWER_THAN_A_BOUNCE_MS)

    assert points(page) == 1


def test_a_touch_that_is_cut_off_with_a_button_named_taps_nothing(page, hand):
    x, y = hand.at(AROUND[1])

    # Browsers differ in the button of a pointercancel; the standard's own default is the main one.
    page.evaluate(
        "([clientX, clientY]) => { const target = document.elementFromPoint(clientX, clientY);"
        " const touch = { bubbles: true, pointerId: 77, pointerType: 'touch', isPrimary: true, button: 0, clientX, clientY };"
        " for (const kind of ['pointerdown', 'pointercancel']) target.dispatchEvent(new PointerEvent(kind, touch)); }",
        [x, y],
    )
    page.wait_for_timeout(SLOWER_THAN_A_BOUNCE_MS)

    assert points(page) == 0


def test_a_touch_that_is_cut_off_takes_no_point_out(page, hand):
    hand.tap(*AROUND)
    page.get_by_role("button", name="Close outline").click()
    page.get_by_role("button", name="Shape…").click()
    page.get_by_role("button", name="Take out points").click()

    hand.touch("touchStart", AROUND[0])
    hand.touch("touchCancel")
    page.wait_for_timeout(SLOWER_THAN_A_BOUNCE_MS)
    assert points(page) == len(AROUND)
    hand.tap(AROUND[0])

    assert points(page) == len(AROUND) - 1


def test_a_point_dragged_by_a_touch_that_is_cut_off_stays_where_it_was(page, hand):
    hand.tap(*AROUND)
    page.get_by_role("button", name="Close outline").click()
    before = outline_under_pen(page)["shape"]

    hand.touch("touchStart", AROUND[0])
    for step in range(1, 8):
        hand.touch("touchMove", (AROUND[0][0] + 8 * step, AROUND[0][1]))
    hand.touch("touchCancel")

    assert outline_under_pen(page)["shape"] == before


def test_a_pen_that_is_cut_off_leaves_an_open_line(page, hand):
    page.evaluate(
        "addEventListener('pointerdown', (event) => { window.lastPointer = event; }, { capture: true, once: true })"
    )
    hand.pen_down(*STROKE)

    page.evaluate(
        "() => { const { pointerId, clientX, clientY, target } = window.lastPointer;"
        " target.dispatchEvent(new PointerEvent('pointercancel', { bubbles: true, pointerId, pointerType: 'pen', clientX, clientY })); }"
    )

    shape = outline_under_pen(page)["shape"]
    assert shape["geometry"] is None
    assert len(shape["sketch"]) > 2


def test_two_fingers_come_nearer_and_draw_nothing(page, hand):
    before = view(page)

    hand.touch("touchStart", (-60, 0), (60, 0))
    for step in range(1, 8):
        hand.touch("touchMove", (-60 - 8 * step, 0), (60 + 8 * step, 0))
    hand.touch("touchEnd")
    page.wait_for_timeout(SLOWER_THAN_A_BOUNCE_MS)

    assert points(page) == 0
    assert view(page)[2] < before[2]


def test_a_glove_that_bounces_does_not_end_the_outline(page, hand):
    hand.tap(*AROUND[:3])

    for _ in range(2):
        hand.touch("touchStart", AROUND[3])
        hand.touch("touchEnd")

    assert outline_under_pen(page)["shape"]["geometry"] is None
    assert points(page) == 4


def test_only_the_edge_that_grew_is_drawn(page, hand):
    prior = page.evaluate(
        f"[...{DECK}.record.previous.values()].find((outline) => outline.geometry.type === 'Polygon' && outline.area_sq_in > 20)"
    )
    grow(page, prior)
    ring = prior["geometry"]["coordinates"][0]
    x_px, y_px = pixel_of(page, ring[0])

    hand.tap((x_px - 4, y_px - 4), (x_px - 40, y_px + 10))
    page.get_by_role("button", name="Put down outline").click()
    expect(page.locator("#deck-said")).to_contain_text("put down")

    body = entries(page)[-1]["body"]
    assert body["basis"] == "edited-copy"
    assert body["continues"] == [prior["id"]]
    untouched = [point for point in ring if point in body["geometry"]["coordinates"][0]]
    assert len(untouched) >= len(ring) / 2


RECTANGLES = """buttons => buttons.map((button) => {
  const { x, y, width, height } = button.getBoundingClientRect();
  return { x, y, width, height, says: button.textContent };
})"""


@pytest.mark.parametrize("size_px", [(1180, 820), (820, 1180)])
def test_controls_are_large_enough_for_a_glove(page, hand, size_px):
    page.set_viewport_size({"width": size_px[0], "height": size_px[1]})
    wait_until_still(page)
    hand.tap(*AROUND)
    sizes = {}
    for state in ("drawing", "closed"):
        if state == "closed":
            page.get_by_role("button", name="Close outline").click()
        expect(page.get_by_role("button", name="Put down outline")).to_be_visible()
        wait_until_still(page)
        boxes = page.locator("#deck-main .button, #deck-panel .button, #deck-others .button")
        sizes[state] = boxes.evaluate_all(RECTANGLES)  # of one moment: controls are drawn anew
    main = page.locator("#deck-main .button").count()
    page.set_viewport_size({"width": 1180, "height": 820})

    assert main == 4
    for boxes in sizes.values():
        assert [box for box in boxes[:4] if min(box["width"], box["height"]) < 104] == []
        assert [box for box in boxes if min(box["width"], box["height"]) < 64] == []
        assert closest(boxes) >= 16


def closest(boxes):
    """The smallest gap between two boxes that lie side by side or one above the other [px]."""
    gaps = []
    for index, one in enumerate(boxes):
        for other in boxes[index + 1 :]:
            across = max(one["x"], other["x"]) - min(
                one["x"] + one["width"], other["x"] + other["width"]
            )
            up = max(one["y"], other["y"]) - min(
                one["y"] + one["height"], other["y"] + other["height"]
            )
            gaps.append(max(across, up))
    return min(gaps)


def test_photographs_are_not_tinted(page):
    shown = page.evaluate(
        f"{DECK}.plate.pictureLayers.filter(({{ layer }}) => layer.getVisible()).map(({{ layer }}) => layer.getOpacity())"
    )
    filters = page.evaluate(
        "(() => { const found = []; for (let at = document.querySelector('#deck-map canvas'); at; at = at.parentElement)"
        " { const { filter, opacity, mixBlendMode } = getComputedStyle(at); found.push(filter, opacity, mixBlendMode); } return [...new Set(found)].sort(); })()"
    )

    assert shown == [1]
    assert filters == ["1", "none", "normal"]


def test_the_battery_dies_and_the_outline_is_as_it_was_with_redo(prepared, page, hand):
    hand.tap(*AROUND)
    page.get_by_role("button", name="fresh").click()
    page.get_by_role("button", name="Undo point").click()
    wait_until_saved(page)
    before = outline_under_pen(page)

    prepared.pull_the_plug()
    again = prepared.switch_on()
    open_deck(again, prepared.url)

    expect(again.locator("#deck-said")).to_have_text("An outline was open; it is as you left it.")
    assert outline_under_pen(again) == before
    again.get_by_role("button", name="Redo").click()
    assert points(again) == len(AROUND)


def test_the_battery_dies_under_a_stroke_and_the_line_is_there(prepared, page, hand):
    hand.pen_down(*STROKE[:12])
    page.wait_for_timeout(300)
    hand.pen_on(*STROKE[12:])
    page.wait_for_timeout(300)
    wait_until_saved(page)

    prepared.pull_the_plug()
    again = prepared.switch_on()
    open_deck(again, prepared.url)

    shape = outline_under_pen(again)["shape"]
    assert shape["geometry"] is None
    assert len(shape["sketch"]) > 2
