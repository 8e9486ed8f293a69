"""Can every page be used with a keyboard, a screen reader and weak sight, as far as axe can tell?"""

import uuid
from pathlib import Path

import pytest

from demo_fixtures.people import DEMO_PASSWORD

pytestmark = pytest.mark.browser

AXE = Path(__file__).parents[2] / "node_modules" / "axe-core" / "axe.min.js"
GRAVE = {"serious", "critical"}
WALL = "walls/harvest-train/"
PAGES = {
    "start page": "",
    "describe a wall": "walls/new/",
    "wall": WALL,
    "surveys": f"{WALL}surveys/",
    "open a survey": f"{WALL}surveys/new/",
    "survey page": f"{WALL}surveys/W1/#F37",
    "photographs": f"{WALL}photographs/",
    "photographs of a survey": f"{WALL}surveys/P2/photographs/",
    "take photographs in": f"{WALL}surveys/W1/photographs/take-in/",
    "frames not sorted": f"{WALL}surveys/P2/photographs/sort/",
    "shot list": f"{WALL}surveys/P2/photographs/shots/?mode=uv",
    "historical pictures": f"{WALL}photographs/historical/",
    "take a historical picture in": f"{WALL}photographs/historical/new/",
    "pairs of pictures": f"{WALL}pairs/",
    "pictures to pair": f"{WALL}pairs/?before=P2&after=W1&cell=C39",
    "choose surveys to compare": f"{WALL}compare/",
    "comparison": f"{WALL}compare/P1/P2/",
    "treatments": f"{WALL}treatments/",
    "record a treatment": f"{WALL}treatments/new/",
    "decisions": f"{WALL}decisions/",
    "watch": f"{WALL}watch/",
    "climate": f"{WALL}climate/?instrument=A2&from=2026-09-10&to=2026-09-24",
    "what applies": f"{WALL}climate/applies/salt-cycles/",
    "vibration": f"{WALL}vibration/?from=2026-07-13&to=2026-07-31",
    "cracks": f"{WALL}cracks/",
    "colour": f"{WALL}colour/",
    "dust": f"{WALL}dust/",
    "instruments": f"{WALL}instruments/",
    "limits": f"{WALL}limits/",
    "exceedances": f"{WALL}exceedances/",
    "reports": f"{WALL}reports/",
    "terms": f"{WALL}terms/",
    "set-up": f"{WALL}set-up/",
    "telephone number": f"{WALL}set-up/telephones/new/",
    "tablets": f"{WALL}tablets/",
    "take in a work file": f"{WALL}tablets/work-file/",
    "deck log": f"{WALL}surveys/W1/deck-log/",
    "nothing here": f"{WALL}nothing/",
}
LATE = f"{WALL}surveys/X1/"
PAGES_WITH_WORK = {
    "wall with a stop": WALL,
    "survey page with a stop": LATE,
    "deck log with a stop": f"{LATE}deck-log/",
    "conflicts": f"{LATE}conflicts/",
    "set aside": f"{LATE}set-aside/",
    "tablets in use": f"{WALL}tablets/",
}
STOP = {
    "noticed_at": "2026-11-18T08:40:00Z",
    "activity": "Drilling behind the wall",
    "cells": ["C03"],
    "state": "open",
}


def violations(page):
    """Return what axe finds and calls serious or critical, with the first place of each.

    source: axe-core's rules for WCAG 2.2 levels A and AA
    """
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate(
        "() => axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})"
    )
    return [
        (rule["id"], rule["nodes"][0]["html"][:160], rule["nodes"][0]["failureSummary"][:200])
        for rule in found["violations"]
        if rule["impact"] in GRAVE
    ]


@pytest.fixture
def signed_in(demo_server, page):
    page.goto(f"{demo_server.url}/account/sign-in/")
    page.get_by_label("Account name").fill("ines")
    page.get_by_label("Password").fill(DEMO_PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{demo_server.url}/")
    return page


def test_the_sign_in_page_has_no_grave_barrier(demo_server, page):
    page.goto(f"{demo_server.url}/account/sign-in/")

    assert violations(page) == []


def test_no_page_has_a_grave_barrier(demo_server, signed_in):
    found = {}
    for name, path in PAGES.items():
        signed_in.goto(f"{demo_server.url}/{path}")
        signed_in.wait_for_load_state("networkidle")
        found[name] = violations(signed_in)

    assert {name: barriers for name, barriers in found.items() if barriers} == {}


def ask(page, method, path, body):
    """Send JSON as the signed-in page would; return the answer."""
    answer = page.evaluate(
        """async ([method, path, body]) => {
          const token = document.querySelector('[name=csrfmiddlewaretoken]').value;
          const sent = await fetch(path, {method, body: JSON.stringify(body),
            headers: {'Content-Type': 'application/json', 'X-CSRFToken': token}});
          return {status: sent.status, body: await sent.json()};
        }""",
        [method, path, body],
    )
    assert answer["status"] < 300, answer
    return answer["body"]


def said(kind, body, *, object_id=None, parents=()):
    return {
        "id": str(uuid.uuid4()),
        "object_id": object_id or str(uuid.uuid4()),
        "kind": kind,
        "made_at": "2026-11-18T08:50:00Z",
        "parents": list(parents),
        "body": body,
    }


@pytest.fixture
def survey_with_work(demo_server, signed_in):
    """A survey of its own with a conflict, a stop, and something set aside from a tablet."""
    page = signed_in
    page.goto(f"{demo_server.url}/{WALL}surveys/new/")
    page.get_by_label("Code", exact=True).fill("X1")
    page.get_by_label("Kind", exact=True).select_option("incident")
    for day in ("First day", "Last day"):
        page.get_by_label(day, exact=True).fill("2026-02-10")
    page.locator("main button[type=submit]").last.click()
    page.wait_for_url(f"**/{LATE}")
    entries = f"/api/v1/{LATE}entries/"
    cell = str(uuid.uuid4())
    looked = {"layout": 1, "cell": "C03", "mode": "normal"}
    both = [said("examination", {**looked, "state": s}, object_id=cell) for s in ("seen", "touch")]
    stop = said("stop", STOP)
    ask(page, "POST", entries, {"entries": [*both, stop]})
    wall = {"wall": "harvest-train", "survey": "X1", "name": "Deck 1"}
    tablet = ask(page, "POST", "/api/v1/tablets/", wall)
    pushed = {
        "contract": 1,
        "epoch": tablet["epoch"],
        "sent_at": "2026-11-18T08:55:00Z",
        "unsent": 3,
        "photographs_unsent": 1,
        "entries": [{"device_seq": 1, "kind": "observation", "body": {"note": "no place"}}],
    }
    ask(page, "POST", f"/api/v1/tablets/{tablet['tablet']['id']}/push/", pushed)
    yield page
    page.goto(f"{demo_server.url}/{WALL}surveys/")
    lifted = {**STOP, "state": "lifted", "lifted_because": "The end of a test."}
    last = said("stop", lifted, object_id=stop["object_id"], parents=[stop["id"]])
    ask(page, "POST", entries, {"entries": [last]})


def test_no_page_on_which_work_waits_has_a_grave_barrier(demo_server, survey_with_work):
    found = {}
    for name, path in PAGES_WITH_WORK.items():
        survey_with_work.goto(f"{demo_server.url}/{path}")
        survey_with_work.wait_for_load_state("networkidle")
        for opened in survey_with_work.locator("main details").all():
            opened.evaluate("details => { details.open = true; }")
        found[name] = violations(survey_with_work)

    assert {name: barriers for name, barriers in found.items() if barriers} == {}
