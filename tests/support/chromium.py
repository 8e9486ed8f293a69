"""How does a test get a browser?

Chromium comes from the machine, never from a download. On a user's machine without it the browser
tests are skipped, with the reason said; under CI=1 its absence is a failure.
"""

import os
import re
import shutil
from pathlib import Path

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
TABLET_PX = {"width": 1180, "height": 820}
DESK_PX = {"width": 1440, "height": 900}
ARTIFACTS = Path(__file__).parents[2] / "test-artifacts"


@pytest.fixture(scope="session")
def chromium_path():
    """The installed Chromium's program file."""
    named = os.environ.get("PONTATA_CHROMIUM")
    found = named or next(filter(None, map(shutil.which, NAMES)), None)
    if found:
        return found
    said = (
        f"no Chromium on the PATH (looked for {', '.join(NAMES)}; PONTATA_CHROMIUM names another)"
    )
    if os.environ.get("CI"):
        pytest.fail(said)
    pytest.skip(said)


@pytest.fixture(scope="session")
def playwright():
    """What drives browsers; a second one beside it could not run."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(playwright, chromium_path):
    """One headless Chromium for the whole run."""
    chromium = playwright.chromium.launch(executable_path=chromium_path, args=ARGUMENTS)
    yield chromium
    chromium.close()


@pytest.fixture
def page(request, browser):
    """A fresh page of a tablet held across, with touch. Uncaught script errors fail the test."""
    yield from fresh_page(request, browser, viewport=TABLET_PX, has_touch=True)


@pytest.fixture
def desk_page(request, browser):
    """A fresh page at the desk, with a mouse. Uncaught script errors fail the test."""
    yield from fresh_page(request, browser, viewport=DESK_PX, has_touch=False)


def fresh_page(request, browser, *, viewport, has_touch):
    context = browser.new_context(viewport=viewport, has_touch=has_touch)
    page = context.new_page()
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    if getattr(request.node, "failed_call", False):
        ARTIFACTS.mkdir(exist_ok=True)
        name = re.sub(r"\W+", "-", request.node.name)
        page.screenshot(path=ARTIFACTS / f"{name}.png")
    context.close()
    assert not errors, f"uncaught errors in the page: {errors}"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    if report.when == "call":
        item.failed_call = report.failed
    return report
