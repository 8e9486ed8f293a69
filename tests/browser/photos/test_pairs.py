"""Can a person with a finger lay two surveys' pictures of a cell on each other and answer hints?

Against a running server with its worker. The frames are made with their losses known.
"""

import pytest
from playwright.sync_api import expect

from tests.browser.test_accessibility import violations

pytestmark = pytest.mark.browser

WALL = "/walls/harvest-train/"
CELL = "C39"  # a bloom that grew from P2 to W1
WORK_LIMIT_MS = 90_000
TARGET_PX = 44  # source: WCAG 2.2, success criterion 2.5.5, target size (enhanced)


class PairPage:
    """The pages of pairs in a browser with touch."""

    def __init__(self, page, url):
        self.page, self.url = page, url

    def sign_in(self, name="tomas"):
        self.page.goto(self.url)
        self.page.fill("input[name=username]", name)
        self.page.fill("input[name=password]", "harvest-train-1936")
        self.page.click("button[type=submit]")
        expect(self.button("Sign out")).to_be_visible()
        return self

    def button(self, name, *, exact=True):
        return self.page.get_by_role("button", name=name, exact=exact)

    def ask(self, *, before, after, mode="normal", cell=CELL):
        """Choose surveys, light and cell on the list, and ask for the pair."""
        self.page.goto(f"{self.url}{WALL}pairs/")
        self.page.get_by_label("Earlier survey").select_option(before)
        self.page.get_by_label("Later survey").select_option(after)
        self.page.get_by_role("combobox", name="Light").select_option(mode)
        self.page.get_by_role("textbox", name="Cell").fill(cell)
        self.button("Show the pictures").tap()
        expect(self.page.get_by_role("heading", name=f"Pictures of {cell}")).to_be_visible()
        self.button("Compare the pictures").tap()
        self.page.wait_for_selector("body[data-ready]", timeout=WORK_LIMIT_MS)
        return self

    def view(self):
        """Return what the map shows."""
        return self.page.evaluate(
            """() => {
              const { view } = document.getElementById('pair-map').pontata;
              const { way, edge, shown, before, after, beside, difference } = view;
              const layers = { before, after, beside, difference };
              const drawn = Object.keys(layers).filter((name) => layers[name]?.getVisible());
              return { way, edge, shown, drawn };
            }"""
        )

    def hint(self, number):
        return self.page.locator(".hint-item").nth(number - 1)

    def choose_hint(self, number):
        self.hint(number).locator(".hint-head").tap()
        expect(self.hint(number).locator(".hint-head")).to_have_attribute("aria-expanded", "true")


@pytest.fixture
def pair(demo_server, page):
    return PairPage(page, demo_server.url).sign_in().ask(before="P2", after="W1")


def test_two_pictures_are_compared_by_edge_by_turns_and_by_difference(pair):
    assert pair.view() == {
        "way": "edge",
        "edge": 0.5,
        "shown": "before",
        "drawn": ["before", "after"],
    }
    expect(pair.page.locator("#name-before")).to_contain_text("P2, 20 Oct 2026")
    expect(pair.page.locator("#name-after")).to_contain_text("W1, 17 Nov 2026")
    expect(pair.page.locator("#scale")).to_have_text("6″")

    pair.page.get_by_role("slider", name="Edge").fill("20")
    assert pair.view()["edge"] == 0.2

    pair.button("Taking turns").tap()
    assert pair.view()["drawn"] == ["before"]
    pair.button("Change to after").tap()
    assert pair.view()["drawn"] == ["after"]
    pair.page.locator("#pair-map").press("x")
    assert pair.view()["drawn"] == ["before"]
    expect(pair.page.locator("#name-after")).to_be_hidden()

    pair.button("Difference").tap()
    assert pair.view()["drawn"] == ["difference"]
    expect(pair.page.locator("#name-before")).to_contain_text("of before and after")


def test_the_other_picture_is_shown_while_the_button_is_held(pair):
    pair.button("Taking turns").tap()
    hold = pair.button("Hold to see the other")

    hold.dispatch_event("pointerdown", {"pointerId": 1, "isPrimary": True})
    held = pair.view()["drawn"]
    hold.dispatch_event("pointerup", {"pointerId": 1, "isPrimary": True})

    assert held == ["after"]
    assert pair.view()["drawn"] == ["before"]


