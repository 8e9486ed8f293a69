"""Can a pair make its whole round on the deck, without network, and how long do they touch the tablet?

The invented wall's lower lift in normal light: twelve cells, three new outlines, two grown, one
photograph, all other outlines of the last survey answered one by one. The server is off meanwhile.
"""

import pytest

from tests.support.deck_page import DECK, READY, device_of, prepare, wait_until, wait_until_sent
from tests.support.round_hand import RoundHand

pytestmark = pytest.mark.browser

# source: the shared practice of the trade: twelve cells are about 36 minutes on the deck, and at
# most 12 of them are spent touching the tablet. Common practice, no source beyond it.
CELLS, MOST_MINUTES_TOUCHING = 12, 12.0
FINDS_IN = {1: "paint-loss", 5: "abrasion", 9: "powdering"}
GROWN = 2
# A whole bay of cells that are due, with the most outlines to answer in it.
BUSIEST_BAY = f"""
(() => {{
  const deck = {DECK};
  const open = deck.record.openPrevious().filter((one) => deck.marks.term(one.term).modes.includes('normal'));
  const bays = [...document.querySelectorAll('[data-bay]')].map((button) => button.dataset.bay.split(' '));
  const count = (bay) => open.filter((one) => one.cells.some((cell) => bay.includes(cell))).length;
  const whole = bays.filter((bay) => bay.length === {CELLS} && bay.every((cell) => deck.pack.due.includes(cell)));
  return whole.sort((one, other) => count(other) - count(one))[0];
}})()
"""
ASKED = f"(() => {{ const {{ chosen }} = {DECK}.store.state; return chosen?.layer === 'previous' ? {DECK}.record.previous.get(chosen.id) : null; }})()"

# The next question of this cell, or null once the cell has none: the page goes on by itself.
ASKED_NEXT = f"""async () => {{
  for (;;) {{
    const asked = {ASKED};
    if (asked || {DECK}.store.state.screen !== 'cell') return asked;
    await new Promise((resolve) => requestAnimationFrame(resolve));
  }}
}}"""


@pytest.fixture
def on_deck(server, tablet):
    """A prepared tablet whose server is switched off; its hand, not yet in a session."""
    page = tablet.switch_on()
    prepare(page, server.url, name="tablet of the round", account="ines", resolution="No pictures")
    server.switch_off()
    page.goto(f"{server.url}/deck/")
    page.wait_for_selector(READY)
    return RoundHand(page)


@pytest.fixture
def on_deck_unsent(demo_server, tablet):
    """A prepared tablet that sends nothing, so that many tests can share one server."""
    page = tablet.switch_on()
    prepare(
        page,
        demo_server.url,
        name="tablet that sends nothing",
        account="ines",
        resolution="No pictures",
    )
    page.goto(f"{demo_server.url}/deck/")
    page.wait_for_selector(READY)
    page.evaluate(f"{DECK}.sync.stop()")
    return RoundHand(page)


def corners_in(page, cell):
    """Five corners of a small shape in the lower half of a cell, away from its edges."""
    x0, y0, *_ = page.evaluate(f"{DECK}.plan.bounds('{cell}')")
    return [(x0 + dx, y0 + dy) for dx, dy in ((6, 4), (10, 3.5), (11, 6), (8.5, 8), (5.5, 6.5))]


def outward_edge(outline):
    """Three points that push the right side of an area outward, beginning and ending on its line."""
    ring = outline["geometry"]["coordinates"][0]
    at = max(range(len(ring) - 1), key=lambda n: ring[n][0])
    before, after = ring[(at - 2) % (len(ring) - 1)], ring[(at + 2) % (len(ring) - 1)]
    return [before, [ring[at][0] + 1.0, ring[at][1]], after]


def has_area(outline):
    return outline["geometry"]["type"] == "Polygon"


def walk_twelve_cells(hand):
    """Walk the bay to its end; returns how many outlines were answered same and grown."""
    bay = hand.page.evaluate(BUSIEST_BAY)
    hand.start_bay(bay)
    same = grown = 0
    for place in range(CELLS):
        cell = hand.state("cell")
        if place in FINDS_IN:
            hand.draw_find(FINDS_IN[place], corners_in(hand.page, cell))
        if place == CELLS // 2:
            hand.photograph()
        hand.control("compare")
        hand.saved()
        while asked := hand.page.evaluate(ASKED_NEXT):
            if grown < GROWN and has_area(asked):
                hand.grow(outward_edge(asked))
                grown += 1
            else:
                hand.control("same")
                same += 1
            hand.saved()
        if place == 0:
            hand.control("sight-touch")
        hand.control("cell-done")
        hand.saved()
        wait_until(
            hand.page,
            f"{DECK}.store.state.cell !== '{cell}' || {DECK}.store.state.screen === 'walk'",
        )
    return same, grown


