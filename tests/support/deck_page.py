"""How does a person use the deck page, as steps that several tests take?"""

import time

from demo_fixtures.people import DEMO_PASSWORD

READY = "body[data-ready]"
POLL_MS = 50
# The page's parts, as it hands them to tests alone.
DECK = "document.getElementById('deck-map').pontata.deck"


def open_deck(page, url):
    """Open the page and wait until it has read its disk."""
    page.goto(f"{url}/deck/")
    page.wait_for_selector(READY)


def wait_until(page, expression, *, timeout_ms=30_000):
    """Wait until an expression of the page is true; the page's policy lets it run no text itself."""
    deadline = time.monotonic() + timeout_ms / 1000
    while not page.evaluate(expression):
        assert time.monotonic() < deadline, f"not within {timeout_ms} ms: {expression}"
        page.wait_for_timeout(POLL_MS)


def prepare(page, url, *, name, account="tomas", resolution=None):
    """Take a tablet from its first start to "ready", as the Prepare screen leads."""
    open_deck(page, url)
    page.get_by_label("Account name").fill(account)
    page.get_by_label("Password").fill(DEMO_PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.get_by_label("Name of this tablet").fill(name)
    page.get_by_role("button", name="Fetch the survey").click()
    if resolution:
        page.get_by_role("button", name=resolution).click()
    page.get_by_role("button", name="Prepare this tablet").click()
    # A headless browser never promises to keep a store.
    page.get_by_role("button", name="Go up without it").click()
    page.get_by_role("heading", name="This tablet is ready").wait_for()


def device_of(page):
    return page.evaluate(f"{DECK}.log.enrolment().device")


def unsent(page):
    return page.evaluate(f"{DECK}.log.unsent()")


def wait_until_sent(page, *, timeout_ms=120_000):
    """Press "send" again and again, sign in where that is asked, until nothing is unsent."""
    deadline = time.monotonic() + timeout_ms / 1000
    while any(unsent(page).values()):
        state = page.evaluate(f"{DECK}.sync.state")
        assert time.monotonic() < deadline, f"not within {timeout_ms} ms: {state}"
        if state["phase"] == "sign-in":
            sign_in_again(page)
        page.evaluate(f"void {DECK}.sync.tryNow()")
        page.wait_for_timeout(500)


def sign_in_again(page, *, account="tomas"):
    """Where the sign-in ran out: sign in on the tablet screen, in place."""
    page.locator("#deck-signal").click()
    page.get_by_label("Account name").fill(account)
    page.get_by_label("Password").fill(DEMO_PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).last.click()
    page.get_by_label("Password").wait_for(state="detached")


def phase_of(page):
    return page.evaluate(f"{DECK}.sync.state.phase")
