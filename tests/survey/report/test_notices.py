"""Does a notice say what stands, is it kept as it was handed over, and is it sent only where asked?"""

from datetime import UTC, datetime
from io import BytesIO

import pikepdf
import pytest
from django.core import mail
from django.urls import reverse
from pypdf import PdfReader

from survey.ledger.drafts import Writer, new_id
from survey.people.models import Role
from survey.report.notice_paper import NoticeSheet, build_notice
from survey.watch.finding import find
from survey.watch.models import Exceedance, LogLine
from survey.watch.stop_services import put_down
from survey.watch.stops import case_of
from tests.support.factories import make_member, make_survey, make_wall
from tests.support.watched import make_instrument, make_limit, make_readings

BEGAN = datetime(2026, 7, 21, 10, 42, tzinfo=UTC)
SHEET = NoticeSheet(
    number=3, to="Gil Alder", by="Ines Fallow", made_at=BEGAN, title="Stop notice: red exceedance",
    lead="Red at V1.", work="The Harvest Train", facts=[("Peak", "0.084 in/s (2.13 mm/s)")],
    cells=["A20"], cells_words="Nearest V1 first.", missing=["the cause, agreed or not"],
    log=[("21 Jul 2026, 10:44 UTC", "Who was told", "Gil Alder told by telephone.")],
    cautions=["Local law governs."],
)  # fmt: skip


def words_of(pdf):
    return " ".join("".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())


def test_a_notice_prints_what_it_is_given_on_one_sheet():
    pdf = build_notice(SHEET)

    text = words_of(pdf)
    assert len(PdfReader(BytesIO(pdf)).pages) == 1
    for words in ("N-3", "0.084 in/s (2.13 mm/s)", "A20", "Gil Alder told by telephone."):
        assert words in text


def test_the_same_notice_gives_the_same_bytes_and_is_an_archive_pdf():
    first, second = build_notice(SHEET), build_notice(SHEET)

    assert first == second
    with pikepdf.open(BytesIO(first)) as pdf, pdf.open_metadata() as metadata:
        assert metadata["pdfaid:part"] == "2"


@pytest.fixture
def case(db):
    wall = make_wall()
    make_survey(wall)
    channels = [{"name": "y", "quantity": "particle-velocity", "unit": "in/s", "axis": "y"}]
    top = make_instrument(wall, "V1", channels, interval_s=60.0, cell="A02", content={"code": "V1"})
    times = [BEGAN.timestamp() + place for place in (-60, 0, 60)]
    make_readings(top, "y", times, [0.0, 0.084, 0.0])
    make_limit(wall, content={"direction": "above"})
    find(top.object_id, BEGAN, BEGAN)
    return case_of(wall, Exceedance.objects.get().object_id)


@pytest.fixture
def address(client, case):
    client.force_login(make_member(case.wall, Role.CONSERVATOR, display_name="Tomas Sedge"))
    return reverse("report:notice", args=[case.wall.slug, case.id])


pytestmark = [pytest.mark.django_db, pytest.mark.database]


def test_an_issued_notice_is_kept_as_it_was_though_the_log_goes_on(client, case, address):
    client.post(address, {"to": "Gil Alder, site manager", "id": str(new_id())})
    told = {"at": "2026-07-21T10:44:00Z", "who": "Gil Alder", "how": "in person", "by": "Ines"}
    put_down(case, "told", told, writer=Writer(name="Ines", device="desk"))

    response = client.get(reverse("report:notice_pdf", args=[case.wall.slug, 1]))

    text = words_of(b"".join(response.streaming_content))
    assert "0.084 in/s (2.13 mm/s)" in text
    assert "Gil Alder, site manager" in text
    assert "Gil Alder told, in person" not in text
    assert "12:42 UTC" in text


def test_a_form_sent_twice_is_one_notice(client, case, address):
    sent = {"to": "Gil Alder", "id": str(new_id())}

    client.post(address, sent)
    client.post(address, sent)
    client.post(address, {**sent, "id": str(new_id())})

    numbers = [row.content["number"] for row in LogLine.objects.filter(kind="notice")]
    assert sorted(numbers) == [1, 2]


def test_without_a_mail_server_an_address_is_refused_and_nothing_is_issued(client, case, address):
    response = client.post(address, {"to": "Gil Alder", "address": "gil@example.org"})

    assert response.status_code == 400
    assert "No mail server is set" in response.content.decode()
    assert not LogLine.objects.filter(kind="notice").exists()


def test_with_a_mail_server_the_notice_goes_with_its_pdf(client, case, address, settings):
    settings.EMAIL_HOST = "mail.invalid"

    client.post(address, {"to": "Gil Alder", "address": "gil@example.org"})

    (message,) = mail.outbox
    assert message.to == ["gil@example.org"]
    assert "0.084" in message.body
    assert message.attachments[0][1][:5] == b"%PDF-"
    assert LogLine.objects.get(kind="notice").content["sent"].endswith("gil@example.org")


def test_what_the_mail_server_does_not_take_is_not_logged_as_sent(client, case, address, settings):
    settings.EMAIL_HOST = "mail.invalid"
    settings.EMAIL_BACKEND = "tests.survey.report.no_mail.NoMail"

    response = client.post(address, {"to": "Gil Alder", "address": "gil@example.org"})

    assert response.status_code == 400
    assert "did not take the message" in response.content.decode()
    assert not LogLine.objects.filter(kind="notice").exists()


def test_no_one_is_named_no_notice(client, case, address):
    assert client.post(address, {"to": " "}).status_code == 400


def test_a_changed_choice_of_cells_is_said_to_be_one(client, case, address):
    said = {
        "at": BEGAN.isoformat(), "cells": ["A02"], "chosen": "Nearest V1 first.",
        "changed_because": "The blows were local.", "by": "Ines Fallow",
    }  # fmt: skip
    put_down(case, "cells-due", said, writer=Writer(name="Ines Fallow", device="desk"))

    page = " ".join(client.get(address).content.decode().split())

    assert "Nearest V1 first. Changed because: The blows were local. 1 cell" in page