def test_the_edge_is_dragged_with_a_finger(pair):
    box = pair.page.locator("#edge").bounding_box()
    frame = pair.page.locator(".plate-frame").bounding_box()
    start = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    end_x = frame["x"] + frame["width"] * 0.25
    touch = pair.page.context.new_cdp_session(pair.page)
    finger = [{"x": start[0], "y": start[1]}]
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": finger})
    moved = [{"x": end_x, "y": start[1]}]
    touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": moved})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    assert pair.view()["edge"] == pytest.approx(0.25, abs=0.02)


def test_who_asked_for_less_motion_is_offered_turns_by_hand_alone(demo_server, page):
    page.emulate_media(reduced_motion="reduce")
    pair = PairPage(page, demo_server.url).sign_in().ask(before="P2", after="W1")

    pair.button("Taking turns").tap()

    expect(page.get_by_text("By hand only")).to_be_visible()
    expect(pair.button("Every second")).to_have_count(0)


def test_a_hint_becomes_an_outline_with_its_term_and_another_is_dismissed(pair):
    accepted, dismissed = 1, 2
    expect(pair.page.locator("#hints")).to_contain_text("Hints, never findings")
    expect(pair.page.locator("#hints")).to_contain_text("About a third of faint losses are missed")

    pair.choose_hint(accepted)
    pair.button("Accept hint").tap()
    expect(pair.button("Choose a term first")).to_be_disabled()
    pair.page.get_by_label("What is it?").fill("paint loss")
    pair.page.locator('.pair-terms [data-term="paint-loss"]').first.tap()
    pair.button("Put down as paint loss").tap()
    expect(pair.page.locator("#hints .said")).to_contain_text(f"Hint {accepted} is accepted as")

    pair.choose_hint(dismissed)
    pair.button("Dismiss hint").tap()
    pair.button("Dismiss with this reason").tap()
    expect(pair.page.locator(".hint-form .field-error")).to_contain_text("nothing was sent")
    pair.page.get_by_label("Why is it no change?").fill("Shade of the scaffold pole")
    pair.button("Dismiss with this reason").tap()
    expect(pair.hint(dismissed)).to_contain_text("Dismissed by Tomas Sedge: Shade of the scaffold")

    pair.choose_hint(accepted)
    item = pair.hint(accepted).locator(".tag").inner_text().removeprefix("accepted as ")
    pair.page.get_by_role("link", name=f"See {item} on survey W1").tap()
    pair.page.wait_for_selector("body[data-ready]")
    expect(pair.page.get_by_role("heading", name=f"{item}: paint loss")).to_be_visible()
    expect(pair.page.locator("main")).to_contain_text("From hint")


def test_a_pair_under_raking_light_from_the_other_side_is_told_and_stands_side_by_side(
    demo_server, page
):
    pair = PairPage(page, demo_server.url).sign_in()

    pair.ask(before="P1", after="P2", mode="raking", cell="C17")

    expect(page.get_by_role("status").first).to_contain_text("light and shade of the relief")
    assert pair.view()["drawn"] == ["before", "beside"]
    expect(pair.button("Difference")).to_have_count(0)
    expect(page.locator(".hint-item")).to_have_count(0)


def test_the_controls_are_large_enough_for_a_finger(pair):
    pair.choose_hint(1)

    for control in pair.page.locator("main button:visible, main a:visible").all():
        assert control.bounding_box()["height"] >= TARGET_PX - 0.5, control.inner_text()


def test_a_pair_has_no_grave_barrier_in_any_of_its_ways(pair):
    found = {"edge": violations(pair.page)}
    for way in ("Taking turns", "Difference"):
        pair.button(way).tap()
        found[way] = violations(pair.page)
    pair.choose_hint(3)
    pair.button("Accept hint").tap()
    found["accept"] = violations(pair.page)
    pair.button("Back").tap()
    pair.button("Dismiss hint").tap()
    found["dismiss"] = violations(pair.page)

    assert {way: barriers for way, barriers in found.items() if barriers} == {}
