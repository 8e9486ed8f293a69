"""Can a gloved hand, a keyboard and a screen reader use every screen of the deck page?

One tablet goes through all screens, held across and upright, right- and left-handed.
"""

import pytest

from tests.browser.test_accessibility import violations
from tests.support.deck_page import DECK, READY, prepare, wait_until
from tests.support.round_hand import RoundHand
from tests.support.switched_server import SwitchedServer, copy_of
from tests.support.tablet import Tablet

pytestmark = pytest.mark.browser

ACROSS, UPRIGHT = {"width": 1180, "height": 820}, {"width": 820, "height": 1180}
SCREENS = (
    "prepare", "tablet", "walk", "cell", "draw", "done", "recheck", "sign",
    "stop", "slate", "photo", "reading", "fragment", "lamp",
)  # fmt: skip
# What can be touched now: shown, not covered over, large enough to be seen at all.
TOUCHABLE = """
() => [...document.querySelectorAll('button, input:not([type=hidden], [type=file]), select, textarea, summary, a[href], label.button')]
  .filter((one) => one.checkVisibility({ visibilityProperty: true }) && !one.closest('.visually-hidden'))
  .map((one) => {
    const { left, top, right, bottom, width, height } = one.getBoundingClientRect();
    return { words: (one.textContent || one.name || one.id || one.tagName).trim().slice(0, 40), box: [left, top, right, bottom], width, height, main: one.matches('.main-control'), check: one.matches('[type=checkbox], [type=radio]') };
  })
  .filter(({ width, height }) => width > 1 && height > 1)
"""
GAPS = """
() => ['#deck-main', '#deck-others'].flatMap((place) => {
  const style = getComputedStyle(document.querySelector(place));
  return [parseFloat(style.rowGap), parseFloat(style.columnGap)];
})
"""
# A rounding of the layout; half a pixel is no smaller target.
ROUNDING_PX = 0.5


@pytest.fixture(scope="module")
def page(playwright, chromium_path, demo_server, tmp_path_factory):
    """A tablet in a bay, with a session open."""
    folder = tmp_path_factory.mktemp("reach")
    server = SwitchedServer(copy_of(demo_server.data_folder, folder / "server"))
    (folder / "tablet").mkdir()
    tablet = Tablet(playwright=playwright, chromium_path=chromium_path, profile=folder / "tablet")
    server.switch_on()
    try:
        page = tablet.switch_on()
        prepare(page, server.url, name="Tablet 2", account="ines")
        page.get_by_role("button", name="Start the round").click()
        page.wait_for_selector(READY)
        hand = RoundHand(page)
        hand.open_session(recorder="Tomas Sedge")
        hand.start_bay()
        yield page
    finally:
        tablet.pull_the_plug()
        server.switch_off()


def show(page, screen):
    page.evaluate(f"{DECK}.go('{screen}')")
    wait_until(page, f"{DECK}.pending === 0")
    page.wait_for_timeout(150)


@pytest.mark.parametrize("size_px", [ACROSS, UPRIGHT], ids=["across", "upright"])
def test_everything_to_touch_is_large_enough_for_a_glove(page, size_px):
    page.set_viewport_size(size_px)
    small = []
    for screen in SCREENS:
        show(page, screen)
        for target in page.evaluate(TOUCHABLE):
            least = 104 if target["main"] else 64
            # A check mark is touched through its label.
            if target["check"]:
                continue
            if min(target["width"], target["height"]) < least - ROUNDING_PX:
                small.append((screen, target["words"], target["width"], target["height"]))

    assert small == []


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("size_px", [ACROSS, UPRIGHT], ids=["across", "upright"])
def test_the_stop_card_is_in_reach_on_every_screen_and_nothing_lies_outside(page, size_px, hand):
    page.set_viewport_size(size_px)
    page.evaluate(f"{DECK}.setHand('{hand}')")
    outside = []
    for screen in SCREENS:
        show(page, screen)
        for target in page.evaluate(TOUCHABLE):
            left, _, right, _ = target["box"]
            if left < 0 or right > size_px["width"]:
                outside.append((screen, target["words"], target["box"]))
        stop = page.locator("#deck-stop").bounding_box()
        if stop["x"] + stop["width"] > size_px["width"] or stop["y"] < 0:
            outside.append((screen, "stop card", stop))

    assert outside == []
    assert page.evaluate(GAPS) == [16, 16, 16, 16]


def test_controls_lie_under_the_hand_that_holds_the_pen(page):
    page.set_viewport_size(ACROSS)
    show(page, "cell")
    sides = {}
    for hand in ("left", "right"):
        page.evaluate(f"{DECK}.setHand('{hand}')")
        box = page.locator("#deck-controls").bounding_box()
        sides[hand] = "left" if box["x"] < ACROSS["width"] / 2 else "right"

    assert sides == {"left": "left", "right": "right"}


@pytest.mark.parametrize("size_px", [ACROSS, UPRIGHT], ids=["across", "upright"])
def test_no_screen_of_the_deck_has_a_grave_barrier(page, size_px):
    page.set_viewport_size(size_px)
    found = {}
    for screen in SCREENS:
        show(page, screen)
        # Where a card's foot stays in view, axe takes what is scrolled half under it for small;
        # sizes are held to more than axe asks above.
        found[screen] = [rule for rule in violations(page) if rule[0] != "target-size"]

    assert {screen: barriers for screen, barriers in found.items() if barriers} == {}
