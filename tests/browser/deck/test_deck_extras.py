"""Do the helps beside the round keep what they are told: stop card, camera, slate, readings, dark screen?

Each on a tablet whose server is switched off, as on the deck; what goes up is asked of the server.
"""

import io
from hashlib import sha256

import numpy as np
import pytest
import zxingcpp
from PIL import Image, ImageFilter

from tests.browser.deck.drawing_steps import Hand, begin, points
from tests.support.deck_page import DECK, READY, device_of, prepare, wait_until, wait_until_sent
from tests.support.round_hand import RoundHand
from tests.support.switched_server import SwitchedServer, copy_of
from tests.support.tablet import Tablet

pytestmark = pytest.mark.browser

CAMERA = "input[type=file]"
LAST_OF = f"""
(async (kind) => (await {DECK}.log.entries()).filter((row) => row.own && row.kind === kind).at(-1)?.body ?? null)
"""
OPEN_SESSION = f"""
async () => {{
  const deck = {DECK};
  const {{ openSession }} = await import('/static/js/deck/session.js');
  const {{ openedBody }} = await import('/static/js/deck/round/session_body.js');
  const {{ survey }} = deck.pack.boot;
  await openSession(deck, openedBody({{
    survey: survey.code, now_ms: Date.now(), observer: 'Ines Fallow', recorder: 'Tomas Sedge', deck: '2', mode: 'raking',
  }}));
}}
"""


