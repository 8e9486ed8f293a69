"""Is every page reached by links from the start page, and does every link lead somewhere?"""

from collections import deque
from datetime import date
from html.parser import HTMLParser
from urllib.parse import urldefrag, urljoin, urlsplit

import pytest
from django.urls import get_resolver, resolve

from survey.clock import moment
from survey.jobs.services import run_job
from survey.ledger.devices import take_from_device
from survey.ledger.drafts import Draft, Writer, new_id
from survey.photos.models import PicturePair
from survey.photos.placing import write_placement
from survey.photos.presences import state_presence
from survey.photos.rectifying import copy_of
from survey.photos.taking_in import Statement, take_in
from survey.record.services import append_to_survey
from survey.report.notices import issue_notice
from survey.report.services import start_report
from survey.tablet.services import enrol
from survey.treatments.services import record_treatment
from survey.walls.services import set_phase
from survey.walls.telephones import add_contact
from survey.watch.importing import import_readings
from survey.watch.instruments import keep_instrument
from survey.watch.keys import make_key
from survey.watch.limits import keep_limit
from survey.watch.log_lines import say
from survey.watch.models import Exceedance
from survey.watch.notice_text import notice_text
from survey.watch.stop_views import choice_of
from survey.watch.stops import case_of
from tests.support.factories import (
    make_account,
    make_observation,
    make_survey,
    make_wall,
    observation_body,
)
from tests.survey.photos.camera import frame
from tests.survey.photos.marked import corners, taken

pytestmark = pytest.mark.django_db

MOST_PAGES = 400
# Bytes, states and previews asked for by a script or the browser, and the page before the start page.
NO_PAGES = {
    "jobs:state",
    "people:sign_in",
    "walls:preview",
    "treatments:picture",
    "tablet:manifest",
    "tablet:worker",
    "watch:series_data",
    "watch:series_csv",
    "watch:refused_lines",
    "watch:computed_data",
    "watch:computed_csv",
}


class Links(HTMLParser):
    """Collects where the links and the forms of a page lead."""

    def __init__(self):
        super().__init__()
        self.links, self.forms = set(), set()

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        if tag == "a" and given.get("href"):
            self.links.add(given["href"])
        if tag == "form":
            self.forms.add(given.get("action") or "")


def page_names():
    """Return the names of all addresses below the rooms, without the API."""
    names = set()
    for part in get_resolver().url_patterns:
        room = getattr(part, "app_name", None)
        if room and room != "api":
            names |= {f"{room}:{pattern.name}" for pattern in part.url_patterns}
    return names - NO_PAGES


@pytest.fixture
def lead():
    """A lead whose wall holds something of every kind that has a page of its own."""
    lead = make_account("ines", display_name="Ines Fallow")
    wall = make_wall(lead=lead)
    before = make_survey(wall)
    make_observation(before)
    after = make_survey(
        wall, "P1", kind="after-phase", starts_on=date(2026, 6, 15), ends_on=date(2026, 6, 19)
    )
    make_observation(after)
    record_a_treatment(wall, lead)
    shrink_a_loss(before, after)
    set_phase(
        wall=wall,
        number=1,
        name="Canopy demolition",
        starts_on=date(2026, 3, 16),
        ends_on=date(2026, 6, 12),
    )
    add_contact(wall, name="Gil Alder", role="Site manager", number="555-0142")
    watch_over(wall, before)
    leave_work_to_decide(after, lead)
    take_photographs_in(before)
    leave_a_pair_to_start_again(before, after)
    for issue in (False, True):
        job = start_report(survey=after, against=None, kind="condition", asked_by=lead, issue=issue)
        run_job.call(job.pk)
    start_report(survey=after, against=before, kind="condition", asked_by=lead, issue=False)
    return lead


def watch_over(wall, survey):
    """Leave an instrument with a red exceedance and its notice, and a stop from the deck."""
    writer = Writer(name="Ines Fallow", device="desk")
    channels = [
        {"name": "air", "quantity": "air-temperature", "unit": "°C"},
        {"name": "rh", "quantity": "relative-humidity", "unit": "%"},
    ]
    body = {"code": "A1", "name": "Air logger", "channels": channels, "from_on": "2026-02-23"}
    logger = keep_instrument(wall=wall, body={**body, "time": {"offset_min": 0}}, writer=writer)
    limit = {
        "quantity": "air-temperature", "unit": "°C", "direction": "above", "red": 12.0,
        "place": {"what": "wall", "name": ""}, "source": "Protocol", "label": "agreed-on-site",
        "agreed_by": "Ines Fallow", "valid_from": "2026-02-23",
    }  # fmt: skip
    keep_limit(wall=wall, body=limit, writer=writer)
    read = [["2026-03-02T09:00:00Z", "air", 14.0], ["2026-03-02T09:00:00Z", "rh", 50.0]]
    import_readings(logger, read, source="hand", writer=writer)
    red = Exceedance.objects.get(wall=wall)
    case = case_of(wall, red.object_id)
    text = notice_text(case, choice_of(case))
    issue_notice(case, text, to="Gil Alder", address="", writer=writer, object_id=new_id())
    stop = Draft(
        kind="stop",
        body={"noticed_at": "2026-03-03T09:00:00Z", "activity": "Breaker", "state": "open"},
        object_id=new_id(),
        made_at=moment(),
        observed_by="Priya Lund",
    )
    append_to_survey(survey, [stop], writer=writer)
    make_key(logger, by="Ines Fallow")
    seen = {"at": "2026-03-03T09:00:00Z", "what": "door", "state": "closed", "who": "Gil Alder"}
    say(wall, "enclosure", seen, writer=writer)


