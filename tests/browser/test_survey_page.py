"""Does the survey page draw, state, correct and examine as a conservator expects?

Against the page's own harness: the real template, styles and modules with a record in memory.
"""

import json
import math
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.support.running_server import free_port

pytestmark = pytest.mark.browser

HARNESS = Path(__file__).parent / "harness" / "serve_survey_page.py"
AXE = Path(__file__).parents[2] / "node_modules" / "axe-core" / "axe.min.js"
SLOWER_THAN_A_DOUBLE_TAP_MS = 420


class SurveyPage:
    """The page in one browser, and the record behind it."""

    def __init__(self, page, url):
        self.page = page
        self.url = url
        self.pointer = page.context.new_cdp_session(page)

    def open(self, cell="C03"):
        self.page.goto(f"{self.url}#{cell}")
        self.page.wait_for_selector("body[data-ready]")
        # The map has its size and stands still once two frames have passed after its last change.
        self.page.wait_for_function(
            "() => document.getElementById('plate-map').pontata.plate.map.getSize()?.[1] > 200"
        )
        return self

    def at(self, x_px, y_px):
        box = self.page.locator("#plate-map").bounding_box()
        return box["x"] + x_px, box["y"] + y_px

    def click(self, *places):
        for place in places:
            self.page.mouse.click(*self.at(*place))
            self.page.wait_for_timeout(SLOWER_THAN_A_DOUBLE_TAP_MS)

    def touch(self, kind, *points):
        touches = [
            {"x": x, "y": y, "id": n} for n, (x, y) in enumerate(self.at(*p) for p in points)
        ]
        self.pointer.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})

    def tap(self, *places):
        for place in places:
            self.touch("touchStart", place)
            self.touch("touchEnd")
            self.page.wait_for_timeout(SLOWER_THAN_A_DOUBLE_TAP_MS)

    def pen_stroke(self, places):
        first, last = self.at(*places[0]), self.at(*places[-1])
        self.pen("mousePressed", first, 1)
        for place in places[1:]:
            self.pen("mouseMoved", self.at(*place), 1)
        self.pen("mouseReleased", last, 0)

    def pen(self, kind, place, buttons):
        event = {"type": kind, "x": place[0], "y": place[1], "button": "left", "clickCount": 1}
        self.pointer.send(
            "Input.dispatchMouseEvent",
            {**event, "buttons": buttons, "pointerType": "pen", "force": 0.5},
        )

    def take_term(self, code):
        self.page.click(f".term-button[data-term={code}]")

    def put_down(self):
        self.page.get_by_role("button", name="Put down outline").click()

    def says(self, text):
        expect(self.page.locator("#said")).to_contain_text(text)

    def draft_points(self):
        return self.page.evaluate(
            "() => { const d = document.getElementById('plate-map').pontata.store.state.draft;"
            " return d && (d.geometry ? d.geometry.coordinates[0].length - 1 : d.sketch.length); }"
        )

    def centre(self):
        return self.page.evaluate(
            "() => document.getElementById('plate-map').pontata.plate.map.getView().getCenter()"
        )

    def entries(self):
        with urllib.request.urlopen(f"{self.url}api/entries/", timeout=10) as answer:
            return json.load(answer)["entries"]

    def control(self, **orders):
        body = json.dumps(orders).encode()
        urllib.request.urlopen(
            urllib.request.Request(f"{self.url}control/", data=body, method="POST"), timeout=10
        ).close()


@pytest.fixture(scope="module")
def harness_url():
    port = free_port()
    process = subprocess.Popen([sys.executable, str(HARNESS), "--port", str(port)])
    url = f"http://127.0.0.1:{port}/"
    wait_for(url)
    yield url
    process.terminate()
    process.wait(timeout=10)


def wait_for(url, limit_s=30.0):
    until = time.monotonic() + limit_s
    while True:
        try:
            urllib.request.urlopen(url, timeout=2).close()
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)
        else:
            return


@pytest.fixture
def survey(page, harness_url):
    opened = SurveyPage(page, harness_url)
    opened.control(reset=True)
    return opened.open()


SQUARE = ((150, 100), (300, 100), (300, 220), (150, 220))


def test_tapping_around_an_area_puts_down_one_outline(survey):
    survey.take_term("paint-loss")
    survey.tap(*SQUARE, SQUARE[0])
    survey.page.get_by_role("button", name="2 marked").click()

    survey.put_down()

    survey.says("put down: paint loss")
    (entry,) = survey.entries()
    assert entry["kind"] == "observation"
    assert entry["body"]["condition"] == 2
    assert len(entry["body"]["geometry"]["coordinates"][0]) == 5


def test_nothing_is_stated_that_nobody_stated(survey):
    survey.take_term("paint-loss")
    survey.click(*SQUARE)

    survey.put_down()
    survey.says("put down")

    body = survey.entries()[0]["body"]
    assert not {"condition", "urgency", "confidence", "edge", "measures", "note"} & body.keys()


