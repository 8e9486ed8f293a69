"""How smoothly does the survey page pan with 5,000 outlines, against the same page with none?

Run by hand: `python tests/benchmarks/survey_page_benchmark.py`. The page is served from memory on
loopback. Frames are those that the browser shows while a mouse drags the plate back and forth, at
4 times CPU slow-down and without waiting for the screen's 60 a second, which would hide the work;
only frames in which the map was drawn count. On letting go the outlines are drawn afresh for the new
view: that one longest frame is told apart. Pages alternate, and the median of the pairs is told. The
time until the page is usable is measured in a fresh browser context without slow-down. It asserts
nothing by itself; the limits stand beside the figures.
"""

import argparse
import statistics
import sys
import threading
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests/browser/harness")]

from playwright.sync_api import Browser, sync_playwright  # noqa: E402
from serve_survey_page import make_server  # noqa: E402

from tests.support.chromium import ARGUMENTS, NAMES, TABLET_PX  # noqa: E402

SLOW_DOWN = 4
DRAGS, STEPS_A_DRAG, STEP_PX = 4, 30, 6
PAN_RATIO_LIMIT, USABLE_LIMIT_S = 2.5, 2.0
RECORD_FRAMES = """() => {
  window.frameTimes = [];
  window.mapDrawn = false;
  document.getElementById('plate-map').pontata.plate.map.on('postrender', () => { window.mapDrawn = true; });
  let last = performance.now();
  const tick = () => {
    const now = performance.now();
    if (window.mapDrawn) window.frameTimes.push(now - last);
    window.mapDrawn = false;
    last = now;
    window.frameHandle = requestAnimationFrame(tick);
  };
  window.frameHandle = requestAnimationFrame(tick);
}"""
TAKE_FRAMES = "() => window.frameTimes.splice(0)"
STOP_FRAMES = "() => { cancelAnimationFrame(window.frameHandle); return window.frameTimes; }"
UNCAPPED = ["--disable-frame-rate-limit", "--disable-gpu-vsync"]
SETTLE = "() => new Promise((done) => setTimeout(done, 1500))"


def chromium_program() -> str:
    import shutil

    found = next(filter(None, map(shutil.which, NAMES)), None)
    if found is None:
        sys.exit("No Chromium on the PATH.")
    return found


def serve(outlines: int) -> str:
    server = make_server(outlines=outlines, previous=0)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    return f"http://127.0.0.1:{server.server_address[1]}/"


def open_page(browser: Browser, address: str) -> tuple[Any, float]:
    """Open the page in a fresh context; return it and the seconds until outlines stood."""
    page = browser.new_context(viewport=TABLET_PX).new_page()
    page.goto(address)
    page.wait_for_selector("body[data-ready]")
    usable_s = page.evaluate(
        "() => performance.getEntriesByName('survey-page-ready')[0].startTime / 1000"
    )
    page.evaluate("() => new Promise((done) => setTimeout(done, 800))")
    return page, usable_s


def pan_frames_ms(page: Any, *, whole_wall: bool) -> tuple[list[float], float]:
    """Drag the plate back and forth; return each frame and the longest on letting go [ms]."""
    page.click(f"#distance >> text={'Wall' if whole_wall else 'Bay'}")
    page.evaluate(SETTLE)
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOW_DOWN})
    box = page.locator("#plate-map").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.evaluate(RECORD_FRAMES)
    page.mouse.down()
    for drag in range(DRAGS):
        for _ in range(STEPS_A_DRAG):
            x += STEP_PX if drag % 2 else -STEP_PX
            page.mouse.move(x, y)
    frames = page.evaluate(TAKE_FRAMES)
    page.mouse.up()
    page.evaluate(SETTLE)
    settling = page.evaluate(STOP_FRAMES)
    session.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    return frames[2:], max(settling, default=0.0)


def percentile_95(values: list[float]) -> float:
    return sorted(values)[int(0.95 * (len(values) - 1))]


def measure(browser: Browser, *, pairs: int, outlines: int, whole_wall: bool) -> None:
    addresses = {"empty": serve(0), "full": serve(outlines)}
    medians: dict[str, list[float]] = {"empty": [], "full": []}
    tails: dict[str, list[float]] = {"empty": [], "full": []}
    settling: dict[str, list[float]] = {"empty": [], "full": []}
    usable_s = []
    for _ in range(pairs):
        for name, address in addresses.items():
            page, seconds = open_page(browser, address)
            frames, longest = pan_frames_ms(page, whole_wall=whole_wall)
            settling[name].append(longest)
            medians[name].append(statistics.median(frames))
            tails[name].append(percentile_95(frames))
            if name == "full":
                usable_s.append(seconds)
            page.context.close()
    ratios = [full / empty for full, empty in zip(medians["full"], medians["empty"], strict=True)]
    where = "whole wall in view" if whole_wall else "a bay in view"
    print(f"{outlines} outlines, {where}, {SLOW_DOWN} times slow-down, {pairs} alternating pairs")
    for name in ("empty", "full"):
        print(
            f"  {name:5}  median frame {statistics.median(medians[name]):6.1f} ms"
            f"   p95 {statistics.median(tails[name]):6.1f} ms"
            f"   longest on letting go {statistics.median(settling[name]):6.1f} ms"
        )
    print(f"  ratio of medians {statistics.median(ratios):.2f}   limit {PAN_RATIO_LIMIT}")
    print(f"  usable after {statistics.median(usable_s):.2f} s   limit {USABLE_LIMIT_S}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pairs", type=int, default=5)
    parser.add_argument("--outlines", type=int, default=5000)
    chosen = parser.parse_args()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium_program(), args=[*ARGUMENTS, *UNCAPPED]
        )
        for whole_wall in (False, True):
            measure(browser, pairs=chosen.pairs, outlines=chosen.outlines, whole_wall=whole_wall)
        browser.close()


if __name__ == "__main__":
    main()
