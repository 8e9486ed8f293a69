"""Does the page say what is not saved, and does the work come off the tablet all the same?"""

import json

import pytest

from tests.support.deck_page import DECK, READY, prepare, unsent

pytestmark = pytest.mark.browser

SAY = f"{DECK}.keep(() => {DECK}.record.say('fragment', {{{{ bag: '{{bag}}', cell: 'C17', found_on: '2026-11-18' }}}}))"
# What a browser throws at its quota; source: Indexed Database API 3.0, section 6.
NO_ROOM = """
() => {
  window.put = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = () => { throw new DOMException('no room', 'QuotaExceededError'); };
}
"""
ROOM_AGAIN = "() => { IDBObjectStore.prototype.put = window.put; }"


@pytest.fixture
def page(server, tablet):
    page = tablet.switch_on()
    prepare(page, server.url, name="Tablet 6", account="ines")
    page.get_by_role("button", name="Start the round").click()
    page.wait_for_selector(READY)
    server.switch_off()
    return page


def say(page, bag):
    return page.evaluate(SAY.format(bag=bag))


def test_what_the_disk_refuses_is_called_not_saved_and_is_in_the_file_of_ones_work(page):
    assert say(page, "F1")
    page.evaluate(NO_ROOM)

    kept = say(page, "F2")

    assert not kept
    assert page.locator("#deck-saved").inner_text().startswith("NOT saved")
    assert "The disk of this tablet is full" in page.locator("#deck-banner").inner_text()
    with page.expect_download() as offered:
        page.locator("#deck-banner").get_by_role("button", name="Download my work").click()
    work = json.loads(offered.value.path().read_text(encoding="utf-8"))
    assert work["format"] == "pontata-work"
    assert [entry["body"]["bag"] for entry in work["entries"]] == ["F1", "F2"]


def test_work_goes_on_as_soon_as_there_is_room_again(page):
    page.evaluate(NO_ROOM)
    say(page, "F1")
    page.evaluate(ROOM_AGAIN)

    kept = say(page, "F1")

    assert kept
    assert page.locator("#deck-saved").inner_text() == "Saved on this tablet"
    assert unsent(page)["entries"] == 1
