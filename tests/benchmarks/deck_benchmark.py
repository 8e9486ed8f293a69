"""How soon is the first cell drawn with no server at all, and how long does a tapped point take?

Run by hand: `python tests/benchmarks/deck_benchmark.py`. It starts a demo of its own, prepares a
tablet as a person does, opens a bay, switches the server off, and measures at 4 times CPU slow-down:

- from asking for the page to the plate having drawn the cell with picture and outlines, each time in
  a browser started anew on the same profile (what starting the browser takes is not counted);
- from lifting the finger to the point being on the disk, strictly durable (what "saved" waits for).

It asserts nothing by itself; the limits stand beside the figures. A figure taken while the machine
does other work says little: the load is printed.
"""

import argparse
import os
import shutil
import statistics
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import sync_playwright  # noqa: E402

from tests.support.chromium import NAMES  # noqa: E402
from tests.support.deck_page import DECK, READY, prepare, wait_until  # noqa: E402
from tests.support.round_hand import RoundHand  # noqa: E402
from tests.support.switched_server import SwitchedServer, copy_of  # noqa: E402
from tests.support.tablet import Tablet  # noqa: E402

SLOW_DOWN = 4
STARTS, OUTLINES, CORNERS = 7, 10, 8
START_LIMIT_S, VERTEX_LIMIT_MS = 2.0, 50.0
DRAWN = "performance.getEntriesByName('deck-cell-drawn').length > 0"
DRAWN_S = "performance.getEntriesByName('deck-cell-drawn')[0].startTime / 1000"
# From the finger's release to the commit; the page's own writer of drafts does the rest.
MEASURE = f"""
() => {{
  window.vertices = [];
  const {{ drafts }} = {DECK};
  let lifted = 0;
  document.addEventListener('pointerup', () => {{ lifted = performance.now(); }}, true);
  const write = drafts.writeAll.bind(drafts);
  drafts.writeAll = async () => {{
    await write();
    if (lifted) window.vertices.push(performance.now() - lifted);
    lifted = 0;
  }};
}}
"""


def slow_down(page):
    link = page.context.new_cdp_session(page)
    link.send("Emulation.setCPUThrottlingRate", {"rate": SLOW_DOWN})


def into_a_bay(tablet, server):
    """Prepare the tablet, open a session and a bay, and leave it there without a server."""
    page = tablet.switch_on()
    prepare(page, server.url, name="Tablet 2", account="ines")
    page.get_by_role("button", name="Start the round").click()
    page.wait_for_selector(READY)
    wait_until(page, "Boolean(navigator.serviceWorker.controller)")
    hand = RoundHand(page)
    hand.open_session(recorder="Tomas Sedge")
    hand.start_bay()
    hand.saved()
    server.switch_off()
    tablet.pull_the_plug()


def start_s(tablet, url):
    """Seconds from asking for the page to the first cell drawn, in a browser started anew."""
    page = tablet.switch_on()
    slow_down(page)
    page.goto(f"{url}/deck/", wait_until="commit")
    wait_until(page, DRAWN)
    seconds = page.evaluate(DRAWN_S)
    assert page.evaluate(f"{DECK}.store.state.screen") == "cell"
    tablet.pull_the_plug()
    return seconds


def vertices_ms(tablet, url):
    """Milliseconds that each tapped point took to be on the disk."""
    page = tablet.switch_on()
    page.goto(f"{url}/deck/")
    page.wait_for_selector(READY)
    hand = RoundHand(page)
    cell = hand.state("cell")
    x0, y0, *_ = page.evaluate(f"{DECK}.plan.bounds('{cell}')")
    hand.control("find")
    hand.tap(".deck-term-grid [data-term=paint-loss]")
    page.evaluate(MEASURE)
    slow_down(page)
    for outline in range(OUTLINES):
        for corner in range(CORNERS):
            hand.tap_wall(
                x0 + 4 + outline * 0.6 + corner * 1.5, y0 + 4 + (corner % 2) * 2 + outline * 0.4
            )
            hand.saved()
            page.wait_for_timeout(350)
        hand.control("put-down")
        hand.saved()
    taken = page.evaluate("window.vertices")
    tablet.pull_the_plug()
    return taken


def at_share(values, share):
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def report(starts, vertices):
    print(
        f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors, {SLOW_DOWN} times CPU slow-down"
    )
    print(
        f"first cell drawn, no server: best {min(starts):.2f} s,"
        f" median {statistics.median(starts):.2f} s, worst {max(starts):.2f} s"
        f" of {len(starts)} (limit {START_LIMIT_S} s)"
    )
    print(
        f"a tapped point on the disk: median {statistics.median(vertices):.1f} ms,"
        f" p95 {at_share(vertices, 0.95):.1f} ms of {len(vertices)} (limit {VERTEX_LIMIT_MS} ms)"
    )


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--data", type=Path, help="a loaded demo's data folder to copy (faster)")
    given = parser.parse_args().data
    program = next(filter(None, map(shutil.which, NAMES)))
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as playwright:
        data = Path(scratch) / "server"
        copy_of(given, data) if given else data.mkdir()
        server = SwitchedServer(data)
        server.switch_on()
        profile = Path(scratch) / "tablet"
        profile.mkdir()
        tablet = Tablet(playwright=playwright, chromium_path=program, profile=profile)
        try:
            into_a_bay(tablet, server)
            starts = [start_s(tablet, server.url) for _ in range(STARTS)]
            vertices = vertices_ms(tablet, server.url)
        finally:
            tablet.pull_the_plug()
            server.switch_off()
    report(starts, vertices)


if __name__ == "__main__":
    main()
