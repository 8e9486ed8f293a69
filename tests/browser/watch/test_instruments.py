"""Can a person take a logger's file in and read its chart, with a finger and with the keyboard?

Against a running server; the file is written here, so that its numbers are known.
"""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.test_accessibility import violations

pytestmark = pytest.mark.browser

WALL = "/walls/harvest-train/"
TARGET_PX = 44  # source: WCAG 2.2, success criterion 2.5.5, target size (enhanced)
NARROW = ".button:visible, .watch-nav a:visible, select:visible, .instrument-link:visible"


def sign_in(page, url):
    page.goto(url)
    page.fill("input[name=username]", "tomas")
    page.fill("input[name=password]", "harvest-train-1936")
    page.click("button[type=submit]")
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()


def open_instrument(page, url, code):
    page.goto(f"{url}{WALL}instruments/")
    page.get_by_role("link", name=code, exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(code)


def logger_file():
    """Return a day of surface temperatures that T2 has not sent yet, with one garbled line."""
    lines = [
        f"2026-11-14 {hour:02}:{minute:02}:00\t{14 + hour / 10:.2f}"
        for hour in range(24)
        for minute in range(0, 60, 10)
    ]
    lines[30] = "2026-11-14 05:00:00\tErr 7"
    return "\n".join(["Time UTC\tSurface [°C]", *lines, ""]).encode()


def test_a_file_is_looked_at_then_taken_in_and_stands_in_the_list(page, demo_server):
    sign_in(page, demo_server.url)
    open_instrument(page, demo_server.url, "T2")

    page.get_by_role("link", name="Take a logger's file in").click()
    file = {"name": "T2-14-Nov.txt", "mimeType": "text/plain", "buffer": logger_file()}
    page.set_input_files("input[type=file]", files=[file])
    page.get_by_role("button", name="Look at the file").click()
    expect(page.get_by_text("This is no number")).to_be_visible()
    assert violations(page) == []
    page.get_by_role("button", name="Take readings in").click()

    expect(page.get_by_text("143 readings are on record.")).to_be_visible()
    expect(page.get_by_role("cell", name=re.compile("T2-14-Nov.txt"))).to_be_visible()
    expect(page.get_by_role("link", name="1, as CSV")).to_be_visible()


def test_the_chart_says_what_it_shows_and_is_read_along_by_the_keyboard(desk_page, demo_server):
    page = desk_page
    sign_in(page, demo_server.url)
    open_instrument(page, demo_server.url, "A1")
    said = page.locator("[data-said]")
    expect(said).to_contain_text("readings; least")

    drawing = page.locator("[data-drawing] svg")
    drawing.focus()
    page.keyboard.press("Home")
    expect(said).to_contain_text("22 Oct 2026, 00:00 UTC: ")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("+")
    expect(page.locator("[data-said]")).to_contain_text("22 Oct 2026")

    assert violations(page) == []


def test_a_silence_is_hatched_and_called_unknown(desk_page, demo_server):
    page = desk_page
    sign_in(page, demo_server.url)
    open_instrument(page, demo_server.url, "A2")
    page.goto(f"{page.url}?channel=air&from=2026-06-01&to=2026-06-20")

    expect(page.locator("[data-said]")).to_contain_text("hatched: unknown")
    expect(page.locator(".series-gap").first).to_be_visible()


@pytest.mark.parametrize("code", ["A1", "V1"])
def test_every_control_of_an_instrument_can_be_touched(page, demo_server, code):
    sign_in(page, demo_server.url)
    open_instrument(page, demo_server.url, code)
    expect(page.locator("[data-said]")).to_contain_text("readings")

    small = page.eval_on_selector_all(
        NARROW,
        "(all) => all.map((e) => [e.textContent.trim().slice(0, 30), e.getBoundingClientRect()])"
        f".filter(([, box]) => box.height < {TARGET_PX}).map(([words]) => words)",
    )
    assert small == []
    assert violations(page) == []