def look_again_and_sign(hand):
    hand.tap("#to-recheck")
    hand.wait_for_screen("recheck")
    for _ in range(2):
        hand.control("same")
        hand.saved()
    hand.control("to-sign")
    hand.wait_for_screen("sign")
    for check in ("lamps", "tools", "debris"):
        hand.tap(f"[data-leaving={check}]")
    hand.tap("#sign-session")
    hand.wait_for_screen("open")


def own_entries(page, kind):
    return page.evaluate(
        f"{DECK}.log.entries().then((rows) => rows.filter((row) => row.own && row.kind === '{kind}'))"
    )


def test_a_round_of_twelve_cells_is_made_offline_with_few_taps(on_deck, server, capsys):
    hand, page = on_deck, on_deck.page
    hand.open_session(recorder="Tomas Sedge")

    same, grown = walk_twelve_cells(hand)
    on_cells = hand.taps
    look_again_and_sign(hand)

    with capsys.disabled():
        print(
            f"\n  {CELLS} cells, {len(FINDS_IN)} new, {grown} grown, {same} same, 1 photograph: "
            f"{hand.taps} taps ({on_cells} up to the last cell), about {hand.minutes:.1f} minutes "
            f"touching the tablet"
        )
    assert hand.minutes <= MOST_MINUTES_TOUCHING
    observations = [row["body"] for row in own_entries(page, "observation")]
    by_basis = dict.fromkeys(("drawn", "edited-copy", "seen-no-change"), 0)
    for body in observations:
        by_basis[body["basis"]] += 1
    assert by_basis == {"drawn": 3, "edited-copy": 2, "seen-no-change": same}
    assert len(own_entries(page, "photograph")) == 1
    done = [row for row in own_entries(page, "examination") if row["body"]["done"]]
    assert len({row["body"]["cell"] for row in done}) == CELLS
    *_, last = own_entries(page, "session")
    assert last["body"]["state"] == "closed"
    assert last["body"]["signed_by"] == "Ines Fallow"
    assert [one["second"] for one in last["body"]["rechecks"]] == ["same", "same"]
    assert {row["recorded_by"] for row in own_entries(page, "observation")} == {"Tomas Sedge"}

    server.switch_on()
    wait_until_sent(page)

    sent = server.entries_of(device_of(page))
    assert page.evaluate(f"{DECK}.log.setAside()") == []
    assert [digest for _, _, digest, _ in sent].sort() == [
        row["digest"]
        for kind in ("session", "daily-check", "observation", "examination", "photograph")
        for row in own_entries(page, kind)
    ].sort()


def test_a_dead_battery_in_the_middle_of_a_cell_costs_no_answer(on_deck, server, tablet):
    hand = on_deck
    hand.open_session(recorder="Tomas Sedge")
    hand.start_bay(hand.page.evaluate(BUSIEST_BAY))
    answered = answer_until_a_second_item(hand)
    stood = hand.page.evaluate(f"[{DECK}.store.state.cell, {DECK}.store.state.chosen.id]")

    tablet.pull_the_plug()
    page = tablet.switch_on()
    page.goto(f"{server.url}/deck/")
    page.wait_for_selector(READY)
    again = RoundHand(page)
    again.wait_for_screen("cell")

    assert page.evaluate(f"[{DECK}.store.state.cell, {DECK}.store.state.chosen.id]") == stood
    assert again.state("session")["recorder"] == "Tomas Sedge"
    assert len(own_entries(page, "observation")) == answered
    again.control("undo")
    again.saved()
    wait_until(page, f"{DECK}.store.state.chosen?.id !== '{stood[1]}'")
    assert len(own_entries(page, "withdrawal")) == 1


