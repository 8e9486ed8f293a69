"""Does a tablet go up only with all that it needs, and does it say which thing falls short?"""

import json

import pytest

from tests.support.deck_page import DECK, READY, open_deck, prepare, unsent, wait_until
from tests.support.meddling_proxy import MeddlingProxy

pytestmark = pytest.mark.browser

MADE_AT = f"{DECK}.pack?.made_at ?? null"
PICTURES = f"{DECK}.pictures.length"
KEPT_DIGEST = f"{DECK}.pack.pack"
# A browser as the standard describes it, which gives a page less room than a survey needs.
LITTLE_ROOM = "navigator.storage.estimate = async () => ({ quota: 120e6, usage: 20e6 });"
BAD_DISK = """
const get = IDBObjectStore.prototype.get;
IDBObjectStore.prototype.get = function (key) {
  const asked = get.call(this, key);
  if (key === 'probe') asked.addEventListener('success', () => { if (asked.result) asked.result.block[5] ^= 1; });
  return asked;
};
"""
SAY = f"{DECK}.record.say('fragment', {{ bag: 'F7', cell: 'C17', found_on: '2026-11-18' }})"


@pytest.fixture
def proxy(demo_server):
    with MeddlingProxy(demo_server.url) as meddling:
        yield meddling


def up_to_the_check(page, url):
    """Every step of preparing but the last answer."""
    page.get_by_role("button", name="Fetch the survey").click()
    page.get_by_role("button", name="Prepare this tablet").click()


def prepared(tablet, proxy):
    page = tablet.switch_on()
    prepare(page, proxy.url, name="Tablet 4", account="ines")
    page.get_by_role("button", name="Start the round").click()
    page.wait_for_selector(READY)
    return page


def ask_for_a_fresh_pack(page):
    page.locator("#deck-signal").click()
    page.get_by_role("button", name="Prepare again").click()
    page.get_by_role("button", name="Fetch the survey").click()


def cut_off(status, body):
    return status, body[: len(body) // 2]


def one_cell_changed(status, body):
    return status, body.replace(b'"C17"', b'"C18"', 1)


@pytest.mark.parametrize(
    ("damage", "words"),
    [(cut_off, "cut off or damaged"), (one_cell_changed, "differs from the digest")],
)
def test_a_damaged_pack_is_refused_and_the_one_before_stays(tablet, proxy, damage, words):
    page = prepared(tablet, proxy)
    before = page.evaluate(KEPT_DIGEST)
    device = page.evaluate(f"{DECK}.log.enrolment().device")
    proxy.rules[f"/api/v1/tablets/{device}/pack/"] = damage

    ask_for_a_fresh_pack(page)

    page.get_by_text(words).wait_for()
    open_deck(page, proxy.url)
    assert page.evaluate(KEPT_DIGEST) == before
    assert page.evaluate(PICTURES) > 0


def test_a_picture_that_is_cut_off_leaves_the_pack_before_with_its_pictures(tablet, proxy):
    page = prepared(tablet, proxy)
    before, pictures = page.evaluate(MADE_AT), page.evaluate(PICTURES)
    device = page.evaluate(f"{DECK}.log.enrolment().device")
    proxy.rules[f"/api/v1/tablets/{device}/pictures/"] = cut_off

    ask_for_a_fresh_pack(page)
    page.get_by_role("button", name="Prepare this tablet").click()
    page.get_by_role("button", name="Go up without it").click()

    page.get_by_text("came cut off or damaged").wait_for()
    open_deck(page, proxy.url)
    assert (page.evaluate(MADE_AT), page.evaluate(PICTURES)) == (before, pictures)


def test_unsent_work_and_the_tablets_identity_stay_when_a_fresh_pack_is_taken(tablet, proxy):
    page = prepared(tablet, proxy)
    device = page.evaluate(f"{DECK}.log.enrolment().device")
    proxy.rules["/api/v1/tablets/" + device + "/push/"] = lambda status, body: (503, b"{}")
    page.evaluate(SAY)

    ask_for_a_fresh_pack(page)
    page.get_by_role("button", name="Prepare this tablet").click()
    page.get_by_role("button", name="Go up without it").click()
    page.get_by_role("button", name="Start the round").click()
    page.wait_for_selector(READY)

    assert unsent(page) == {"entries": 1, "photographs": 0}
    assert page.evaluate(f"{DECK}.log.enrolment().device") == device


@pytest.mark.parametrize(
    ("fault", "words"),
    [(LITTLE_ROOM, "The survey needs 2,000 outlines"), (BAD_DISK, "gave other bytes back")],
)
def test_a_tablet_that_falls_short_does_not_go_up(tablet, proxy, fault, words):
    page = tablet.switch_on()
    page.add_init_script(fault)
    open_deck(page, proxy.url)
    sign_in_and_choose(page)

    up_to_the_check(page, proxy.url)

    page.get_by_text(words).wait_for()
    assert page.get_by_role("heading", name="This tablet is not ready to go up").is_visible()
    assert page.get_by_role("button", name="Go up without it").count() == 0
    open_deck(page, proxy.url)
    assert page.evaluate(MADE_AT) is None


def sign_in_and_choose(page):
    from demo_fixtures.people import DEMO_PASSWORD

    page.get_by_label("Account name").fill("ines")
    page.get_by_label("Password").fill(DEMO_PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.get_by_label("Name of this tablet").fill("Tablet 5")


def test_going_up_without_the_browsers_promise_is_written_down(tablet, proxy):
    page = prepared(tablet, proxy)

    page.locator("#deck-signal").click()

    page.get_by_text("no promise; this tablet went up without it knowingly").wait_for()


def test_a_store_that_the_browser_cleared_is_told_at_the_next_start(tablet, proxy):
    page = prepared(tablet, proxy)
    page.evaluate(SAY)
    page.evaluate(f"{DECK}.disk.close()")
    wait_until(page, "localStorage.getItem('pontata-deck-held') !== null")
    noted = json.loads(page.evaluate("localStorage.getItem('pontata-deck-held')"))
    page.goto(f"{proxy.url}/static/img/mark.svg")
    page.evaluate(
        "new Promise((done) => { indexedDB.deleteDatabase('pontata-deck').onsuccess = done; }).then(() => true)"
    )

    open_deck(page, proxy.url)

    assert noted["name"] == "Tablet 4"
    page.get_by_text("The browser has cleared what Tablet 4 held for survey W1").wait_for()


def test_a_wrong_password_is_told_at_the_form_and_the_page_stays(tablet, proxy):
    page = tablet.switch_on()
    open_deck(page, proxy.url)
    page.get_by_label("Account name").fill("ines")
    page.get_by_label("Password").fill("no such password")

    page.get_by_role("button", name="Sign in", exact=True).click()

    page.locator(".field-error:not([hidden])").first.wait_for()
    assert page.url == f"{proxy.url}/deck/"
