"""How much faster do 5,000 outlines go from the database to the browser than by a plain serializer?

The peer is Django REST framework's own ModelSerializer and JSONRenderer over the same rows: the
fields as they are in the table, the geometry read from its column. Both sides end with the bytes
of the response. Five alternating pairs in one process, the median of each is compared.

Run: python tests/benchmarks/shapes_benchmark.py (a database in memory is made for it)
"""

import json
import os
import sys
import time
import uuid
from datetime import date
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "survey.settings")

import pytest  # noqa: E402

OUTLINES = 5_000
VERTICES = 24  # of an outline, about what a hand draws
PAIRS = 5
AT_LEAST = 5.0  # times faster


def test_outlines_reach_the_browser_five_times_faster_than_by_a_plain_serializer(
    django_db_setup, django_db_blocker
):
    with django_db_blocker.unblock():
        told = measure()

    print(f"\n{told['text']}")
    assert told["ratio"] >= AT_LEAST


def measure():
    """Fill the database, time both sides in turn, and return the figures."""
    from django.db import transaction

    with transaction.atomic():
        survey = fill()
        ours, plain = [], []
        check_both_say_the_same(survey)
        for _ in range(PAIRS):
            ours.append(timed(lambda: kept_ready(survey)))
            plain.append(timed(lambda: plainly_serialized(survey)))
        size_bytes = len(kept_ready(survey))
        transaction.set_rollback(True)
    ratio = median(plain) / median(ours)
    return {
        "ratio": ratio,
        "text": (
            f"{OUTLINES:,} outlines of {VERTICES} vertices, {size_bytes / 1e6:.1f} MB: "
            f"{median(ours) * 1e3:.1f} ms ready to send, {median(plain) * 1e3:.1f} ms by a plain "
            f"ModelSerializer: {ratio:.1f} times faster (at least {AT_LEAST:g})."
        ),
    }


def timed(work):
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def fill():
    """Put the outlines where a survey's entries would have put them."""
    import shapely

    from survey.clock import moment
    from survey.ledger.drafts import Draft, Writer
    from survey.record.services import append_to_survey
    from tests.support.factories import make_survey, make_wall, observation_body

    survey = make_survey(make_wall())
    drafts = []
    for number in range(OUTLINES):
        place = shapely.Point(8 + number % 250, 8 + number // 250 * 7).buffer(
            5, quad_segs=VERTICES // 4
        )
        ring = [[round(v * 256) / 256 for v in xy] for xy in place.exterior.coords]
        body = observation_body(
            survey,
            item=f"Pl{number}",
            geometry={"type": "Polygon", "coordinates": [ring]},
            condition=number % 4,
            note="edge fresh, crumbs on the ledge below",
        )
        drafts.append(
            Draft(
                kind="observation",
                body=body,
                object_id=uuid.UUID(int=number + 1),
                made_at=moment(),
                observed_by="Tomas Sedge",
            )
        )
    append_to_survey(survey, drafts, writer=Writer(name="Tomas Sedge", device="desk"))
    assert survey.starts_on == date(2026, 3, 2)
    return survey


def kept_ready(survey):
    """Return the bytes as the API's view sends them."""
    from django.http import HttpResponse

    from survey.record.selectors import shapes_text

    return HttpResponse(shapes_text(survey), content_type="application/json").content


def plainly_serialized(survey):
    """Return the bytes as a plain ModelSerializer of the same rows gives them."""
    from rest_framework.renderers import JSONRenderer

    rows = survey.observations.exclude(standing="withdrawn").order_by()
    data = {"survey": survey.code, "outlines": plain_serializer()(rows, many=True).data}
    return JSONRenderer().render(data)


def plain_serializer():
    """Return the serializer that a first draft of such a view would have."""
    import shapely
    from rest_framework import serializers

    from survey.record.models import Observation

    class OutlineSerializer(serializers.ModelSerializer):
        geometry = serializers.SerializerMethodField()

        class Meta:
            model = Observation
            fields = [
                "object_id", "head", "standing", "term", "item", "geometry_kind", "area_sq_in",
                "perimeter_in", "length_in", "boundary_error_in", "boundary_error_source", "mode",
                "basis", "observed_by", "observed_on", "condition", "urgency", "details", "cells",
                "geometry",
            ]  # fmt: skip

        def get_geometry(self, row):
            return shapely.geometry.mapping(shapely.from_wkb(bytes(row.shape_wkb)))

    return OutlineSerializer


def check_both_say_the_same(survey):
    """A fast answer that says less would be no answer."""
    ours = {row["id"]: row for row in json.loads(kept_ready(survey))["outlines"]}
    plain = {row["object_id"]: row for row in json.loads(plainly_serialized(survey))["outlines"]}
    assert ours.keys() == plain.keys()
    assert len(ours) == OUTLINES
    for key, row in plain.items():
        assert ours[key]["geometry"]["coordinates"] == row["geometry"]["coordinates"]
        for name in ("item", "term", "area_sq_in", "observed_on", "condition", "cells"):
            assert ours[key][name] == row[name]


if __name__ == "__main__":
    sys.exit(pytest.main(["-q", "-s", "-p", "no:cacheprovider", __file__]))
