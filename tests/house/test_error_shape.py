"""Does every refusal leave the API in the one pinned shape: message and field?"""

import json

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404
from rest_framework import exceptions as api_errors

from gridmap.errors import Clash, InvalidInput, NotFound, NotPermitted
from survey.errors import errors_to_json

SHAPE = {"message", "field"}


@pytest.mark.parametrize(
    ("error", "status"),
    [
        (InvalidInput("The width is 0 ft.", field="width"), 400),
        (NotPermitted("Only the lead conservator may close a survey."), 403),
        (NotFound("There is no survey P9."), 404),
        (Clash("B1 is closed."), 409),
        (Http404(), 404),
        (PermissionDenied("No."), 403),
        (api_errors.NotAuthenticated(), 401),
        (api_errors.ParseError("Bad JSON."), 400),
        (api_errors.MethodNotAllowed("PUT"), 405),
        (api_errors.UnsupportedMediaType("text/plain"), 415),
        (api_errors.ValidationError({"entries": [{"id": ["Not a UUID."]}]}), 400),
    ],
)
def test_every_refusal_has_message_and_field_and_nothing_else(error, status):
    response = errors_to_json(error, {})

    assert response is not None
    assert response.status_code == status
    assert set(response.data) == SHAPE
    assert isinstance(response.data["message"], str)
    assert response.data["message"]


def test_a_refused_field_is_named():
    response = errors_to_json(InvalidInput("The width is 0 ft.", field="width"), {})

    assert response.data == {"message": "The width is 0 ft.", "field": "width"}


def test_a_nested_field_is_named_with_its_path():
    error = api_errors.ValidationError({"entries": {"id": ["Not a UUID."]}})

    response = errors_to_json(error, {})

    assert response.data == {"message": "Not a UUID.", "field": "entries.id"}


def test_an_api_address_that_leads_nowhere_answers_in_the_same_shape(client):
    response = client.get("/api/v1/nowhere/", headers={"accept": "application/json"})

    if response.status_code in {301, 302}:
        pytest.fail("an unknown API address leads to a page instead of an error")
    assert set(json.loads(response.content)) == SHAPE


def test_a_page_address_that_leads_nowhere_says_so_and_leads_back(client, db):
    response = client.get("/nowhere/")

    assert response.status_code == 404
    assert "There is nothing here" in response.content.decode()
    assert 'href="/' in response.content.decode()
