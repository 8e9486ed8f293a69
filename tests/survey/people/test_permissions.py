"""May each role do exactly what the table says, at every address of the project?

The table is written by hand from what the trade agreed (a lead, conservators, the contractor's
site manager, readers), not from the program's own rules. A new address without a row fails.
"""

import json

import pytest
from django.apps import apps
from django.urls import URLPattern, get_resolver, reverse

from survey.people.models import Role
from survey.people.services import give_role
from survey.record.models import Observation
from tests.support.factories import (
    make_account,
    make_member,
    make_observation,
    make_wall,
)
from tests.survey.api.drafts import entry
from tests.survey.people.scene import Scene

pytestmark = [pytest.mark.django_db, pytest.mark.database]

LEAD, CONSERVATOR, MANAGER, READER = Role.LEAD, Role.CONSERVATOR, Role.SITE_MANAGER, Role.READER
STRANGER, ANONYMOUS = "stranger", "anonymous"
EVERYBODY = (LEAD, CONSERVATOR, MANAGER, READER, STRANGER, ANONYMOUS)

MEMBERS = {LEAD, CONSERVATOR, MANAGER, READER}
WORKERS = {LEAD, CONSERVATOR}
LEADS = {LEAD}
SIGNED_IN = MEMBERS | {STRANGER}