def leave_work_to_decide(survey, lead):
    """Enrol a tablet that sent what cannot be taken, and give an outline two heads."""
    tablet = enrol(survey=survey, name="Deck 1", account=lead)
    writer = Writer(name="Priya Lund", device=tablet.device)
    take_from_device([{}], logbook=survey.logbook, writer=writer)
    loss = make_observation(survey, item="L20")
    for note in ("edge fresh", "edge dirty"):
        changed = Draft(
            kind="observation",
            body=observation_body(survey, item="L20", note=note),
            object_id=loss.pk,
            made_at=moment(),
            observed_by="Priya Lund",
            parents=(loss.head_id,),
        )
        append_to_survey(survey, [changed], writer=writer)


def take_photographs_in(survey):
    """Leave a frame to sort, one that is placed, and an old picture asked about a place."""
    writer = Writer(name="Priya Lund", device="desk")
    take_in(survey, frame(seed=1), "R1.jpg", statement=Statement(mode="normal"), writer=writer)
    write_placement(taken(survey), corners(), writer=writer)
    copy_of(survey.placements.select_related("head").get().head)
    dated = {
        "date_words": "summer 1951",
        "date_certainty": "probable",
        "source": "a postcard",
        "source_certainty": "certain",
    }
    said = Statement(mode="normal", role="historic", historic=dated)
    old = take_in(survey, frame(seed=2), "card.jpg", statement=said, writer=writer).photograph
    state_presence(old, cell="A01", what="crack", answer="absent", writer=writer)


def leave_a_pair_to_start_again(before, after):
    """Leave a pair of pictures on which the work has stopped."""
    picture = {"name": "C17.jpg", "taken_on": "2026-06-15"}
    PicturePair.objects.create(
        wall=before.wall,
        before_survey=before,
        after_survey=after,
        mode="normal",
        cell="A01",
        bounds_in=[0, 0, 24, 24],
        before=picture,
        after=picture,
    )


def record_a_treatment(wall, lead):
    ring = [[24.0, 120.0], [48.0, 120.0], [48.0, 144.0], [24.0, 144.0], [24.0, 120.0]]
    body = {
        "term": "cleaned-area",
        "geometry": {"type": "Polygon", "coordinates": [ring]},
        "reason": "Soot hides the smoke zone.",
        "decided_by": "Ines Fallow",
        "condition_before": "Even grey layer, paint sound.",
        "method": "Dry, with soft sponges, after three tests.",
        "operators": ["Tomas Sedge"],
        "started_at": "2026-06-22T09:30:00Z",
        "result": "Ground colour in view.",
    }
    record_treatment(wall=wall, body=body, account=lead)


def shrink_a_loss(before, after):
    """Give the comparison a contradiction to decide: a paint loss that grew smaller."""
    for survey, side_in in ((before, 12.0), (after, 4.0)):
        examined = Draft(
            kind="examination",
            body={"layout": 1, "cell": "E05", "mode": "normal", "state": "seen"},
            object_id=new_id(),
            made_at=moment(),
            observed_by="Tomas Sedge",
        )
        append_to_survey(survey, [examined], writer=Writer(name="Tomas Sedge", device="desk"))
        x, y = 100.0, 50.0
        ring = [[x, y], [x + side_in, y], [x + side_in, y + side_in], [x, y + side_in], [x, y]]
        earlier = before.observations.filter(item="L9").values_list("pk", flat=True)
        make_observation(
            survey,
            item="L9",
            geometry={"type": "Polygon", "coordinates": [ring]},
            continues=[str(key) for key in earlier],
        )


def crawl(client):
    """Return the names of all addresses met on the way from the start page, and dead links."""
    met, dead = set(), []
    waiting, seen = deque(["/"]), {"/"}
    while waiting and len(seen) < MOST_PAGES:
        path = waiting.popleft()
        response = client.get(path)
        if response.status_code >= 400:
            dead.append((path, response.status_code))
            continue
        met.add(resolve(urlsplit(path).path).view_name)
        if not response.get("Content-Type", "").startswith("text/html"):
            continue
        if response.status_code in {301, 302}:
            links = Links()
            links.links.add(response["Location"])
        else:
            links = Links()
            links.feed(response.content.decode())
        for link in links.forms:
            met.add(resolve(urlsplit(urljoin(path, link)).path).view_name)
        for link in links.links:
            target = urldefrag(urljoin(path, link)).url
            if not urlsplit(target).netloc and target not in seen:
                seen.add(target)
                waiting.append(target)
    return met, dead


def test_every_page_is_reached_by_links_from_the_start_page(client, lead):
    client.force_login(lead)

    met, dead = crawl(client)

    assert dead == []
    assert page_names() - met == set()
