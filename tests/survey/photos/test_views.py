"""Do the pages about photographs show what is there, refuse in words and keep what was typed?"""

import re
from uuid import uuid4

import pytest
from django.urls import reverse

from survey.clock import moment
from survey.jobs.services import run_job
from survey.ledger.drafts import Draft, Writer
from survey.people.models import Role
from survey.photos.models import Photograph
from survey.photos.sort_job import ask_to_sort
from survey.photos.taking_in import Statement, take_in, take_in_raw
from survey.record.services import append_to_survey
from tests.support.factories import make_member, make_survey, make_wall
from tests.survey.photos.camera import NINE, frame, later, slate_frame, slate_text

pytestmark = [pytest.mark.django_db, pytest.mark.database]
PRIYA = Writer(name="Priya Lund", device="desk")


@pytest.fixture
def survey():
    return make_survey(make_wall())


@pytest.fixture
def worker(client, survey):
    client.force_login(make_member(survey.wall, Role.CONSERVATOR, display_name="Tomas Sedge"))
    return client


def put(survey, name, *, seed=1, data=None, **said):
    statement = Statement(**{"mode": "normal", **said})
    picture = data or frame(seed=seed, taken=NINE, gps=True, number="7042")
    return take_in(survey, picture, name, statement=statement, writer=PRIYA).photograph


def at(name, survey, *more):
    return reverse(f"photos:{name}", args=[survey.wall.slug, survey.code, *more])


def one(name, photograph, *more):
    return reverse(f"photos:{name}", args=[photograph.survey.wall.slug, photograph.pk, *more])


def text_of(response):
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


def correction(photograph, **changes):
    said = {
        "head": str(photograph.head_id),
        "cells": ", ".join(photograph.cells),
        "mode": photograph.mode,
        "lamp_side": photograph.lamp_side,
        "role": photograph.role,
        "note": photograph.note,
    }
    return {**said, **changes}


@pytest.mark.parametrize("name", ["survey", "sort"])
def test_an_empty_survey_says_what_will_stand_there(worker, survey, name):
    words = text_of(worker.get(at(name, survey)))

    assert "None has been taken in yet" in words or "There are none in survey" in words


def test_a_wall_without_a_survey_says_where_photographs_will_stand(client):
    wall = make_wall()
    client.force_login(make_member(wall))

    page = client.get(reverse("photos:overview", args=[wall.slug]))

    assert "this wall has none yet" in text_of(page)


def test_the_overview_counts_by_light_and_what_waits(worker, survey):
    put(survey, "a.jpg", seed=1, cells=("A01",))
    put(survey, "b.jpg", seed=2, mode="raking", lamp_side="left")
    put(survey, "c.jpg", seed=3, role="note")

    row = worker.get(reverse("photos:overview", args=[survey.wall.slug])).context["rows"][0]

    assert row.by_mode == {"normal": 1, "raking": 1}
    assert (row.frames, row.unsorted, row.unplaced, row.notes) == (2, 1, 1, 1)


def test_frames_are_listed_by_cell_in_reading_order_and_notes_apart(worker, survey):
    put(survey, "low.jpg", seed=1, cells=("C02",))
    put(survey, "high.jpg", seed=2, cells=("A02", "A01"))
    put(survey, "note.jpg", seed=3, role="note", note="look here")

    context = worker.get(at("survey", survey)).context

    listed = [(c.cell, [f.photograph.name for f in c.frames]) for c in context["cells"]]
    assert listed == [("A01", ["high.jpg"]), ("A02", ["high.jpg"]), ("C02", ["low.jpg"])]
    assert [note.name for note in context["notes"]] == ["note.jpg"]


@pytest.mark.parametrize(
    ("question", "cells"),
    [
        ("mode=raking", ["A02"]),
        ("cell=a1", ["A01"]),
        ("state=placed", []),
        ("state=unplaced&mode=normal", ["A01"]),
        ("mode=moonlight", ["A01", "A02"]),
    ],
)
def test_frames_are_chosen_by_light_cell_and_place(worker, survey, question, cells):
    put(survey, "a.jpg", seed=1, cells=("A01",))
    put(survey, "b.jpg", seed=2, cells=("A02",), mode="raking")

    page = worker.get(f"{at('survey', survey)}?{question}")

    assert [cell.cell for cell in page.context["cells"]] == cells


def test_a_cell_that_there_is_not_is_refused_at_the_field(worker, survey):
    put(survey, "a.jpg", cells=("A01",))

    page = worker.get(f"{at('survey', survey)}?cell=Z99")

    assert page.status_code == 400
    assert "is no cell here" in text_of(page)
    assert 'value="Z99"' in page.content.decode()


