"""Does the deck page open without network, and does a newer page wait for its turn?"""

import re

import pytest

from tests.support.deck_page import DECK, open_deck, wait_until
from tests.support.meddling_proxy import MeddlingProxy

pytestmark = pytest.mark.browser

NEWER = "f" * 16
VERSIONS = """
() => new Promise(async (resolve) => {
  const registration = await navigator.serviceWorker.getRegistration('/deck/');
  const worker = registration.waiting ?? registration.active;
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = ({ data }) => resolve(data);
  worker.postMessage('versions', [port2]);
})
"""
ACTIVE = "navigator.serviceWorker.ready.then((registration) => registration.active.state === 'activated')"
SETTLED = (
    "navigator.serviceWorker.getRegistration('/deck/').then((r) => !r.installing && !r.waiting)"
)
IN_CONTROL = "() => Boolean(navigator.serviceWorker.controller)"


@pytest.fixture
def proxy(demo_server):
    with MeddlingProxy(demo_server.url) as meddling:
        yield meddling


@pytest.fixture
def newer(proxy):
    """Call to let the server serve a newer shell: one module differs, and so does the version."""

    def worker_of_the_newer(status, body):
        named = re.sub(rb"const VERSION = '\w+'", f"const VERSION = '{NEWER}'".encode(), body)
        return status, named

    def module_of_the_newer(status, body):
        return status, body + b"\ndocument.documentElement.dataset.newer = 'yes';\n"

    def serve_the_newer():
        proxy.rules["/deck/worker.js"] = worker_of_the_newer
        proxy.rules["/static/js/deck/banners.js"] = module_of_the_newer

    return serve_the_newer


def is_newer(page):
    return page.evaluate("document.documentElement.dataset.newer === 'yes'")


def opened_and_kept(tablet, proxy):
    page = tablet.switch_on()
    open_deck(page, proxy.url)
    wait_until(page, ACTIVE)
    wait_until(page, IN_CONTROL)
    return page


def leave_something_unsent(page):
    """What the page asks of its log before it takes a newer version."""
    page.evaluate(f"{DECK}.log.unsent = () => ({{ entries: 1, photographs: 0 }})")


def leave_an_outline_open(page):
    page.evaluate(
        f"{DECK}.disk.run(['drafts'], 'readwrite', (tx) => tx.put('drafts', {{ id: 'open' }}))"
    )


def let_the_browser_look_for_a_newer_page(page):
    page.evaluate("navigator.serviceWorker.getRegistration('/deck/').then((r) => r.update())")


def test_the_page_opens_after_a_restart_with_no_server_at_all(tablet, proxy):
    opened_and_kept(tablet, proxy)
    tablet.pull_the_plug()
    proxy.cut = True

    page = tablet.switch_on()
    open_deck(page, proxy.url)

    assert page.get_by_role("heading", name="Prepare this tablet", exact=True).is_visible()


@pytest.mark.parametrize("leave_it", [leave_something_unsent, leave_an_outline_open])
def test_a_newer_page_waits_while_work_is_under_way(tablet, proxy, newer, leave_it):
    page = opened_and_kept(tablet, proxy)
    leave_it(page)
    newer()

    let_the_browser_look_for_a_newer_page(page)

    page.get_by_text("A newer version of this page is ready; it is taken when").wait_for()
    assert page.evaluate(VERSIONS)["newest"] == NEWER
    assert page.evaluate(VERSIONS)["taken"] != NEWER
    assert not is_newer(page)


def test_closing_every_page_does_not_let_a_newer_one_in(tablet, proxy, newer):
    """A browser starts the waiting worker by itself then; it still gives out the version taken."""
    page = opened_and_kept(tablet, proxy)
    leave_an_outline_open(page)
    newer()
    let_the_browser_look_for_a_newer_page(page)
    page.get_by_text("A newer version of this page is ready; it is taken when").wait_for()
    tablet.pull_the_plug()
    proxy.cut = True

    page = tablet.switch_on()
    open_deck(page, proxy.url)

    assert page.evaluate(VERSIONS)["newest"] == NEWER
    assert not is_newer(page)


def test_a_newer_page_is_taken_when_nothing_is_unsent_and_no_outline_is_open(tablet, proxy, newer):
    page = opened_and_kept(tablet, proxy)
    newer()

    let_the_browser_look_for_a_newer_page(page)

    page.wait_for_selector("html[data-newer]", state="attached")
    page.wait_for_selector("body[data-ready]")
    assert page.evaluate(VERSIONS) == {"taken": NEWER, "newest": NEWER}


def test_a_shell_of_which_one_file_fails_is_not_taken_at_all(tablet, proxy, newer):
    page = opened_and_kept(tablet, proxy)
    newer()
    proxy.rules["/static/js/deck/head.js"] = lambda status, body: (500, b"")

    let_the_browser_look_for_a_newer_page(page)

    wait_until(page, SETTLED)
    assert page.evaluate(VERSIONS)["newest"] != NEWER
    assert f"deck-shell-{NEWER}" not in page.evaluate("caches.keys()")
    assert not is_newer(page)


def test_a_page_without_encryption_says_that_it_will_not_work_offline(tablet, proxy):
    """Only this machine's own address counts as safe without HTTPS; a network's name does not."""
    tablet.more_arguments = ["--host-resolver-rules=MAP deck.invalid 127.0.0.1"]
    page = tablet.switch_on()

    open_deck(page, proxy.url.replace("127.0.0.1", "deck.invalid"))

    assert page.get_by_text("This tablet will not work offline").first.is_visible()
