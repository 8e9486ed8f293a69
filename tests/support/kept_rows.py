"""What of all that tablets sent stands in the record, what waits aside, and is anything there twice?"""

import json

from survey.photos.models import Photograph
from survey.record.models import Continuation, Examination, Observation, Survey

PROJECTED = (Observation, Examination, Photograph)


def is_held(tablet, value, *, entries, aside):
    """Say whether a thing stands in the record word for word, or aside in the lead's sight."""
    if isinstance(value, dict) and isinstance(value.get("id"), str):
        entry = entries.get(value["id"])
        if entry is not None and entry.digest == value.get("digest"):
            return True
    return any(row.device == tablet.device and says(row, value) for row in aside)


def nothing_is_kept_twice(entries, aside):
    """A thing stands in the record or waits aside; taken after all, it keeps its number."""
    waiting = [row for row in aside if not hasattr(row, "settled")]
    places = {(entry.device, entry.device_seq): entry for entry in entries}
    for row in waiting:
        entry = places.get((row.device, row.device_seq))
        if entry is not None:
            assert not says(row, {**entry.statement, "device_seq": entry.device_seq})
    raws = [(row.device, bytes(row.raw)) for row in aside]
    assert len(raws) == len(set(raws))
    for row in aside:
        entry = row.settled.entry if hasattr(row, "settled") else None
        assert entry is None or (entry.device, entry.device_seq) == (row.device, row.device_seq)


def says(kept, value):
    """Say whether what was set aside says what was sent, beyond digest and order of keys."""
    raw = json.loads(bytes(kept.raw).decode("utf-8", "surrogatepass"))
    return text_of(raw) == text_of(value)


def text_of(value):
    if isinstance(value, dict):
        value = {key: part for key, part in value.items() if key != "digest"}
    return json.dumps(value, sort_keys=True)  # as text, because NaN is not equal to itself


def projected(survey):
    """Return every projected row of a survey without the numbers that the database gives."""
    rows = {
        model.__name__: sorted(map(repr, model.objects.filter(survey=survey).values()))
        for model in PROJECTED
    }
    links = Continuation.objects.filter(observation__survey=survey)
    rows["Continuation"] = sorted(links.values_list("observation_id", "prior_object_id"))
    rows["Survey"] = list(Survey.objects.filter(pk=survey.pk).values("state", "closed_on"))
    return rows
