"""Do page, interface, command and PDF give one area for a line that crosses itself over cells?"""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
import shapely
from playwright.sync_api import expect
from pypdf import PdfReader

from demo_fixtures.people import DEMO_PASSWORD

pytestmark = pytest.mark.browser

PROJECT = Path(__file__).parents[2]
SURVEY = "/walls/harvest-train/surveys/W1/"
FIGURE_OF_EIGHT = ((100, 150), (420, 300), (420, 150), (120, 300))  # px, over several cells
NOT_A_DOUBLE_TAP_MS = 420


def draw_and_put_down(page, server):
    page.goto(f"{server.url}/account/sign-in/")
    page.get_by_label("Account name").fill("ines")
    page.get_by_label("Password").fill(DEMO_PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.goto(f"{server.url}{SURVEY}#B10")
    page.wait_for_selector("body[data-ready]")
    page.click(".term-button[data-term=paint-loss]")
    box = page.locator("#plate-map").bounding_box()
    for x_px, y_px in FIGURE_OF_EIGHT:
        page.mouse.click(box["x"] + x_px, box["y"] + y_px)
        page.wait_for_timeout(NOT_A_DOUBLE_TAP_MS)
    with page.expect_response("**/entries/") as answer:
        page.get_by_role("button", name="Put down outline").click()
    sent = json.loads(answer.value.request.post_data)["entries"][0]
    expect(page.locator("#save-status")).to_contain_text("Saved as entry")
    return sent


def manage(server, *arguments):
    environment = {**os.environ, "PONTATA_DATA": str(server.data_folder), "PONTATA_SETUP": "0"}
    ended = subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=PROJECT,
        env=environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert ended.returncode == 0, ended.stdout + ended.stderr
    return ended.stdout


def area_on_the_page(page, item):
    page.get_by_role("tab", name="List").click()
    page.get_by_role("button", name="Whole wall").click()
    row = page.locator(".outline-table tbody tr", has_text=item)
    return float(row.locator("td.num").first.get_attribute("data-sort"))


def test_a_line_that_crosses_itself_has_one_area_everywhere(demo_server, page, tmp_path):
    sent = draw_and_put_down(page, demo_server)
    item = sent["body"]["item"]
    # source: shapely's own make_valid on the ring that the page sent.
    drawn = shapely.geometry.shape(sent["body"]["geometry"])
    assert not drawn.is_valid
    expected = shapely.make_valid(drawn, method="structure", keep_collapsed=False).area

    shown = area_on_the_page(page, item)
    compared = json.loads(manage(demo_server, "compare", "P2", "W1", "--json"))
    (found,) = [row for row in compared["items"] if row["item"] == item]
    report = tmp_path / "report.pdf"
    manage(demo_server, "report", "W1", "--out", str(report))

    assert shown == pytest.approx(expected, rel=1e-9)
    assert found["after_sq_in"] == pytest.approx(expected, rel=1e-9)
    assert len(found["cells"]) >= 3
    assert f"{expected:,.1f}" in text_of(report, item)


def text_of(pdf, item):
    """The text of the report's lines that name the item, without its line breaks."""
    whole = " ".join(page.extract_text() for page in PdfReader(pdf).pages)
    return re.sub(r"\s+", " ", whole.split(item, 1)[1][:400])