class Deck:
    """One tablet on the deck, without network, and a finger."""

    def __init__(self, page):
        self.page = page
        self.finger = RoundHand(page)

    def tap(self, name, *, exact=True):
        target = self.page.get_by_role("button", name=name, exact=exact).first
        target.scroll_into_view_if_needed()
        box = target.bounding_box()
        self.finger.touch(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        self.page.wait_for_timeout(150)

    def saved(self):
        wait_until(self.page, f"{DECK}.pending === 0")

    def go(self, screen):
        self.page.evaluate(f"{DECK}.go('{screen}')")

    def last(self, kind):
        return self.page.evaluate(f"{LAST_OF}('{kind}')")

    def state(self, name):
        return self.page.evaluate(f"{DECK}.store.state.{name}")


class Carried:
    """A tablet that was prepared below and carried up, and the server that it left behind."""

    def __init__(self, tablet, server):
        self.tablet, self.server = tablet, server
        self.page = None

    def open(self):
        """Switch the tablet on, as it was left."""
        self.page = self.tablet.switch_on()
        self.page.goto(f"{self.server.url}/deck/")
        self.page.wait_for_selector(READY)
        return Deck(self.page)


@pytest.fixture(scope="module")
def carried(playwright, chromium_path, demo_server, tmp_path_factory):
    """One tablet for all tests here; the server is off."""
    folder = tmp_path_factory.mktemp("extras")
    server = SwitchedServer(copy_of(demo_server.data_folder, folder / "server"))
    server.switch_on()
    (folder / "tablet").mkdir()
    tablet = Tablet(playwright=playwright, chromium_path=chromium_path, profile=folder / "tablet")
    held = Carried(tablet, server)
    try:
        held.page = tablet.switch_on()
        prepare(held.page, server.url, name="tablet of the extras", account="ines")
        held.page.evaluate("navigator.serviceWorker.ready")
        server.switch_off()
        held.page.goto(f"{server.url}/deck/")
        held.page.wait_for_selector(READY)
        yield held
    finally:
        server.switch_off()
        tablet.pull_the_plug()


@pytest.fixture
def deck(carried):
    errors = []
    carried.page.on("pageerror", lambda error: errors.append(str(error)))
    yield Deck(carried.page)
    assert not errors, f"uncaught errors in the page: {errors}"


def test_a_stop_is_logged_without_network_and_no_open_outline_is_lost(deck, carried):
    page = deck.page
    begin(page)
    Hand(page).tap((-60, -40), (30, -50))
    deck.saved()

    page.locator("#deck-stop").click()
    assert page.get_by_role("link", name="555-0142").get_attribute("href") == "tel:5550142"
    assert page.get_by_text("Nobody has been told yet.").is_visible()
    deck.tap("Log this stop")
    assert page.get_by_text("What was seen or heard is not said yet.", exact=False).is_visible()
    deck.tap("water")
    page.get_by_label("In your words").fill("a stream behind the sheet")
    deck.saved()
    assert deck.last("stop") is None

    carried.tablet.pull_the_plug()
    again = carried.open()
    page = again.page
    assert points(page) == 2
    page.locator("#deck-stop").click()
    assert page.get_by_label("In your words").input_value() == "a stream behind the sheet"
    again.tap("Log this stop")
    again.saved()

    assert page.get_by_text("Nobody has been told yet.", exact=True).is_visible()
    assert "nobody told" in page.locator("#deck-stop").inner_text()
    stop = again.last("stop")
    assert (stop["state"], stop["told"]) == ("open", [])
    assert stop["activity"] == "water; a stream behind the sheet"

    again.tap("I rang them: Gil Alder")
    page.get_by_label("What was said").fill("He shuts the valve")
    again.tap("Log this call")
    again.saved()
    assert "Gil Alder told" in page.locator("#deck-stop").inner_text()
    call = again.last("stop")["told"][0]
    assert (call["number"], call["said"]) == ("555-0142", "He shuts the valve")

    again.tap("Leave the card")
    assert again.state("draft") is not None


def test_a_photograph_goes_up_byte_for_byte_and_a_list_is_refused(deck, carried):
    server = carried.server
    page = deck.page
    deck.go("photo")
    picture = noisy_picture(seed=1936)

    page.locator(CAMERA).set_input_files(
        {"name": "list.jpg", "mimeType": "image/jpeg", "buffer": b"bag;cell\nF1;C17\n"}
    )
    page.get_by_text("is no photograph", exact=False).wait_for()
    page.locator(CAMERA).set_input_files(
        {"name": "cut.jpg", "mimeType": "image/jpeg", "buffer": picture[:60]}
    )
    page.get_by_text("cannot be read to its end", exact=False).wait_for()
    assert deck.last("photograph") is None

    page.locator(CAMERA).set_input_files(
        {"name": "IMG_0007.jpg", "mimeType": "image/jpeg", "buffer": picture}
    )
    page.locator(".thumbnail img").wait_for()
    deck.saved()
    note = deck.last("photograph")
    assert (note["role"], note["width_px"], note["height_px"]) == ("note", 320, 240)
    assert note["digest"] == sha256(picture).hexdigest()

    server.switch_on()
    try:
        wait_until_sent(page)
    finally:
        server.switch_off()

    assert server.bytes_of(sha256(picture).hexdigest()) == picture
    assert "photograph" in [kind for _, kind, *_ in server.entries_of(device_of(page))]


def test_the_slate_is_read_back_from_a_blurred_and_tilted_picture_of_the_screen(deck):
    page = deck.page
    page.evaluate(OPEN_SESSION)
    deck.go("slate")
    page.locator(".slate-code svg").wait_for()
    deck.tap("Take the next side", exact=False)
    side = deck.page.evaluate(f"{DECK}.screens.get('slate').slate.side")
    cell = deck.state("cell")
    page.wait_for_timeout(2_100)  # a slate that is shown for less is not noted

    shown, screenshot = words_and_picture(page)
    read = [found.text for found in zxingcpp.read_barcodes(as_a_camera_sees(screenshot))]

    assert len(read) == 1
    mark, wall, survey, read_cell, mode, read_side, at, number = read[0].split("|")
    assert (mark, wall, survey) == ("PONTATA1", "harvest-train", "W1")
    assert (read_cell, mode, read_side) == (cell, deck.state("mode"), side)
    assert at.endswith("Z") and at[17:19] == shown.split()[0][6:8]

    deck.tap("Done")
    deck.saved()
    assert f"{number} {cell} {mode} {side}" in deck.last("session")["note"]


def test_a_touch_on_the_dark_screen_lights_it_and_does_nothing_else(deck):
    page = deck.page
    deck.go("photo")
    back = page.get_by_role("button", name="Back", exact=True).bounding_box()

    deck.tap("Dark screen")
    wait_until(page, f"{DECK}.store.state.blackout")
    page.wait_for_timeout(300)
    dark = np.asarray(Image.open(io.BytesIO(page.screenshot())).convert("L"))
    deck.finger.touch(back["x"] + 20, back["y"] + 20)
    wait_until(page, f"!{DECK}.store.state.blackout")
    page.wait_for_timeout(500)

    assert dark.max() == 0
    assert deck.state("screen") == "photo"


def test_a_reading_typed_on_the_pad_is_kept_where_the_plate_was_tapped(deck):
    page = deck.page
    deck.go("reading")
    deck.tap("Relative humidity")
    box = page.locator("#deck-map").bounding_box()
    deck.finger.touch(box["x"] + box["width"] * 0.6, box["y"] + box["height"] / 2)
    page.get_by_text("place marked on the plate", exact=False).wait_for()
    for key in "131":
        deck.tap(key)
    deck.tap("Keep reading")
    page.get_by_text("131\u00a0% relative humidity is above 100\u00a0%", exact=False).wait_for()
    assert deck.last("spot-reading") is None

    for key in ("Delete the last digit", "Delete the last digit", "Decimal point", "5"):
        deck.tap(key)
    tapped = page.evaluate(f"{DECK}.screens.get('reading').picker.place")
    deck.tap("Keep reading")
    deck.saved()

    reading = deck.last("spot-reading")
    assert (reading["quantity"], reading["value"], reading["unit"]) == (
        "relative-humidity",
        1.5,
        "%",
    )
    assert reading["place"] == tapped
    assert reading["cell"] == page.evaluate(f"{DECK}.plan.cellAt({tapped[0]}, {tapped[1]})")

    deck.tap("Correct the last")
    deck.tap("Delete the last digit")
    deck.tap("7")
    deck.tap("Keep reading")
    deck.saved()
    rows = page.evaluate(
        f"(async () => (await {DECK}.log.entries()).filter(({{ own, kind }}) => own && kind === 'spot-reading')"
        ".map(({ id, object_id, parents, body }) => ({ id, object_id, parents, value: body.value })))()"
    )
    first, second = sorted(rows, key=lambda row: len(row["parents"]))
    assert (second["object_id"], second["parents"]) == (first["object_id"], [first["id"]])
    assert second["value"] == 1.7


def words_and_picture(page):
    """Return the slate's clock and a picture of the screen between two moves of the clock."""
    clock = page.locator(".slate-time")
    while True:
        before, picture = clock.inner_text(), page.screenshot()
        if clock.inner_text() == before:
            return before, picture


def noisy_picture(*, seed):
    """Return a JPEG that compresses badly, as a picture of plaster does."""
    pixels = np.random.default_rng(seed).integers(0, 256, (240, 320, 3), dtype=np.uint8)
    held = io.BytesIO()
    Image.fromarray(pixels).save(held, format="JPEG", quality=92)
    return held.getvalue()


def as_a_camera_sees(screenshot):
    """Return a picture of the screen taken by hand: tilted, smaller, soft, grainy, not black."""
    screen = Image.open(io.BytesIO(screenshot)).convert("L")
    tilted = screen.rotate(7, expand=True, fillcolor=90, resample=Image.Resampling.BICUBIC)
    small = tilted.resize((tilted.width * 2 // 3, tilted.height * 2 // 3)).filter(
        ImageFilter.GaussianBlur(1.2)
    )
    grain = np.random.default_rng(17).normal(0, 12, (small.height, small.width))
    return np.clip(np.asarray(small) * 0.7 + 40 + grain, 0, 255).astype(np.uint8)