def test_a_double_tap_finishes_a_line(survey):
    survey.take_term("hairline-crack")
    survey.tap((100, 100), (200, 140))
    for _ in range(2):
        survey.touch("touchStart", (300, 110))
        survey.touch("touchEnd")

    survey.put_down()

    survey.says("put down: hairline crack")
    assert len(survey.entries()[0]["body"]["geometry"]["coordinates"]) == 3


def test_the_pen_draws_freehand_and_fingers_then_only_pan(survey):
    survey.take_term("paint-loss")
    circle = [
        (300 + 60 * math.cos(step * math.tau / 60), 180 + 60 * math.sin(step * math.tau / 60))
        for step in range(60)
    ]

    survey.pen_stroke(circle)
    drawn = survey.draft_points()
    survey.put_down()
    survey.says("put down")
    survey.tap((120, 120), (200, 120))

    assert drawn > 8
    assert survey.draft_points() == 0


def test_a_finger_pans_while_an_outline_is_drawn_by_taps(survey):
    survey.take_term("paint-loss")
    survey.tap((150, 100), (300, 100))
    before = survey.centre()

    survey.touch("touchStart", (400, 300))
    for step in range(12):
        survey.touch("touchMove", (400 - 8 * step, 300))
    survey.touch("touchEnd")
    survey.page.wait_for_timeout(600)

    assert survey.centre()[0] > before[0]
    assert survey.draft_points() == 2


def test_a_hundred_points_are_undone_and_done_again(survey):
    survey.take_term("hairline-crack")
    survey.page.evaluate(
        "() => { const { draft } = document.getElementById('plate-map').pontata.store.state;"
        " for (let n = 0; n < 120; n += 1) draft.addPoint([40 + n / 4, 100 + (n % 5) / 4]); }"
    )

    for _ in range(110):
        survey.page.keyboard.press("Control+z")
    left = survey.draft_points()
    for _ in range(110):
        survey.page.keyboard.press("Control+Shift+z")

    assert (left, survey.draft_points()) == (10, 120)


def test_undo_after_putting_down_is_a_withdrawal_on_record(survey):
    survey.take_term("paint-loss")
    survey.click(*SQUARE)
    survey.put_down()
    survey.says("put down")

    survey.page.keyboard.press("Control+z")
    survey.says("taken back")

    observed, withdrawn = survey.entries()
    assert withdrawn["kind"] == "withdrawal"
    assert withdrawn["body"]["reason"] == "undone at once"
    assert withdrawn["parents"] == [observed["id"]]


def test_the_plate_does_not_move_when_a_shape_is_closed(survey):
    survey.take_term("paint-loss")
    survey.click(*SQUARE)
    before = survey.page.locator("#plate-map").bounding_box()

    survey.page.get_by_role("button", name="Close").click()

    assert survey.page.locator("#plate-map").bounding_box() == before


def test_a_dragged_point_moves_alone(survey):
    survey.take_term("paint-loss")
    survey.click(*SQUARE, SQUARE[0])
    draft = (
        "() => document.getElementById('plate-map').pontata"
        ".store.state.draft.geometry.coordinates[0]"
    )
    before = survey.page.evaluate(draft)

    survey.page.mouse.move(*survey.at(*SQUARE[1]))
    survey.page.mouse.down()
    survey.page.mouse.move(*survey.at(340, 70), steps=6)
    survey.page.mouse.up()

    after = survey.page.evaluate(draft)
    assert sum(old != new for old, new in zip(before, after, strict=True)) == 1


def test_seen_no_change_keeps_the_last_surveys_line_to_the_last_point(survey):
    with urllib.request.urlopen(f"{survey.url}api/previous/", timeout=10) as answer:
        prior = json.load(answer)["outlines"][0]
    survey.page.fill("#cell-name", prior["cells"][0])
    survey.page.press("#cell-name", "Enter")

    survey.page.get_by_role(
        "button", name=f"{prior['item']}: seen, no change visible", exact=True
    ).click()
    survey.says("seen, no change visible")

    body = survey.entries()[0]["body"]
    assert body["basis"] == "seen-no-change"
    assert body["continues"] == [prior["id"]]
    assert body["geometry"] == prior["geometry"]


def test_a_copy_of_the_last_surveys_outline_is_edited_by_typing(survey):
    with urllib.request.urlopen(f"{survey.url}api/previous/", timeout=10) as answer:
        prior = json.load(answer)["outlines"][0]
    survey.page.fill("#cell-name", prior["cells"][0])
    survey.page.press("#cell-name", "Enter")
    survey.page.locator(".answer-list .link-button", has_text=f"{prior['item']}:").click()
    survey.page.get_by_role("button", name="Edit a copy").click()
    survey.page.get_by_text("Points in feet and inches").click()

    across = survey.page.get_by_label("Point 1, across")
    across.fill("0-6 1/2")
    across.press("Tab")
    survey.put_down()
    survey.says("put down")

    body = survey.entries()[0]["body"]
    left_in = (int(prior["cells"][0][1:]) - 1) * 24
    assert body["basis"] == "edited-copy"
    assert body["geometry"]["coordinates"][0][0][0] == left_in + 6.5
    assert body["geometry"]["coordinates"][0][1:-1] == prior["geometry"]["coordinates"][0][1:-1]


