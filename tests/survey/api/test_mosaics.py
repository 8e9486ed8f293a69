"""Are the tiles of a mosaic handed to those who may see the wall, once and for all, and to no other?"""

import io

import pytest
from PIL import Image

from survey.people.models import Role
from survey.people.services import give_role
from survey.photos.pyramids import tile_bytes
from tests.support.factories import make_account, make_member, make_survey, make_wall
from tests.survey.photos.test_orthophotos import bring, saved

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def mosaic(tmp_path):
    return bring(make_survey(make_wall()), saved(tmp_path))


def address(mosaic, z=2, x=1, y=0):
    return f"/api/v1/mosaics/{mosaic.pk}/{z}/{x}/{y}.jpg"


def test_a_reader_gets_the_stored_tile_and_keeps_it(client, mosaic):
    client.force_login(make_member(mosaic.survey.wall, Role.READER))

    answer = client.get(address(mosaic))

    assert answer.status_code == 200
    assert answer["Content-Type"] == "image/jpeg"
    assert answer.content == tile_bytes(mosaic.pyramid_id, 2, 1, 0)
    with Image.open(io.BytesIO(answer.content)) as tile:
        assert tile.size == (512, 512)


def test_a_tile_may_be_kept_for_good_but_by_no_shared_store(client, mosaic):
    client.force_login(make_member(mosaic.survey.wall, Role.READER))

    kept = client.get(address(mosaic))["Cache-Control"]

    assert {"private", "immutable", "max-age=31536000"} == {
        part.strip() for part in kept.split(",")
    }


def test_a_stranger_learns_nothing_of_a_mosaic(client, mosaic):
    stranger = make_account()
    give_role(account=stranger, wall=make_wall(wall="signal-box"), role=Role.LEAD)
    client.force_login(stranger)

    foreign = client.get(address(mosaic))
    unknown = client.get("/api/v1/mosaics/00000000-0000-0000-0000-000000000000/0/0/0.jpg")

    assert foreign.status_code == unknown.status_code == 404
    assert foreign.json() == unknown.json()
    assert "immutable" not in foreign.get("Cache-Control", "")


def test_nobody_who_has_not_signed_in_gets_a_tile(client, mosaic):
    assert client.get(address(mosaic)).status_code in {401, 403}


@pytest.mark.parametrize("place", [(7, 0, 0), (2, 3, 0), (2, 0, 9)])
def test_a_tile_that_is_not_there_is_not_found_and_not_kept(client, mosaic, place):
    client.force_login(make_member(mosaic.survey.wall, Role.READER))

    answer = client.get(address(mosaic, *place))

    assert answer.status_code == 404
    assert "immutable" not in answer.get("Cache-Control", "")


def test_the_file_of_an_import_is_handed_out_as_it_came(client, mosaic, tmp_path):
    digest = mosaic.head.content["original"]["digest"]
    client.force_login(make_member(mosaic.survey.wall, Role.READER))

    answer = client.get(f"/api/v1/blobs/{digest}")

    assert b"".join(answer.streaming_content) == (tmp_path / "wall.tif").read_bytes()


def test_the_file_of_an_import_is_closed_to_strangers(client, mosaic):
    digest = mosaic.head.content["original"]["digest"]
    client.force_login(make_account())

    assert client.get(f"/api/v1/blobs/{digest}").status_code == 404