# (name of the address, method) → who may
TABLE = {
    ("people:sign_in", "GET"): set(EVERYBODY),
    ("people:sign_out", "POST"): SIGNED_IN,
    ("walls:start", "GET"): SIGNED_IN,
    ("walls:new", "GET"): SIGNED_IN,
    ("walls:new", "POST"): SIGNED_IN,
    ("walls:preview", "POST"): SIGNED_IN,
    ("walls:setup", "GET"): MEMBERS,
    ("walls:identity", "GET"): LEADS,
    ("walls:identity", "POST"): LEADS,
    ("walls:layout", "GET"): LEADS,
    ("walls:layout", "POST"): LEADS,
    ("walls:layout_version", "GET"): MEMBERS,
    ("walls:new_phase", "GET"): LEADS,
    ("walls:new_phase", "POST"): LEADS,
    ("walls:phase", "GET"): LEADS,
    ("walls:phase", "POST"): LEADS,
    ("walls:phase_removal", "POST"): LEADS,
    ("walls:new_telephone", "GET"): LEADS,
    ("walls:new_telephone", "POST"): LEADS,
    ("walls:telephone", "GET"): LEADS,
    ("walls:telephone", "POST"): LEADS,
    ("walls:telephone_removal", "POST"): LEADS,
    ("walls:member_addition", "POST"): LEADS,
    ("walls:account_creation", "POST"): LEADS,
    ("walls:member_change", "POST"): LEADS,
    ("vocabulary:terms", "GET"): MEMBERS,
    ("record:wall", "GET"): MEMBERS,
    ("record:surveys", "GET"): MEMBERS,
    ("record:new_survey", "GET"): WORKERS,
    ("record:new_survey", "POST"): WORKERS,
    ("record:survey", "GET"): MEMBERS,
    ("record:close", "POST"): LEADS,
    ("record:item", "GET"): MEMBERS,
    ("tablets:list", "GET"): MEMBERS,
    ("tablets:retire", "POST"): WORKERS,
    ("tablets:work_file", "GET"): WORKERS,
    ("tablets:work_file", "POST"): WORKERS,
    ("tablets:set_aside", "GET"): LEADS,
    ("tablets:settle", "POST"): LEADS,
    ("tablets:raw", "GET"): LEADS,
    ("tablets:deck_log", "GET"): MEMBERS,
    ("tablets:conflicts", "GET"): MEMBERS,
    ("tablets:decide_conflict", "POST"): WORKERS,
    ("treatments:list", "GET"): MEMBERS,
    ("treatments:new", "GET"): WORKERS,
    ("treatments:new", "POST"): WORKERS,
    ("treatments:detail", "GET"): MEMBERS,
    ("treatments:correct", "GET"): WORKERS,
    ("treatments:correct", "POST"): WORKERS,
    ("treatments:withdraw", "POST"): WORKERS,
    ("treatments:picture", "GET"): MEMBERS,
    ("treatments:decisions", "GET"): MEMBERS,
    ("treatments:decide", "GET"): WORKERS,
    ("treatments:decide", "POST"): WORKERS,
    ("photos:overview", "GET"): MEMBERS,
    ("photos:historical", "GET"): MEMBERS,
    ("photos:new_historical", "GET"): WORKERS,
    ("photos:new_historical", "POST"): WORKERS,
    ("photos:survey", "GET"): MEMBERS,
    ("photos:take_in", "GET"): WORKERS,
    ("photos:sort", "GET"): MEMBERS,
    ("photos:sort", "POST"): WORKERS,
    ("photos:put_to_cell", "POST"): WORKERS,
    ("photos:shots", "GET"): MEMBERS,
    ("photos:photograph", "GET"): MEMBERS,
    ("photos:correct", "POST"): WORKERS,
    ("photos:presence", "POST"): WORKERS,
    ("photos:presence_correction", "POST"): WORKERS,
    ("photos:place", "GET"): WORKERS,
    ("photos:mosaics", "GET"): MEMBERS,
    ("photos:lay_mosaic", "POST"): WORKERS,
    ("photos:import_mosaic", "POST"): WORKERS,
    ("photos:pairs", "GET"): MEMBERS,
    ("photos:pairs", "POST"): WORKERS,
    ("photos:pair", "GET"): MEMBERS,
    ("photos:pair_again", "POST"): WORKERS,
    ("watch:overview", "GET"): MEMBERS,
    ("watch:climate", "GET"): MEMBERS,
    ("watch:applies", "GET"): WORKERS,
    ("watch:applies", "POST"): WORKERS,
    ("watch:vibration", "GET"): MEMBERS,
    ("watch:cracks", "GET"): MEMBERS,
    ("watch:colour", "GET"): MEMBERS,
    ("watch:dust", "GET"): MEMBERS,
    ("watch:instruments", "GET"): MEMBERS,
    ("watch:new_instrument", "GET"): WORKERS,
    ("watch:new_instrument", "POST"): WORKERS,
    ("watch:instrument", "GET"): MEMBERS,
    ("watch:change_instrument", "GET"): WORKERS,
    ("watch:change_instrument", "POST"): WORKERS,
    ("watch:instrument_event", "GET"): WORKERS,
    ("watch:instrument_event", "POST"): WORKERS,
    ("watch:new_key", "POST"): LEADS,
    ("watch:revoke_key", "POST"): LEADS,
    ("watch:import_readings", "GET"): WORKERS,
    ("watch:import_readings", "POST"): WORKERS,
    ("watch:hand_readings", "GET"): WORKERS,
    ("watch:hand_readings", "POST"): WORKERS,
    ("watch:refused_lines", "GET"): MEMBERS,
    ("watch:withdraw_import", "POST"): WORKERS,
    ("watch:series_data", "GET"): MEMBERS,
    ("watch:series_csv", "GET"): MEMBERS,
    ("watch:computed_data", "GET"): MEMBERS,
    ("watch:computed_csv", "GET"): MEMBERS,
    ("watch:limits", "GET"): MEMBERS,
    ("watch:new_limit", "GET"): WORKERS,
    ("watch:new_limit", "POST"): WORKERS,
    ("watch:limit", "GET"): WORKERS,
    ("watch:limit", "POST"): WORKERS,
    ("watch:limit_withdrawal", "POST"): WORKERS,
    ("watch:due", "GET"): MEMBERS,
    ("watch:due", "POST"): WORKERS,
    ("watch:exceedances", "GET"): MEMBERS,
    ("watch:exceedance", "GET"): MEMBERS,
    ("watch:exceedance", "POST"): WORKERS,
    ("watch:stop", "GET"): MEMBERS,
    ("watch:stop", "POST"): WORKERS,
    ("watch:site", "GET"): MEMBERS,
    ("watch:plant", "GET"): MEMBERS,
    ("watch:light", "GET"): MEMBERS,
    ("watch:new_line", "GET"): WORKERS,
    ("watch:new_line", "POST"): WORKERS,
    ("watch:withdraw_line", "GET"): WORKERS,
    ("watch:withdraw_line", "POST"): WORKERS,
    ("compare:choose", "GET"): MEMBERS,
    ("compare:result", "GET"): MEMBERS,
    ("compare:decide", "POST"): WORKERS,
    ("report:list", "GET"): MEMBERS,
    ("report:list", "POST"): WORKERS,
    ("report:pdf", "GET"): MEMBERS,
    ("report:draft", "GET"): WORKERS,
    ("report:notice", "GET"): MEMBERS,
    ("report:notice", "POST"): WORKERS,
    ("report:notice_pdf", "GET"): MEMBERS,
    ("jobs:list", "GET"): WORKERS,
    ("jobs:job", "GET"): WORKERS,
    ("jobs:state", "GET"): WORKERS,
    ("jobs:cancel", "POST"): WORKERS,
    ("jobs:again", "POST"): WORKERS,
    ("api:wall_entries", "GET"): MEMBERS,
    ("api:wall_entries", "POST"): WORKERS,
    ("api:entries", "GET"): MEMBERS,
    ("api:entries", "POST"): WORKERS,
    ("api:shapes", "GET"): MEMBERS,
    ("api:examinations", "GET"): MEMBERS,
    ("api:photographs", "POST"): WORKERS,
    ("api:rendition", "GET"): MEMBERS,
    ("api:mosaic_tile", "GET"): MEMBERS,
    ("api:placement", "POST"): WORKERS,
    ("api:placement_check", "POST"): WORKERS,
    ("api:hint_acceptance", "POST"): WORKERS,
    ("api:hint_dismissal", "POST"): WORKERS,
    ("api:blob", "GET"): MEMBERS,
    ("tablet:deck", "GET"): set(EVERYBODY),
    ("tablet:worker", "GET"): set(EVERYBODY),
    ("tablet:manifest", "GET"): set(EVERYBODY),
    ("api:session", "GET"): set(EVERYBODY),
    ("api:tablets", "POST"): WORKERS,
    ("api:tablet_choices", "GET"): SIGNED_IN,
    ("api:tablet_pack", "GET"): WORKERS,
    ("api:tablet_picture", "GET"): WORKERS,
    ("api:tablet_push", "POST"): WORKERS,
    ("api:tablet_pull", "GET"): WORKERS,
    ("api:tablet_blob", "GET"): WORKERS,
    ("api:tablet_blob", "PUT"): WORKERS,
    ("api:schema", "GET"): SIGNED_IN,
    ("api:instrument_readings", "POST"): set(),  # the instrument's own key opens it, no account
}
OF_AN_INSTRUMENT = "api:instrument_readings"
# Routes of an enrolled tablet: who holds it knows of its wall already.
OF_A_TABLET = {
    "api:tablet_pack", "api:tablet_picture", "api:tablet_push", "api:tablet_pull",
    "api:tablet_blob",
}  # fmt: skip
OF_NO_WALL = {
    "people:sign_in", "people:sign_out", "walls:start", "walls:new", "walls:preview",
    "api:blob", "api:mosaic_tile", "api:rendition", "api:schema", "api:session", "api:tablets", "api:tablet_choices",
    "tablet:deck", "tablet:worker", "tablet:manifest", *OF_A_TABLET, "api:instrument_readings",
}  # fmt: skip
# What an allowed request sends where an empty form would only be refused as a form.
SENT = {
    ("report:list", "POST"): {"survey": "B1", "kind": "condition"},
    ("tablets:retire", "POST"): {"why": "lost"},
    ("walls:member_change", "POST"): {"do": "change", "role": "conservator"},
    ("walls:member_addition", "POST"): {"member-username": "newcomer", "member-role": "reader"},
}
SENT_AS_JSON = {
    ("api:instrument_readings", "POST"): [["2026-03-02T09:00:00Z", "air", 14.0]],
    ("api:tablets", "POST"): {"wall": "booking-hall", "survey": "B1", "name": "Deck 2"},
    ("api:tablet_push", "POST"): {"contract": 1, "entries": [{}]},
}
REFUSED_QUERY = ("compare:decide", "POST")  # the queries have lapsed: allowed, then not found