def test_an_outline_is_drawn_without_a_pointer(survey):
    survey.page.get_by_role("tab", name="List").click()
    survey.page.select_option("#typed-term", "paint-loss|area")
    survey.page.get_by_role("button", name="Type its points").click()
    for across, up in (("2", "3"), ("1' 2 1/2\"", "3"), ("1-0", "0-9")):
        survey.page.get_by_label("Across", exact=True).fill(across)
        survey.page.get_by_label("Up", exact=True).fill(up)
        survey.page.get_by_label("Up", exact=True).press("Enter")

    survey.put_down()
    survey.says("put down")

    # C03 begins 48 in from the left and 96 in above the lower edge.
    ring = survey.entries()[0]["body"]["geometry"]["coordinates"][0]
    assert ring == [[50, 99], [62.5, 99], [60, 105], [50, 99]]


def test_a_length_that_cannot_be_read_is_refused_at_its_field(survey):
    survey.take_term("paint-loss")
    survey.click(*SQUARE)
    survey.page.get_by_text("Points in feet and inches").click()

    field = survey.page.get_by_label("Point 1, across")
    field.fill("one foot")
    field.press("Tab")

    expect(survey.page.locator(".points-table .field-error").first).to_contain_text("one foot")
    assert field.get_attribute("aria-invalid") == "true"


def test_a_refused_outline_comes_back_under_the_pen_with_the_reason(survey):
    survey.control(refuse="geometry: the outline has no extent. Draw it larger.")
    survey.take_term("paint-loss")
    survey.click(*SQUARE)

    survey.put_down()

    survey.says("the outline has no extent")
    assert survey.draft_points() == 4
    assert survey.entries() == []


def test_what_the_server_did_not_answer_is_sent_again_and_only_then_saved(survey):
    survey.control(fail=1)
    survey.take_term("paint-loss")
    survey.click(*SQUARE)

    survey.put_down()

    status = survey.page.locator("#save-status")
    expect(status).to_contain_text("cannot be reached")
    expect(status).to_contain_text("Saved as entry 1", timeout=10_000)
    assert len(survey.entries()) == 1


def test_cell_done_says_what_it_asserts_and_fills_in_the_deck_boards(survey):
    survey.open("D21")
    survey.page.get_by_role("tab", name="Examination").click()
    survey.page.get_by_role("button", name="Within touch too").click()

    expect(survey.page.locator(".done-sentence")).to_contain_text(
        "Looked for these nine in normal light: "
    )
    survey.page.get_by_role("button", name="Cell done", exact=True).click()
    survey.says("D21 done")

    body = survey.entries()[0]["body"]
    assert body["state"] == "part-hidden"
    assert [part["cause"] for part in body["hidden"]] == ["deck boards"]
    expect(survey.page.locator("#progress")).to_contain_text("1 of 294")


def test_a_withdrawal_needs_a_reason(survey):
    survey.page.get_by_role("tab", name="List").click()
    survey.page.get_by_role("button", name="Whole wall").click()
    survey.page.locator(".outline-table .link-button").first.click()
    survey.page.get_by_text("Withdraw this outline").click()

    survey.page.locator(".button-alarm").click()
    survey.says("Give the reason")
    survey.page.get_by_label("Reason").fill("drawn in the wrong cell")
    survey.page.locator(".button-alarm").click()
    survey.says("withdrawn")

    assert [entry["body"] for entry in survey.entries()] == [{"reason": "drawn in the wrong cell"}]


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("bloom", "Whitish bloom, kind not told"),
        ("losses", "Loss, depth not told"),
        ("cleaning done", "Cleaned area"),
    ],
)
def test_everyday_words_lead_to_terms(survey, typed, first):
    survey.page.fill("#term-search", typed)

    expect(survey.page.locator("#term-results .term-name").first).to_contain_text(first)


@pytest.mark.parametrize("tab", ["Outline", "Examination", "List"])
def test_the_page_has_no_barrier_that_the_axe_rules_know(survey, tab):
    # source: axe-core's WCAG 2.0 and 2.1 rules, levels A and AA.
    survey.page.get_by_role("tab", name=tab).click()
    survey.page.evaluate(AXE.read_text("utf-8"))

    found = survey.page.evaluate(
        "() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa'] })"
        ".then((result) => result.violations.map((rule) => rule.id))"
    )

    assert found == []


def test_every_control_is_large_enough_for_a_finger(survey):
    small = survey.page.evaluate(
        "() => [...document.querySelectorAll('button, select, summary, main input')]"
        ".filter((element) => element.offsetParent)"
        ".map((element) => [element.textContent, element.getBoundingClientRect()])"
        ".filter(([, box]) => box.height < 43.5 || box.width < 40).map(([text]) => text)"
    )

    assert small == []
