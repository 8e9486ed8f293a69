"""How does a hand with glove, pen and palm work on the deck's plate, as steps that tests take?"""

from tests.support.deck_page import DECK

PLATE = "#deck-map"
SLOWER_THAN_A_BOUNCE_MS = 420
STILL_FRAMES = 6
AROUND = ((-120, -60), (40, -90), (140, 0), (60, 90), (-90, 70))


class Hand:
    """Fingers and pen over one page; places are pixels from the plate's middle."""

    def __init__(self, page):
        self.page = page
        self.link = page.context.new_cdp_session(page)

    def at(self, place):
        box = self.page.locator(PLATE).bounding_box()
        return box["x"] + box["width"] / 2 + place[0], box["y"] + box["height"] / 2 + place[1]

    def touch(self, kind, *places):
        points = [
            {"x": x, "y": y, "id": finger} for finger, (x, y) in enumerate(map(self.at, places))
        ]
        self.link.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def tap(self, *places):
        for place in places:
            self.touch("touchStart", place)
            self.touch("touchEnd")
            self.page.wait_for_timeout(SLOWER_THAN_A_BOUNCE_MS)

    def slide(self, *places):
        """One finger from the first place over the others, lifted at the last."""
        self.touch("touchStart", places[0])
        for place in places[1:]:
            self.touch("touchMove", place)
        self.touch("touchEnd")

    def pen(self, kind, place):
        x, y = self.at(place)
        buttons = 0 if kind == "mouseReleased" else 1
        event = {"type": kind, "x": x, "y": y, "button": "left", "buttons": buttons}
        self.link.send(
            "Input.dispatchMouseEvent",
            {**event, "clickCount": 1, "pointerType": "pen", "force": 0.5},
        )

    def pen_down(self, *places):
        """The pen from the first place over the others, and still down."""
        self.pen("mousePressed", places[0])
        self.pen_on(*places[1:])

    def pen_on(self, *places):
        """The pen that is down goes on over these places."""
        for place in places:
            self.pen("mouseMoved", place)

    def pen_up(self, place):
        self.pen("mouseReleased", place)


def begin(page, *, cell="C15", term="paint-loss"):
    """Stand before a cell with a term under the pen."""
    page.evaluate(f"{DECK}.pen.putAside()")
    page.evaluate(f"{DECK}.store.set({{cell: '{cell}', bay: ['{cell}'], mode: 'normal'}})")
    page.evaluate(f"{DECK}.plate.fit({DECK}.plan.bounds('{cell}'))")
    page.evaluate(f"{DECK}.go('draw')")
    page.click(f".deck-term[data-term={term}]")
    wait_until_still(page)


def grow(page, prior):
    """Draw on from last survey's outline, as the answer "worse" leads; it fills the plate."""
    page.evaluate(f"(prior) => {DECK}.go('draw', {{ grow: prior }})", prior)
    (xs, ys) = zip(*prior["geometry"]["coordinates"][0], strict=True)
    box = [min(xs) - 24, min(ys) - 24, max(xs) + 24, max(ys) + 24]
    page.evaluate(f"(box) => {DECK}.plate.fit(box)", box)


def pixel_of(page, place):
    """Where a place of the wall lies on the screen, from the plate's middle."""
    x_px, y_px = page.evaluate(f"(place) => {DECK}.plate.map.getPixelFromCoordinate(place)", place)
    box = page.locator(PLATE).bounding_box()
    return x_px - box["width"] / 2, y_px - box["height"] / 2


def points(page):
    """How many points the line being drawn has, or the ring that was closed."""
    return page.evaluate(
        f"(() => {{ const draft = {DECK}.store.state.draft; return !draft ? null :"
        " draft.geometry ? draft.geometry.coordinates[0].length - 1 : draft.sketch.length; })()"
    )


def outline_under_pen(page):
    return page.evaluate(
        f"(() => {{ const {{ shape, stated, history }} = {DECK}.store.state.draft;"
        " return { shape, stated, done: history.done.length, undone: history.undone.length }; })()"
    )


def view(page):
    return page.evaluate(
        f"(() => {{ const view = {DECK}.plate.map.getView(); return [...view.getCenter(), view.getResolution()]; }})()"
    )


def wait_until_still(page):
    """Wait until the wall has glided to its end and the plate has its size."""
    page.evaluate(f"""async () => {{
      const place = () => {{
        const view = {DECK}.plate.map.getView();
        return String([view.getCenter(), view.getResolution(), {DECK}.plate.map.getSize()]);
      }};
      const frame = () => new Promise((resolve) => requestAnimationFrame(resolve));
      for (let still = 0, last = place(); still < {STILL_FRAMES}; last = place()) {{
        await frame();
        still = place() === last ? still + 1 : 0;
      }}
    }}""")


def wait_until_saved(page):
    page.evaluate(f"{DECK}.drafts.settled()")
    page.locator("#deck-saved.is-saved").wait_for()


def entries(page):
    return page.evaluate(f"{DECK}.log.entries()")