def test_pictures_are_shown_as_derived_copies_and_the_original_is_only_a_download(worker, survey):
    photograph = put(survey, "a.jpg", cells=("A01",))
    blob = reverse("api:blob", args=[photograph.blob_id])

    pages = [worker.get(at("survey", survey)), worker.get(one("photograph", photograph))]

    for page in pages:
        sources = re.findall(r'<img[^>]* src="([^"?]+)', page.content.decode())
        assert set(sources) == {reverse("api:rendition", args=[photograph.pk])}
    assert f'href="{blob}" download="a.jpg"' in pages[1].content.decode()
    assert photograph.blob_id in text_of(pages[1])


def test_one_photograph_tells_testimony_light_and_place_apart(worker, survey):
    photograph = put(
        survey, "a.jpg", cells=("A01",), mode="raking", lamp_side="left", lamp="LED panel",
        angle_deg=8.0, scale_bar=True,
    )  # fmt: skip

    words = text_of(worker.get(one("photograph", photograph)))

    assert "Raking light, lamp from the left 8° to the wall LED panel" in words
    assert "scale bar" in words
    assert "Testimony of the file" in words
    assert "Rook Plate 6, no. 7042" in words
    assert "not placed" in words
    assert "GPS" not in words


def test_the_raw_file_beside_a_photograph_is_offered_with_its_digest(worker, survey):
    photograph = put(survey, "a.jpg", cells=("A01",))
    raw = b"II*\x00\x08\x00\x00\x00" + bytes(range(256)) * 4
    take_in_raw(survey, raw, "a.NEF", writer=PRIYA)

    page = worker.get(one("photograph", photograph))

    photograph.refresh_from_db()
    assert "Download a.NEF" in text_of(page)
    assert photograph.raw_blob_id in text_of(page)


def test_a_corrected_cell_is_on_record_and_the_earlier_one_stays_readable(worker, survey):
    photograph = put(survey, "a.jpg", cells=("A01",), note="first")

    sent = worker.post(one("correct", photograph), correction(photograph, cells="a2, B01"))

    photograph.refresh_from_db()
    assert sent.status_code == 302
    assert photograph.cells == ["A02", "B01"]
    assert photograph.note == "first"
    history = worker.get(one("photograph", photograph)).context["history"]
    assert [entry.content["cells"] for entry in history] == [["A01"], ["A02", "B01"]]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"cells": "Z99"}, "is no cell here"),
        ({"mode": "moonlight"}, "choose one that is offered"),
        ({"angle_deg": "120"}, "at most 90"),
        ({"head": str(uuid4())}, "since the page was opened"),
    ],
)
def test_a_correction_that_cannot_be_is_refused_in_words(worker, survey, changes, words):
    photograph = put(survey, "a.jpg", cells=("A01",))

    page = worker.post(one("correct", photograph), correction(photograph, **changes))

    assert page.status_code == 400
    assert words in text_of(page)
    kept = Photograph.objects.get()
    assert (kept.head_id, kept.cells) == (photograph.head_id, ["A01"])


def test_a_correction_that_changes_nothing_writes_nothing(worker, survey):
    photograph = put(survey, "a.jpg", cells=("A01",), mode="raking", lamp_side="left")

    worker.post(one("correct", photograph), correction(photograph))

    assert Photograph.objects.get().head_id == photograph.head_id


def test_a_photograph_in_conflict_is_not_corrected_over(worker, survey):
    photograph = put(survey, "a.jpg", cells=("A01",))
    for cell in ("A02", "B01"):
        draft = Draft(
            kind="photograph",
            body={**photograph.head.content, "cells": [cell]},
            object_id=photograph.pk,
            made_at=moment(),
            observed_by="Priya Lund",
            parents=(photograph.head_id,),
        )
        append_to_survey(survey, [draft], writer=PRIYA)
    photograph.refresh_from_db()

    page = worker.get(one("photograph", photograph))
    sent = worker.post(one("correct", photograph), correction(photograph, cells="C01"))

    assert "contradict each other" in text_of(page)
    assert 'id="correct"' not in page.content.decode()
    assert sent.status_code == 400


def test_chosen_frames_are_put_to_a_cell_together(worker, survey):
    rows = [put(survey, f"{n}.jpg", seed=n) for n in (1, 2, 3)]
    chosen = [str(row.pk) for row in rows[:2]]

    sent = worker.post(at("put_to_cell", survey), {"cells": "b1", "photograph": chosen})

    assert sent.status_code == 302
    assert [Photograph.objects.get(pk=row.pk).cells for row in rows] == [["B01"], ["B01"], []]


@pytest.mark.parametrize(
    ("cells", "choose", "words"),
    [
        ("Z99", True, "is no cell here"),
        ("", True, "Cells is empty"),
        ("A01", False, "No photograph is chosen"),
    ],
)
def test_putting_to_a_cell_is_refused_in_words_and_keeps_the_choice(
    worker, survey, cells, choose, words
):
    photograph = put(survey, "1.jpg")
    chosen = [str(photograph.pk)] if choose else [str(uuid4())]

    page = worker.post(at("put_to_cell", survey), {"cells": cells, "photograph": chosen})

    assert page.status_code == 400
    assert words in text_of(page)
    assert (f'value="{photograph.pk}" checked' in page.content.decode()) == choose
    assert Photograph.objects.get().cells == []


