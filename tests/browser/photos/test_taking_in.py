"""Can a person take a set of photographs in, sort it, see what is missing and put a cell right?

Against a running server, in a tablet's browser. The files are made here.
"""

import re

import pytest
from playwright.sync_api import expect

from tests.survey.photos.camera import NINE, frame, later, slate_frame, slate_text

pytestmark = pytest.mark.browser

WALL = "walls/harvest-train/"
PAGE = f"{WALL}surveys/W1/photographs/"
CELLS = ("B07", "B08")
WORK_LIMIT_MS = 60_000


def named(name, data, mime="image/jpeg"):
    return {"name": name, "mimeType": mime, "buffer": data}


def ten_files():
    """Two slates with three frames each, one file that breaks off and one that is a web page."""
    files = []
    for place, cell in enumerate(CELLS):
        start = later(NINE, minutes=20 * place)
        text = slate_text(cell=cell, number=place + 1, at=start, wall="harvest-train", survey="W1")
        said = {"number": "7042"}
        files.append((f"R{4 * place:03}.jpg", slate_frame(text, taken=start, seed=place, **said)))
        for shot in range(1, 4):
            taken = later(start, minutes=shot)
            picture = frame(seed=50 + 4 * place + shot, taken=taken, gps=True, **said)
            files.append((f"R{4 * place + shot:03}.jpg", picture))
    broken = frame(seed=91, taken=NINE)[:-400]
    page = b"<!doctype html><title>no picture</title>"
    return [
        *(named(*one) for one in files),
        named("R098.jpg", broken),
        named("R099.jpg", page),
    ]


@pytest.fixture
def signed_in(demo_server, page):
    page.goto(demo_server.url)
    page.fill("input[name=username]", "tomas")
    page.fill("input[name=password]", "harvest-train-1936")
    page.click("button[type=submit]")
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    page.url_of = lambda path: f"{demo_server.url}/{path}"
    return page


def test_ten_files_are_taken_in_sorted_looked_through_and_one_is_put_right(signed_in):
    page = signed_in
    page.goto(page.url_of(f"{WALL}photographs/"))
    page.get_by_role("row", name="W1").get_by_role("link", name="Take photographs in").tap()
    page.wait_for_selector("body[data-ready]")

    page.set_input_files("#files", ten_files())

    tally = page.locator("#tally")
    expect(tally).to_have_text("8 taken in, 2 refused.", timeout=WORK_LIMIT_MS)
    expect(page.get_by_role("row", name="R098.jpg")).to_contain_text("cut off")
    expect(page.get_by_role("row", name="R099.jpg")).to_contain_text("a web page")

    page.get_by_role("button", name="Sort frames by their slates").tap()
    expect(page.locator("#sorted")).to_contain_text(
        "2 slates read, 6 frames put to cells", timeout=WORK_LIMIT_MS
    )

    page.get_by_role("link", name="By cell").tap()
    for cell in CELLS:
        expect(page.locator(f"#cell-{cell} .frame")).to_have_count(3)

    page.get_by_role("link", name="Shot list").tap()
    expect(page.locator("#total")).to_contain_text("324 frames")
    before = missing_cells(page)
    assert not before & set(CELLS)
    assert "B09" in before

    page.goto(page.url_of(f"{PAGE}?cell=B08"))
    page.get_by_role("link", name="R007.jpg").first.tap()
    form = page.locator("#correct")
    expect(form.get_by_label("Cells")).to_have_value("B08")
    form.get_by_label("Cells").fill("B09")
    form.get_by_role("button", name="Put the correction on record").tap()
    expect(page.get_by_text("The correction is on record")).to_be_visible()
    page.goto(page.url_of(PAGE))
    expect(page.locator("#cell-B08 .frame")).to_have_count(2)
    expect(page.locator("#cell-B09 .frame")).to_have_count(1)
    page.goto(page.url_of(f"{PAGE}shots/"))
    assert before - missing_cells(page) == {"B09"}


def missing_cells(page):
    words = " ".join(page.locator(".missing .cell-list").all_text_contents())
    return set(re.findall(r"[A-Z]\d\d", words))


def test_the_same_file_chosen_again_is_there_already(signed_in):
    page = signed_in
    page.goto(page.url_of(f"{PAGE}take-in/"))
    page.wait_for_selector("body[data-ready]")
    page.select_option("#id_mode", "uv")
    expect(page.get_by_role("heading", name="Ultraviolet: eyes and skin")).to_be_visible()
    picture = named("U001.jpg", frame(seed=71, taken=NINE))

    page.set_input_files("#files", [picture])
    expect(page.locator("#tally")).to_have_text("1 taken in, 0 refused.", timeout=WORK_LIMIT_MS)
    page.set_input_files("#files", [picture])

    expect(page.locator("#tally")).to_have_text(
        "1 taken in, 1 already there, 0 refused.", timeout=WORK_LIMIT_MS
    )


def test_what_is_wrong_on_the_form_is_said_before_a_file_is_sent(signed_in):
    page = signed_in
    page.goto(page.url_of(f"{PAGE}take-in/"))
    page.wait_for_selector("body[data-ready]")
    picture = named("Z001.jpg", frame(seed=72, taken=NINE))
    page.fill("#id_clock_zone", "CET")

    page.set_input_files("#files", [picture])
    expect(page.get_by_role("alert")).to_contain_text("write it such as +01:00. Nothing was sent.")
    expect(page.locator("#taking")).to_be_hidden()
    page.fill("#id_clock_zone", "+01:00")
    page.set_input_files("#files", [picture])

    expect(page.locator("#tally")).to_have_text("1 taken in, 0 refused.", timeout=WORK_LIMIT_MS)


def test_a_file_that_the_network_lost_is_sent_again(signed_in):
    page = signed_in
    page.goto(page.url_of(f"{PAGE}take-in/"))
    page.wait_for_selector("body[data-ready]")
    page.route("**/api/v1/**/photographs/**", lambda route: route.abort())

    page.set_input_files("#files", [named("N001.jpg", frame(seed=81, taken=NINE))])
    expect(page.locator("#tally")).to_have_text("0 taken in, 0 refused, 1 did not arrive.")
    page.unroute("**/api/v1/**/photographs/**")
    page.get_by_role("button", name="Send again what did not arrive").tap()

    expect(page.locator("#tally")).to_have_text("1 taken in, 0 refused.", timeout=WORK_LIMIT_MS)
