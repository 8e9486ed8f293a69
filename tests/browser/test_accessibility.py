"""Can every page be used with a keyboard, a screen reader and weak sight, as far as axe can tell?"""

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
    "choose surveys to compare": f"{WALL}compare/",
    "comparison": f"{WALL}compare/P1/P2/",
    "treatments": f"{WALL}treatments/",
    "record a treatment": f"{WALL}treatments/new/",
    "decisions": f"{WALL}decisions/",
    "reports": f"{WALL}reports/",
    "terms": f"{WALL}terms/",
    "set-up": f"{WALL}set-up/",
    "telephone number": f"{WALL}set-up/telephones/new/",
    "nothing here": f"{WALL}nothing/",
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