def addresses(patterns=None, namespace=""):
    """Yield the full name of every address of the project."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLPattern):
            yield f"{namespace}{pattern.name}"
        else:
            inner = f"{pattern.namespace}:" if pattern.namespace else ""
            yield from addresses(pattern.url_patterns, namespace + inner)


def test_every_address_has_its_row():
    assert {name for name, _ in TABLE} == set(addresses())


def row_counts():
    return {model._meta.label: model._base_manager.count() for model in apps.get_models()}


def sign_in(client, wall, role):
    if role == STRANGER:
        # A stranger to this wall who leads another: a role elsewhere opens nothing here.
        account = make_account()
        give_role(account=account, wall=make_wall(wall="signal-box", name="Signal box"), role=LEAD)
        client.force_login(account)
    elif role != ANONYMOUS:
        client.force_login(make_member(wall, role))


def ask(client, address, row):
    name, method = row
    if method == "GET":
        return client.get(address)
    if method == "PUT":
        return client.put(f"{address}?offset=0&total=4", b"1234", "application/octet-stream")
    if row in SENT_AS_JSON:
        return client.post(address, SENT_AS_JSON[row], content_type="application/json")
    if name.startswith("api:"):
        data = json.dumps({"entries": [entry()]}) if name == "api:entries" else decision()
        return client.post(address, data=data, content_type="application/json")
    return client.post(address, data=SENT.get(row, {}))


def decision():
    sent = entry(kind="decision")
    sent["body"] = {
        "subject": "item",
        "item": sent["object_id"],
        "choice": "leave",
        "reason": "stable",
        "decided_by": "Ines Fallow",
    }
    return json.dumps({"entries": [sent]})


@pytest.fixture
def scene():
    make_account("newcomer")
    return Scene()


@pytest.mark.parametrize("role", EVERYBODY)
@pytest.mark.parametrize("row", TABLE, ids=lambda row: " ".join(row))
def test_a_role_may_do_what_the_table_says_and_nothing_else(client, scene, row, role):
    address = scene.address(row[0])
    sign_in(client, scene.wall, role)
    before = row_counts()

    response = ask(client, address, row)

    if role in TABLE[row]:
        assert response.status_code in ({404} if row == REFUSED_QUERY else {200, 302, 400}), (
            response
        )
        assert response.headers.get("Location", "") != sign_in_page(address)
    else:
        assert_refused(response, address, name=row[0], role=role)
        assert row_counts() == before


def sign_in_page(address):
    return f"{reverse('people:sign_in')}?next={address}"


def assert_refused(response, address, *, name, role):
    if name == OF_AN_INSTRUMENT or (role == ANONYMOUS and address.startswith("/api/")):
        assert response.status_code == 401
    elif role == ANONYMOUS:
        assert (response.status_code, response.headers["Location"]) == (302, sign_in_page(address))
    else:
        hidden = role == STRANGER and name not in OF_A_TABLET
        assert response.status_code == (404 if hidden else 403)
    if address.startswith("/api/"):
        assert {"message", "field"} <= set(response.json()) <= {"message", "field", "reason"}


@pytest.mark.parametrize("row", TABLE, ids=lambda row: " ".join(row))
def test_a_wall_that_is_not_there_looks_like_a_foreign_wall(client, scene, row):
    if row[0] in OF_NO_WALL:
        return
    sign_in(client, scene.wall, STRANGER)
    address = scene.address(row[0])

    foreign = ask(client, address, row)
    unknown = ask(client, address.replace("booking-hall", "nowhere"), row)

    assert foreign.status_code == unknown.status_code == 404
    assert without_tokens(foreign) == without_tokens(unknown)


def without_tokens(response):
    text = response.content.decode()
    return "\n".join(line for line in text.splitlines() if "csrf" not in line)


OF_ANOTHER_WALL = [
    "record:item", "treatments:detail", "treatments:correct", "treatments:withdraw",
    "treatments:picture", "treatments:decide", "jobs:job", "jobs:state", "jobs:cancel", "jobs:again",
    "tablets:retire", "tablets:settle", "tablets:raw",
    "api:placement", "api:placement_check", "photos:place",
    "api:hint_acceptance", "api:hint_dismissal", "photos:pair", "photos:pair_again",
    "photos:photograph", "photos:correct", "photos:presence", "photos:presence_correction",
    "watch:instrument", "watch:change_instrument", "watch:instrument_event", "watch:new_key",
    "watch:revoke_key", "watch:import_readings", "watch:hand_readings", "watch:refused_lines",
    "watch:withdraw_import", "watch:series_data", "watch:series_csv",
    "watch:computed_data", "watch:computed_csv",
    "watch:limit", "watch:limit_withdrawal", "watch:exceedance", "watch:stop",
    "watch:withdraw_line",
    "report:notice",
    "report:draft", "walls:member_change", "walls:telephone", "walls:telephone_removal",
]  # fmt: skip


@pytest.mark.parametrize("name", OF_ANOTHER_WALL)
def test_the_lead_of_one_wall_reaches_nothing_of_another_under_its_name(client, scene, name):
    other = Scene("signal-box", "Signal box")
    client.force_login(make_member(scene.wall, LEAD))
    method = "GET" if (name, "GET") in TABLE else "POST"
    address = other.address(name).replace("signal-box", "booking-hall")
    before = row_counts()

    response = ask(client, address, (name, method))

    assert response.status_code == 404
    assert row_counts() == before
    other.job.refresh_from_db()
    assert not other.job.cancel_asked


def test_a_continued_item_of_another_wall_is_not_shown(client, scene):
    other = Scene("signal-box", "Signal box")
    Observation.objects.filter(pk=other.item.pk).update(item="Secret9")
    ours = make_observation(scene.survey, item="L2", continues=[str(other.item.pk)])
    client.force_login(make_member(scene.wall, LEAD))

    page = client.get(reverse("record:item", args=[scene.wall.slug, ours.pk])).content.decode()

    assert "L2" in page
    assert "Secret9" not in page
