"""Which entries do the tests send over HTTP? Plain JSON objects, as a browser would."""

import json
import uuid

RING = [[10.0, 10.0], [12.0, 10.0], [12.0, 13.0], [10.0, 13.0], [10.0, 10.0]]


def entry(*, kind="observation", observed_by=None, **body):
    """Return an observation of a paint loss of 2 in by 3 in, with changed fields of its body."""
    made = {
        "id": str(uuid.uuid4()),
        "object_id": str(uuid.uuid4()),
        "kind": kind,
        "kind_version": 1,
        "made_at": "2026-03-03T10:15:00Z",
        "body": {
            "term": "paint-loss",
            "geometry": {"type": "Polygon", "coordinates": [RING]},
            "basis": "drawn",
            "mode": "normal",
            "item": "L1",
            "observed_on": "2026-03-03",
            **body,
        },
    }
    return made if observed_by is None else {**made, "observed_by": observed_by}


def examination(**body):
    """Return an examination of cell C03 by eye, with changed fields of its body."""
    whole = {"layout": 1, "cell": "C03", "mode": "normal", "state": "seen", **body}
    return {**entry(kind="examination"), "body": whole}


def post(client, place, *entries):
    """Send a batch as JSON."""
    return client.post(
        place, data=json.dumps({"entries": list(entries)}), content_type="application/json"
    )
