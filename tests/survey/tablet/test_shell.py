"""Does the deck page's shell hold every file that the page needs, and is it versioned by them?"""

import json
import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.template.loader import render_to_string

from survey.tablet import shell as shell_module
from survey.tablet.shell import current_shell

PROJECT = Path(__file__).parents[3]


@pytest.fixture(autouse=True)
def from_the_sources(settings):
    """A run of tests collects no static files."""
    settings.WHITENOISE_USE_FINDERS = True


class Addresses(HTMLParser):
    def __init__(self):
        super().__init__()
        self.found = set()

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        self.found |= {given[name] for name in ("src", "href") if name in given}


def test_the_shell_holds_every_address_that_the_page_itself_names():
    page = Addresses()
    page.feed(render_to_string("deck/deck.html"))

    assert page.found <= set(current_shell().addresses)


def test_the_shell_holds_every_module_of_the_deck():
    """A module that nothing imports is no part of the page and should not lie there."""
    on_disk = {
        f"/static/{path.relative_to(PROJECT / 'static').as_posix()}"
        for path in (PROJECT / "static" / "js" / "deck").rglob("*.js")
    }

    assert on_disk - set(current_shell().addresses) == set()


def test_no_module_of_the_shell_imports_one_outside_it():
    addresses = set(current_shell().addresses)
    outside = []
    for address in addresses:
        path = PROJECT / address.lstrip("/")
        if path.suffix != ".js" or not path.is_file():
            continue
        text = path.read_text(encoding="utf-8")
        for named in re.findall(r"^(?:import|export) .*from '(\..*)';$", text, re.M):
            target = "/" + (path.parent / named).resolve().relative_to(PROJECT).as_posix()
            if target not in addresses:
                outside.append((address, named))

    assert outside == []


def test_every_address_of_the_shell_is_on_this_server():
    assert all(not urlsplit(address).netloc for address in current_shell().addresses)


def test_the_version_changes_with_one_byte_of_one_file(monkeypatch):
    before = current_shell().version
    true_bytes = shell_module._bytes_of

    def with_one_byte_more(name):
        return true_bytes(name) + (b"\n" if name == "js/deck/state.js" else b"")

    monkeypatch.setattr(shell_module, "_bytes_of", with_one_byte_more)

    assert current_shell().version != before


@pytest.mark.django_db
def test_anybody_may_load_the_shell_and_nothing_about_a_wall_is_in_it(client):
    for path in ("/deck/", "/deck/worker.js", "/deck/manifest.webmanifest"):
        answer = client.get(path)

        assert answer.status_code == 200
        assert "csrf" not in answer.content.decode().lower()


@pytest.mark.django_db
def test_the_page_without_its_slash_leads_into_the_workers_scope(client):
    answer = client.get("/deck")

    assert answer.status_code == 301
    assert answer["Location"] == "/deck/"


@pytest.mark.django_db
def test_the_manifest_installs_the_deck_page_in_its_own_window(client):
    """source: W3C Web Application Manifest; installability asks for these members."""
    answer = client.get("/deck/manifest.webmanifest")

    manifest = json.loads(answer.content)
    assert answer["Content-Type"] == "application/manifest+json"
    assert manifest["start_url"] == manifest["scope"] == "/deck/"
    assert manifest["display"] == "standalone"
    assert {"192x192", "512x512"} <= {icon["sizes"] for icon in manifest["icons"]}


@pytest.mark.django_db
def test_the_worker_names_the_shells_version_and_waits_to_be_told(client):
    script = client.get("/deck/worker.js").content.decode()

    assert current_shell().version in script
    assert script.count("skipWaiting") == 1
    told, taking = script.split("async function takeOver()")
    assert "skipWaiting" in taking.split("async function")[0]
    assert [line for line in told.splitlines() if "takeOver" in line] == [
        "  if (event.data === 'take-over') event.waitUntil(takeOver());"
    ]


@pytest.mark.django_db
def test_worker_and_page_are_asked_for_again_each_time(client):
    assert "no-cache" in client.get("/deck/worker.js")["Cache-Control"]
    assert "no-cache" in client.get("/deck/")["Cache-Control"]
