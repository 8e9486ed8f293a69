"""Is everything that the deck page called saved on the server in the end, once and whole?

The browser is killed at moments that nobody chose, with and without a server at the other end. What
counts is what the page itself reported as saved before it died.
"""

import random
from hashlib import sha256

import pytest

from tests.support.deck_page import (
    DECK,
    device_of,
    open_deck,
    prepare,
    sign_in_again,
    unsent,
    wait_until,
    wait_until_sent,
)

pytestmark = [pytest.mark.browser, pytest.mark.long]

ROUNDS_WITHOUT_SERVER, ROUNDS_WITH_SERVER = 6, 6
SHORTEST_MS, LONGEST_MS = 100, 1600
SEED = 20261125

# Says things one after the other for as long as the tablet has power; each is reported once it is
# called saved. Every fifth is a photograph, through the same door as the camera's.
SPEAK = """
(seed) => {
  const { deck } = document.getElementById('deck-map').pontata;
  const areas = deck.marks.terms.filter(({ geometry }) => geometry.includes('area'));
  let state = seed;
  const chance = () => { state = (state * 1103515245 + 12345) % 2147483648; return state / 2147483648; };
  const outline = async (cell) => {
    const [left, low, right, high] = deck.plan.bounds(cell);
    const [x, y] = [left + chance() * (right - left - 4), low + chance() * (high - low - 4)];
    const ring = [[x, y], [x + 3, y], [x + 4, y + 2], [x + 2, y + 4], [x, y + 3], [x, y]];
    const term = areas[Math.floor(chance() * areas.length)];
    const kept = await deck.record.putDown({ geometry: { type: 'Polygon', coordinates: [ring] }, stated: { term: term.code, mode: term.modes[0], item: deck.record.freeItemName(cell) } });
    return { entry: kept.entry };
  };
  const photograph = async (cell) => {
    const { takeNote } = await import('/static/js/deck/extras/camera.js');
    const canvas = new OffscreenCanvas(400, 300);
    const pen = canvas.getContext('2d');
    for (let spot = 0; spot < 400; spot += 1) {
      pen.fillStyle = `rgb(${chance() * 255} ${chance() * 255} ${chance() * 255})`;
      pen.fillRect(chance() * 400, chance() * 300, 30, 30);
    }
    const blob = await canvas.convertToBlob({ type: 'image/jpeg' });
    const kept = await takeNote(deck, new File([blob], 'note.jpg', { type: 'image/jpeg' }), { note: '', cell });
    return { photograph: kept.digest };
  };
  (async () => {
    for (let count = 1; ; count += 1) {
      const cell = deck.plan.labels[Math.floor(chance() * deck.plan.labels.length)];
      window.saved(JSON.stringify(count % 5 ? await outline(cell) : await photograph(cell)));
    }
  })();
}
"""
OWN = f"{DECK}.log.entries().then((rows) => rows.filter((row) => row.own).map(({{ id, digest, device_seq }}) => [id, digest, device_seq]))"
PHOTOGRAPHS = (
    f"{DECK}.disk.run(['blobs'], 'readonly', (tx) => tx.all('blobs'))"
    ".then((rows) => rows.map(({ digest }) => digest))"
)


class Reported:
    """What the page called saved, over all its lives."""

    def __init__(self):
        self.entries, self.photographs = set(), set()

    def hear(self, source, text):
        import json

        told = json.loads(text)
        self.entries |= {told["entry"]} if "entry" in told else set()
        self.photographs |= {told["photograph"]} if "photograph" in told else set()


def test_what_was_called_saved_is_on_the_server_once_and_whole(server, tablet):
    chance = random.Random(SEED)
    reported = Reported()
    page = tablet.switch_on()
    prepare(page, server.url, name="Tablet 2")
    device = device_of(page)
    server.switch_off()

    for turn in range(ROUNDS_WITHOUT_SERVER + ROUNDS_WITH_SERVER):
        if turn == ROUNDS_WITHOUT_SERVER:
            server.switch_on()
        page.expose_binding("saved", reported.hear)
        open_deck(page, server.url)
        assert_nothing_is_missing(page, reported)
        page.evaluate(SPEAK, chance.randrange(2**30))
        page.wait_for_timeout(chance.uniform(SHORTEST_MS, LONGEST_MS))
        tablet.pull_the_plug()
        page = tablet.switch_on()

    open_deck(page, server.url)
    assert_nothing_is_missing(page, reported)
    wait_until_sent(page)
    assert_the_server_holds(page, server, device, reported)
    assert len(reported.entries) > 3 * ROUNDS_WITHOUT_SERVER
    assert reported.photographs


def assert_nothing_is_missing(page, reported):
    on_tablet = page.evaluate(OWN)
    assert reported.entries <= {entry for entry, _, _ in on_tablet}, f"lost with seed {SEED}"
    assert reported.photographs <= set(page.evaluate(PHOTOGRAPHS)), f"lost with seed {SEED}"
    numbers = sorted(number for _, _, number in on_tablet)
    assert numbers == list(range(1, len(numbers) + 1))


def assert_the_server_holds(page, server, device, reported):
    on_tablet = {(entry, digest) for entry, digest, _ in page.evaluate(OWN)}
    on_server = [(entry, digest) for entry, _, digest, _ in server.entries_of(device)]
    assert len(on_server) == len(set(on_server))
    assert set(on_server) == on_tablet
    assert reported.entries <= {entry for entry, _ in on_server}
    for digest in reported.photographs:
        kept = server.bytes_of(digest)
        assert kept is not None and sha256(kept).hexdigest() == digest


def test_the_sign_in_runs_out_and_nothing_is_dropped(server, tablet):
    page = tablet.switch_on()
    reported = Reported()
    page.expose_binding("saved", reported.hear)
    prepare(page, server.url, name="Tablet 3")
    device = device_of(page)
    page.context.clear_cookies()
    open_deck(page, server.url)
    page.evaluate(SPEAK, 7)
    page.wait_for_timeout(800)
    open_deck(page, server.url)
    wait_until(page, f"{DECK}.sync.state.phase === 'sign-in'")
    assert page.get_by_text("The sign-in has run out. Work goes on").first.is_visible()
    assert unsent(page)["entries"] >= len(reported.entries) > 0

    sign_in_again(page)
    wait_until_sent(page)

    assert page.url == f"{server.url}/deck/"
    assert_the_server_holds(page, server, device, reported)