def test_a_frame_of_another_survey_is_not_put_to_a_cell(worker, survey):
    other = make_survey(survey.wall, "P1", kind="round")
    foreign = put(other, "1.jpg")

    page = worker.post(at("put_to_cell", survey), {"cells": "A01", "photograph": str(foreign.pk)})

    assert page.status_code == 400
    assert Photograph.objects.get().cells == []


def test_a_note_from_the_deck_is_attached_to_a_cell_and_stays_a_note(worker, survey):
    note = put(survey, "note.jpg", role="note")
    said = {"cells": "A01", "photograph": str(note.pk), "back": "survey"}

    sent = worker.post(at("put_to_cell", survey), said)

    note.refresh_from_db()
    assert sent.headers["Location"] == at("survey", survey)
    assert (note.role, note.cells) == ("note", ["A01"])


def take_a_set_in(survey):
    start = NINE
    text = slate_text(cell="A01", number=1, at=start, wall=survey.wall.slug, survey=survey.code)
    put(survey, "0.jpg", data=slate_frame(text, taken=start, number="7042"))
    for shot in (1, 2):
        taken = later(start, minutes=shot)
        put(survey, f"{shot}.jpg", data=frame(seed=shot, taken=taken, number="7042"))
    return put(survey, "9.jpg", data=frame(seed=9, taken=later(start, minutes=-30), number="7042"))


def test_sorting_is_shown_with_what_is_left_and_why(
    worker, survey, django_capture_on_commit_callbacks
):
    left = take_a_set_in(survey)

    worker.post(at("sort", survey))
    waiting = worker.get(at("sort", survey))
    run_job.call(waiting.context["work"].pk)
    page = worker.get(at("sort", survey))

    assert "are being sorted" in text_of(waiting)
    assert "1 slate read, 2 frames put to cells, 1 left" in text_of(page)
    assert [(row.pk, bool(why)) for row, why in page.context["unsorted"]] == [(left.pk, True)]
    slates = worker.get(at("survey", survey)).context["slates"]
    assert [slate.name for slate in slates] == ["0.jpg"]


def test_a_frame_that_a_person_put_elsewhere_stays_there_when_sorted_again(worker, survey):
    take_a_set_in(survey)
    account = make_member(survey.wall)
    run_job.call(ask_to_sort(survey, asked_by=account).pk)
    moved = Photograph.objects.get(name="2.jpg")

    worker.post(one("correct", moved), correction(moved, cells="B01"))
    run_job.call(ask_to_sort(survey, asked_by=account).pk)

    moved.refresh_from_db()
    assert (moved.cells, moved.slate) == (["B01"], {})


def test_the_shot_list_says_how_many_and_what_is_missing(worker, survey):
    put(survey, "a.jpg", cells=("A01",))

    page = worker.get(at("shots", survey))

    cells = survey.layout.grid.labels()
    missing = {cell for _, cells in page.context["state"].missing_cells for cell in cells}
    assert missing == set(cells) - {"A01"}
    assert f"{page.context['plan'].total} frames" in text_of(page)


@pytest.mark.parametrize(
    ("question", "words"),
    [
        ("px_per_in=0", "at least 1"),
        ("overlap_pct=95", "at most 90"),
        ("width_px=many", "is not a number"),
        ("px_per_in=5000&width_px=1&height_px=1", "Ask for fewer pixels"),
    ],
)
def test_a_shot_list_that_cannot_be_made_is_refused_at_its_field(worker, survey, question, words):
    page = worker.get(f"{at('shots', survey)}?{question}")

    assert page.status_code == 400
    assert words in text_of(page)


def test_the_cautions_of_ultraviolet_stand_beside_its_shot_list(worker, survey):
    assert "Goggles" in text_of(worker.get(f"{at('shots', survey)}?mode=uv"))
    assert "Goggles" not in text_of(worker.get(at("shots", survey)))


def test_a_reader_sees_photographs_and_no_control_that_changes_them(client, survey):
    photograph = put(survey, "a.jpg", cells=("A01",))
    client.force_login(make_member(survey.wall, Role.READER))

    for address in (at("survey", survey), at("sort", survey), one("photograph", photograph)):
        page = client.get(address)
        buttons = re.findall(r"<button[^>]*>([^<]+)", page.content.decode())
        assert page.status_code == 200
        assert set(buttons) <= {"Sign out", "Show these"}
        assert reverse("photos:take_in", args=["booking-hall", "B1"]) not in page.content.decode()
