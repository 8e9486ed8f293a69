"""What does the deck page look like in each of its states, held across and upright?

Run by hand: `python tests/browser/deck/deck_states.py`. It starts a demo of its own, takes a tablet
through a day and leaves a picture of each state in test-artifacts/deck/. A person looks at them.
"""

import argparse
import shutil
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import sync_playwright  # noqa: E402

from tests.support.chromium import ARTIFACTS, NAMES  # noqa: E402
from tests.support.deck_page import (  # noqa: E402
    DECK,
    READY,
    open_deck,
    prepare,
    sign_in_again,
    unsent,
    wait_until,
    wait_until_sent,
)
from tests.support.round_hand import RoundHand  # noqa: E402
from tests.support.switched_server import SwitchedServer, copy_of  # noqa: E402
from tests.support.tablet import Tablet  # noqa: E402

SIZES_PX = {"across": {"width": 1180, "height": 820}, "upright": {"width": 820, "height": 1180}}
SHELL_KEPT = "Boolean(navigator.serviceWorker.controller)"
# A statement that no vocabulary knows: the server sets it aside for the lead conservator.
UNREADABLE = f"""
{DECK}.record.say('observation', {{ term: 'no-such-term', geometry: {{ type: 'Point', coordinates: [100, 50] }},
  basis: 'drawn', mode: 'normal', item: 'C17-99', layout: 1, vocabulary: 1, observed_on: '2026-11-25' }})
"""

FRAGMENT = "{ bag: 'F1', cell: 'C17', found_on: '2026-11-18' }"
# What a browser throws at its quota; source: Indexed Database API 3.0, section 6.
NO_ROOM = """
() => { IDBObjectStore.prototype.put = () => { throw new DOMException('no room', 'QuotaExceededError'); }; }
"""


class Album:
    """Takes one picture of a state in each size."""

    def __init__(self, page, folder):
        self.page, self.folder = page, folder

    def take(self, name):
        for place, size_px in SIZES_PX.items():
            self.page.set_viewport_size(size_px)
            self.page.wait_for_timeout(400)
            self.page.screenshot(path=self.folder / f"{name}-{place}.png")
        self.page.set_viewport_size(SIZES_PX["across"])
        self.page.wait_for_timeout(200)


def corners_of(page, cell):
    x0, y0, *_ = page.evaluate(f"{DECK}.plan.bounds('{cell}')")
    return [(x0 + dx, y0 + dy) for dx, dy in ((6, 4), (10, 3.5), (11, 6), (8.5, 8))]


def before_going_up(page, server, album):
    open_deck(page, server.url)
    page.get_by_label("Account name").wait_for()
    album.take("01-sign-in")
    prepare(page, server.url, name="Tablet 2", account="ines")
    album.take("02-ready")
    page.get_by_role("button", name="Start the round").click()
    page.wait_for_selector(READY)
    wait_until(page, SHELL_KEPT)
    album.take("03-open")


def on_the_deck(page, hand, album):
    hand.open_session(recorder="Tomas Sedge")
    album.take("04-due")
    hand.start_bay()
    album.take("05-look")
    cell = hand.state("cell")
    hand.control("find")
    album.take("06-terms")
    hand.tap(".deck-term-grid [data-term=paint-loss]")
    for x_in, y_in in corners_of(page, cell):
        hand.tap_wall(x_in, y_in)
    hand.saved()
    album.take("07-drawing")
    hand.control("put-down")
    hand.saved()
    hand.control("back")
    hand.control("compare")
    hand.saved()
    album.take("08-compare-offline")
    page.evaluate(f"{DECK}.go('lamp')")
    album.take("09-lamp")
    for screen in ("slate", "photo", "reading", "fragment"):
        page.evaluate(f"{DECK}.go('{screen}')")
        album.take(f"10-{screen}")
    page.locator("#deck-stop").tap()
    album.take("11-stop-card")
    page.evaluate(f"{DECK}.setHand('left')")
    page.evaluate(f"{DECK}.go('cell')")
    album.take("12-left-handed")
    page.evaluate(f"{DECK}.setHand('right')")
    page.locator("#deck-signal").tap()
    album.take("13-unsent")
    page.evaluate(f"{DECK}.go('cell')")


def full_disk(page, album):
    """The disk refuses every byte: what was said last is not saved, and the page says so."""
    page.evaluate(NO_ROOM)
    page.evaluate(f"{DECK}.keep(() => {DECK}.record.say('fragment', {FRAGMENT}))")
    album.take("14-full")
    page.reload()
    page.wait_for_selector(READY)


def back_at_the_network(page, server, album):
    page.context.clear_cookies()
    server.switch_on()
    page.evaluate(f"{DECK}.sync.tryNow()")
    album.take("15-expired-login")
    page.locator("#deck-signal").tap()
    album.take("16-expired-login-tablet")
    sign_in_again(page, account="ines")
    page.evaluate(UNREADABLE)
    wait_until_sent(page)
    album.take("17-set-aside")
    assert not any(unsent(page).values())


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--data", type=Path, help="a loaded demo's data folder to copy (faster)")
    folder = ARTIFACTS / "deck"
    folder.mkdir(parents=True, exist_ok=True)
    program = next(filter(None, map(shutil.which, NAMES)))
    given = parser.parse_args().data
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as playwright:
        data = Path(scratch) / "server"
        copy_of(given, data) if given else data.mkdir()
        server = SwitchedServer(data)
        server.switch_on()
        tablet = Tablet(
            playwright=playwright, chromium_path=program, profile=Path(scratch) / "tablet"
        )
        tablet.profile.mkdir()
        try:
            page = tablet.switch_on()
            album = Album(page, folder)
            before_going_up(page, server, album)
            server.switch_off()
            on_the_deck(page, RoundHand(page), album)
            full_disk(page, album)
            back_at_the_network(page, server, album)
        finally:
            tablet.pull_the_plug()
            server.switch_off()
    print(f"{len(list(folder.glob('*.png')))} pictures in {folder.relative_to(ROOT)}")


if __name__ == "__main__":
    main()
