"""How does a pair walk a round on the deck, and how often does the recorder touch the tablet?

Every tap goes through one method that counts it; a tap on the plate is a tap like any other.
"""

import io

from PIL import Image

from tests.support.deck_page import DECK, wait_until

# One tap of a gloved finger with the reach to it; common practice, no source.
SECONDS_A_TAP = 1.2
# Raising the tablet, framing and pressing the camera's own button; common practice, no source.
SECONDS_A_PHOTOGRAPH = 15.0
# Whether the screen takes an answer: not in the moment in which what is answered came up.
GUARD = f"{DECK}.screens.get({DECK}.store.state.screen)?.guard"
TAKES_ANSWERS = f"{GUARD}?.isOpen ?? true"
COUNT_CLICKS = """
() => {
  window.clicksHeard = 0;
  document.addEventListener('click', () => { window.clicksHeard += 1; });
}
"""


class RoundHand:
    """The recorder's hand on one page."""

    def __init__(self, page):
        self.page = page
        # A tablet joined over its debugging port takes touches here alone.
        self.finger = page.context.new_cdp_session(page)
        page.evaluate(COUNT_CLICKS)
        self.taps = 0
        self.photographs = 0

    @property
    def minutes(self):
        """Minutes of touching, as estimated from taps and photographs."""
        return (self.taps * SECONDS_A_TAP + self.photographs * SECONDS_A_PHOTOGRAPH) / 60

    def tap(self, selector):
        target = self.page.locator(selector).first
        target.click(trial=True)
        box = target.bounding_box()
        before = self.page.evaluate("window.clicksHeard")
        self.touch(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        # The browser makes a click of a touch a moment after the finger is lifted.
        wait_until(self.page, f"window.clicksHeard > {before}")

    def touch(self, x_px, y_px):
        """Put one finger down and lift it."""
        place = [{"x": x_px, "y": y_px}]
        self.finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": place})
        self.finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        self.taps += 1

    def control(self, name):
        """Tap a control under the thumb, not before a person could have read what it answers."""
        self.page.locator(f"[data-control={name}]").wait_for()
        wait_until(self.page, TAKES_ANSWERS)
        self.tap(f"[data-control={name}]")

    def tap_wall(self, x_in, y_in):
        x_px, y_px = self.page.evaluate(
            "([x, y]) => { const map = document.getElementById('deck-map'); const { deck } = map.pontata;"
            " const [px, py] = deck.plate.map.getPixelFromCoordinate([x, y]);"
            " const box = map.getBoundingClientRect(); return [box.left + px, box.top + py]; }",
            [x_in, y_in],
        )
        self.touch(x_px, y_px)

    def state(self, name):
        return self.page.evaluate(f"{DECK}.store.state.{name}")

    def wait_for_screen(self, *names):
        wait_until(self.page, f"{list(names)}.includes({DECK}.store.state.screen)")

    def saved(self):
        """Wait until what was done last is on the disk."""
        wait_until(self.page, f"{DECK}.pending === 0 && !{GUARD}?.isBusy")

    def open_session(self, *, recorder):
        self.tap("#cautions-read")
        for check in ("scaffold-tag", "seals", "trays", "drips", "filters", "guards", "lights"):
            self.tap(f"[data-check={check}] button")
        self.tap(f"[data-who=recorder] button:has-text('{recorder}')")
        self.tap("#open-session")
        self.wait_for_screen("walk")

    def start_bay(self, cells=None):
        if cells:
            self.tap(f'[data-bay="{" ".join(cells)}"]')
        self.tap("[data-look=off]")
        self.tap("#start-bay")
        self.wait_for_screen("cell")

    def draw_find(self, term, corners):
        """Draw one new area from the look, and come back to the cell."""
        self.control("find")
        self.tap(f".deck-term-grid [data-term={term}]")
        for x_in, y_in in corners:
            self.tap_wall(x_in, y_in)
        self.control("put-down")
        self.saved()
        self.control("back")
        self.wait_for_screen("cell")

    def grow(self, edge):
        """Answer "worse" and draw only the edge that grew."""
        self.control("worse")
        self.wait_for_screen("draw")
        for x_in, y_in in edge:
            self.tap_wall(x_in, y_in)
        self.control("put-down")
        self.wait_for_screen("cell", "done")

    def photograph(self):
        self.control("photo")
        self.wait_for_screen("photo")
        with self.page.expect_file_chooser() as chooser:
            self.tap(".photo-screen .button-accent")
        chooser.value.set_files(
            {"name": "note.jpg", "mimeType": "image/jpeg", "buffer": small_picture()}
        )
        self.photographs += 1
        wait_until(self.page, f"{DECK}.log.unsent().photographs > 0")
        self.tap(".photo-screen button:has-text('Back')")
        self.wait_for_screen("cell", "done")


def small_picture():
    """Return the bytes of a photograph such as a camera hands over, but small."""
    held = io.BytesIO()
    Image.new("RGB", (320, 240), (160, 90, 60)).save(held, format="JPEG")
    return held.getvalue()
