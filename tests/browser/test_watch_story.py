"""Does a logger's file lead through exceedance and log to a lifted stop, done as a person would?

A file with a red event comes in by the page; the stop stands on the wall's pages until each step of
its log is down, and then no longer.
"""

import json
import re
import uuid

import pytest
from playwright.sync_api import expect

from demo_fixtures.people import DEMO_PASSWORD

pytestmark = pytest.mark.browser

WALL = "/walls/harvest-train/"
HEAD = "UTC,Peak X (in/s),Peak Y (in/s),Peak Z (in/s),Vector sum (in/s),Frequency (Hz)"
# 8:50:02 is red on axis y (0.091), 8:50:01 and 8:50:03 amber; a quarter of an hour of quiet around
ROWS = """
2026-11-18T08:49:58Z,0.0100,0.0120,0.0090,0.0140,15.0
2026-11-18T08:50:00Z,0.0110,0.0130,0.0100,0.0150,15.0
2026-11-18T08:50:01Z,0.0200,0.0550,0.0210,0.0600,14.0
2026-11-18T08:50:02Z,0.0300,0.0910,0.0320,0.0980,13.5
2026-11-18T08:50:03Z,0.0200,0.0520,0.0200,0.0570,14.0
2026-11-18T08:50:04Z,0.0100,0.0120,0.0100,0.0150,15.0
"""
FILE = "Serial 771\n\n" + HEAD + ROWS


@pytest.fixture
def desk(demo_server, desk_page):
    desk_page.goto(f"{demo_server.url}/account/sign-in/")
    desk_page.get_by_label("Account name").fill("ines")
    desk_page.get_by_label("Password").fill(DEMO_PASSWORD)
    desk_page.get_by_role("button", name="Sign in").click()
    desk_page.wait_for_url(f"{demo_server.url}/")
    return desk_page


def take_file_in(page, url):
    page.goto(f"{url}{WALL}instruments/")
    page.get_by_role("link", name="V1", exact=True).first.click()
    page.get_by_role("link", name="Take a logger's file in").click()
    page.locator("input[type=file]").set_input_files(
        {"name": "V1-today.csv", "mimeType": "text/csv", "buffer": FILE.encode()}
    )
    page.get_by_role("button", name="Look at the file").click()
    expect(page.get_by_role("heading", name="What would come on record")).to_be_visible()
    page.get_by_role("button", name="Take readings in").click()
    page.wait_for_url(re.compile(r"/instruments/[0-9a-f-]+/(\?.*|#.*)?$"))


def put_down(page, step, **fields):
    """Fill the form of one step and send it."""
    section = page.locator(f"section#{step}")
    details = section.locator("details")
    if details.get_attribute("open") is None:
        details.locator("summary").click()
    for name, value in fields.items():
        field = section.locator(f"[name='{step}-{name}']")
        if field.evaluate("element => element.tagName") == "SELECT":
            field.select_option(value)
        else:
            field.fill(value)
    section.get_by_role("button", name=re.compile("^Put down")).click()
    page.wait_for_load_state("networkidle")


def examine(page, cell, *, made_at):
    """Send an examination of a cell as a tablet or page would."""
    body = {"layout": 1, "cell": cell, "mode": "raking", "state": "seen", "done": True}
    entry = {
        "id": str(uuid.uuid4()),
        "object_id": str(uuid.uuid4()),
        "kind": "examination",
        "made_at": made_at,
        "parents": [],
        "body": body,
    }
    status = page.evaluate(
        """async ([path, body]) => {
          const token = document.querySelector('[name=csrfmiddlewaretoken]').value;
          const sent = await fetch(path, {method: 'POST', body,
            headers: {'Content-Type': 'application/json', 'X-CSRFToken': token}});
          return [sent.status, await sent.text()];
        }""",
        [f"/api/v1{WALL}surveys/W1/entries/", json.dumps({"entries": [entry]})],
    )
    assert status[0] < 300, status


def missing(page):
    return page.locator("section[aria-labelledby=state]")


def test_from_a_file_to_the_lifted_stop(demo_server, desk):
    take_file_in(desk, demo_server.url)

    desk.goto(f"{demo_server.url}{WALL}watch/")
    expect(desk.locator(".notice-alarm").first).to_be_visible()
    desk.goto(f"{demo_server.url}{WALL}")
    expect(desk.locator(".notices")).to_contain_text("V1")
    desk.goto(f"{demo_server.url}{WALL}exceedances/")
    desk.locator(".case-open", has_text="Red at V1").get_by_role("link").first.click()
    expect(desk.locator("section[aria-labelledby=facts]")).to_contain_text("0.091")
    expect(desk.locator("section[aria-labelledby=facts]")).to_contain_text("13.5 Hz")

    put_down(desk, "activity", activity="Breaking out the floor slab", by="Gil Alder")
    put_down(desk, "told", who="Gil Alder", how="by telephone", by="Ines Fallow")
    put_down(
        desk, "cells-due", cells="C20, C21", changed_because="Blows below columns 20 and 21 only"
    )
    put_down(desk, "looked", cells="C20", result="Nothing fresh", by="Tomas Sedge")
    expect(desk.locator("section#looked")).to_contain_text("Nobody climbs yet")
    put_down(
        desk, "reinspected", at="2026-11-18T08:54", by="Gil Alder", competence="Card 112",
        result="fit",
    )  # fmt: skip
    put_down(desk, "no-objection")
    expect(desk.locator("section#no-objection")).to_contain_text(
        "2 of 2 due cells have neither an examination"
    )
    examine(desk, "C20", made_at="2026-11-18T08:57:00Z")
    put_down(
        desk, "looked", cells="C21", result="Not seen", reason="Boards laid close before it",
        accepted_by="Ines Fallow",
    )  # fmt: skip
    put_down(desk, "cause", cause="Blows on the slab", agreed="agreed")
    put_down(desk, "no-objection")
    expect(missing(desk)).to_contain_text("Open: 1 thing missing")
    put_down(
        desk, "instruction", by="Gil Alder", role="Site manager", words="Resume with the small head"
    )

    expect(missing(desk)).to_contain_text("Closed: nothing is missing")
    desk.goto(f"{demo_server.url}{WALL}")
    expect(desk.locator("body")).not_to_contain_text("Red at V1")
    assert desk.locator(".notice-alarm").count() == 0


def test_the_same_file_again_changes_nothing(demo_server, desk):
    desk.goto(f"{demo_server.url}{WALL}exceedances/")
    before = desk.locator("main").inner_text().count("Red at V1")

    take_file_in(desk, demo_server.url)

    desk.goto(f"{demo_server.url}{WALL}exceedances/")
    assert desk.locator("main").inner_text().count("Red at V1") == before