def answer_until_a_second_item(hand):
    """Answer the first outline of the first cell that has two of them; returns how many were answered."""
    answered = 0
    for place in range(CELLS):
        hand.control("compare")
        hand.saved()
        while hand.state("screen") == "cell":
            left = hand.page.evaluate(
                "[...document.querySelectorAll('.round-item small')].map((one) => parseInt(one.textContent, 10))[0]"
            )
            hand.control("same")
            hand.saved()
            answered += 1
            if left > 1:
                return answered
        if place == 0:
            hand.control("sight-touch")
        hand.control("cell-done")
        hand.saved()
    raise AssertionError("no cell of the bay has two outlines to answer")


def finish_cell(hand):
    """Answer what is left in the cell as the same, and call it done."""
    hand.control("compare")
    hand.saved()
    while hand.state("screen") == "cell":
        hand.control("same")
        hand.saved()
    hand.control("sight-touch")
    hand.control("cell-done")
    hand.saved()


def standing_examination(page, cell):
    return page.evaluate(f"{DECK}.record.examinations.get('{cell}:normal')")


def test_every_kind_of_answer_reaches_the_server_and_none_is_set_aside(on_deck, server):
    hand, page = on_deck, on_deck.page
    hand.open_session(recorder="Tomas Sedge")
    hand.start_bay(page.evaluate(BUSIEST_BAY))
    skipped, second = page.evaluate(f"{DECK}.store.state.bay.slice(0, 2)")

    hand.control("skip")
    hand.tap('[data-cause="no safe access"]')
    hand.saved()
    hand.tap("#deck-people")
    hand.saved()
    hand.control("hidden")
    for corner in corners_in(page, second)[:4]:
        hand.tap_wall(*corner)
    hand.control("put-down")
    hand.tap('[data-cause="standard"]')
    hand.saved()
    answers = ["cannot-see", "look-closer", "not-found"]
    while answers:
        hand.control("compare")
        hand.saved()
        while hand.state("screen") == "cell":
            answer = answers.pop(0) if answers else "same"
            if answer == "not-found":
                hand.control("less")
            hand.control(answer)
            if answer == "cannot-see":
                hand.tap('[data-cause="glare"]')
            hand.saved()
        hand.control("sight-seen")
        hand.control("cell-done")
        hand.saved()

    assert standing_examination(page, skipped)["cause"] == "no safe access"
    causes = [part["cause"] for part in standing_examination(page, second)["hidden"]]
    assert "standard" in causes
    authors = {(row["observed_by"], row["recorded_by"]) for row in own_entries(page, "examination")}
    assert authors == {("Ines Fallow", "Tomas Sedge"), ("Tomas Sedge", "Ines Fallow")}
    server.switch_on()
    wait_until_sent(page)
    assert page.evaluate(f"{DECK}.log.setAside()") == []


def test_a_cell_is_open_again_when_an_answer_in_it_is_taken_back(on_deck_unsent):
    hand, page = on_deck_unsent, on_deck_unsent.page
    hand.open_session(recorder="Tomas Sedge")
    hand.start_bay(page.evaluate(BUSIEST_BAY))
    answered = None
    while not own_entries(page, "observation"):
        answered = hand.state("cell")
        finish_cell(hand)
    assert standing_examination(page, answered)["done"]

    hand.control("undo")
    hand.saved()
    wait_until(page, f"{DECK}.store.state.cell === '{answered}'")
    hand.saved()

    assert not standing_examination(page, answered)["done"]
    assert page.evaluate(ASKED) is not None


def test_the_stop_card_in_the_middle_of_an_edge_leaves_what_was_drawn(on_deck_unsent):
    hand, page = on_deck_unsent, on_deck_unsent.page
    hand.open_session(recorder="Tomas Sedge")
    hand.start_bay(page.evaluate(BUSIEST_BAY))
    asked = first_area_asked(hand)
    hand.control("worse")
    hand.wait_for_screen("draw")
    begun, *_ = outward_edge(asked)
    hand.tap_wall(*begun)
    wait_until(page, f"{DECK}.store.state.draft.sketch.length === 1")

    hand.tap("#deck-stop")
    hand.wait_for_screen("stop")
    page.evaluate(f"void {DECK}.back()")
    hand.wait_for_screen("draw")

    assert page.evaluate(f"{DECK}.store.state.draft.sketch.length") == 1


def first_area_asked(hand):
    """Walk until an area of the last survey is asked about; returns it."""
    while True:
        hand.control("compare")
        hand.saved()
        while asked := hand.page.evaluate(ASKED_NEXT):
            if has_area(asked):
                return asked
            hand.control("same")
            hand.saved()
        hand.control("sight-touch")
        hand.control("cell-done")
        hand.saved()
