"""Do the instruments' pages take down, show and hand over what they should?"""

import csv
import io
from datetime import UTC, datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from survey.people.models import Role
from survey.watch.importing import import_file
from survey.watch.instrument_needs import needs_of_instruments
from survey.watch.instruments import keep_instrument, log_event
from survey.watch.models import Instrument, InstrumentKey, ReadingsImport
from tests.support.factories import make_member, make_survey, make_wall
from tests.support.watched import make_limit
from tests.survey.watch.test_importing import BODY, INES, MAPPED, logger_file, quarter_hours

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def a1():
    return keep_instrument(wall=make_wall(), body=BODY, writer=INES)


@pytest.fixture
def tomas(client, a1):
    account = make_member(a1.wall, Role.CONSERVATOR, "tomas", display_name="Tomas Sedge")
    client.force_login(account)
    return client


def page(name, *parts):
    instrument = next((one for one in parts if isinstance(one, Instrument)), None)
    wall = instrument.wall.slug if instrument else parts[0].slug
    rest = [one.object_id if isinstance(one, Instrument) else one for one in parts]
    return reverse(f"watch:{name}", args=[wall, *(rest if instrument else rest[1:])])


TYPED = {
    "code": "K2", "name": "Crack gauge", "clock": "zone", "zone": "Europe/London",
    "from_on": "2026-02-23", "silence_h": "240", "deck": "2", "cell": "C05",
    "height": "17 ft 10 in", "object_id": "01931c3e-0000-7000-8000-000000000001",
    "channels-TOTAL_FORMS": "2", "channels-INITIAL_FORMS": "0",
    "channels-0-name": "width", "channels-0-quantity": "crack-width", "channels-0-unit": "mm",
    "channels-0-uncertainty": "0.05",
    "channels-1-name": "", "channels-1-quantity": "air-temperature", "channels-1-unit": "°C",
}  # fmt: skip


def test_a_typed_instrument_is_on_record_with_its_channels(tomas, a1):
    tomas.post(page("new_instrument", a1.wall), TYPED)

    made = Instrument.objects.get(code="K2")
    assert made.channels == [
        {"name": "width", "quantity": "crack-width", "unit": "mm", "error": 0.05}
    ]
    assert made.silence_s == 864_000
    assert made.content["time"] == {"zone": "Europe/London"}


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"zone": "Marrowby"}, "write a time zone such as Europe/London"),
        ({"code": "A1"}, "belongs to Air logger"),
        ({"channels-0-unit": "°F"}, "unit is"),
        ({"calibrated_on": "2026-01-19"}, "needs the day it was done and the day it runs out"),
        ({"cell": "Z99"}, "Z99"),
        ({"cell": "c05"}, "such as C05"),
        ({"until_on": "2026-01-01"}, "must not be before"),
    ],
)
def test_what_is_wrong_with_a_typed_instrument_is_said_and_nothing_kept(tomas, a1, changed, words):
    answer = tomas.post(page("new_instrument", a1.wall), {**TYPED, **changed})

    assert answer.status_code == 400
    assert words in answer.content.decode()
    assert not Instrument.objects.filter(code="K2").exists()


def test_an_empty_list_offers_the_first_step(client):
    wall = make_wall()
    client.force_login(make_member(wall))

    answer = client.get(page("instruments", wall)).content.decode()

    assert "Put the first instrument on record" in answer


def test_a_chosen_file_is_shown_before_anything_is_imported(tomas, a1):
    file = SimpleUploadedFile("A1.csv", logger_file(quarter_hours(count=4)))

    answer = tomas.post(page("import_readings", a1), {"file": file})

    said = answer.content.decode()
    assert "Temp (°F)" in said
    assert not ReadingsImport.objects.exists()


def chosen(tomas, a1, data=None):
    """Hand a file over; return the fields that its preview sends on, columns matched."""
    file = SimpleUploadedFile("A1.csv", data or logger_file(quarter_hours(count=4)))
    answer = tomas.post(page("import_readings", a1), {"file": file})
    return {
        "digest": answer.context["asked"].digest, "file_name": "A1.csv", "do": "take",
        "head_1": "Temp (°F)", "channel_1": "air", "head_2": "RH (%)", "channel_2": "rh",
    }  # fmt: skip


def test_what_the_preview_shows_is_taken_in_with_the_name_of_who_took_it(tomas, a1):
    sent = chosen(tomas, a1)

    tomas.post(page("import_readings", a1), sent)

    row = ReadingsImport.objects.get()
    assert row.accepted == 8
    assert row.head.observed_by == "Tomas Sedge"


def test_a_question_of_the_file_is_asked_on_the_page(tomas, a1):
    data = logger_file([f"03/04/2026 0{hour}:00,59.0,50" for hour in range(9)])

    answer = tomas.post(page("import_readings", a1), chosen(tomas, a1, data))

    assert answer.status_code == 400
    assert "Which comes first?" in answer.content.decode()
    assert not ReadingsImport.objects.exists()


def test_a_file_of_another_wall_cannot_be_taken_in_by_its_digest(tomas, a1):
    sent = {**chosen(tomas, a1), "digest": "0" * 64}

    assert tomas.post(page("import_readings", a1), sent).status_code == 404


def test_every_refused_line_can_be_had_as_csv(tomas, a1):
    rows = quarter_hours(count=80)
    for place in range(2, 5):
        rows[place] = f"2026-03-01 0{place}:07,Err 7,50"
    made = import_file(a1, logger_file(rows), file_name="A1.csv", how=MAPPED, writer=INES).row

    answer = tomas.get(page("refused_lines", a1, made.object_id))

    table = list(csv.DictReader(io.StringIO(answer.content.decode())))
    assert [row["line"] for row in table] == ["6", "7", "8"]
    assert table[0]["text"] == "Err 7"


def test_hand_readings_sent_twice_are_kept_once(tomas, a1):
    sent = {
        "at": "2026-03-02T09:00", "value_0": "14", "value_1": "",
        "object_id": "01931c3e-0000-7000-8000-000000000002",
    }  # fmt: skip

    for _ in range(2):
        tomas.post(page("hand_readings", a1), sent)

    assert ReadingsImport.objects.get().accepted == 1


def test_hand_readings_of_nothing_are_refused(tomas, a1):
    answer = tomas.post(page("hand_readings", a1), {"at": "2026-03-02T09:00"})

    assert answer.status_code == 400
    assert "write at least one" in answer.content.decode()


def test_an_import_is_taken_back_with_its_reason_only(tomas, a1):
    made = import_file(
        a1, logger_file(quarter_hours()), file_name="A1.csv", how=MAPPED, writer=INES
    ).row
    address = page("withdraw_import", a1, made.object_id)

    without = tomas.post(address, {"reason": " "})
    tomas.post(address, {"reason": "The file was of another week."})

    made.refresh_from_db()
    assert without.status_code == 400
    assert made.replaced_by == made.object_id


def test_the_chart_and_the_csv_hold_the_same_readings(tomas, a1):
    import_file(a1, logger_file(quarter_hours()), file_name="A1.csv", how=MAPPED, writer=INES)
    span = {"channel": "air", "from": "2026-03-01T00:00:00Z", "to": "2026-03-02T00:00:00Z"}

    chart = tomas.get(page("series_data", a1), {**span, "columns": "10"}).json()
    lines = b"".join(tomas.get(page("series_csv", a1), span).streaming_content).decode()

    # source: the file's own lines, 59.0 °F to 59.0 + 95 / 10 °F
    assert (min(chart["least"]), max(chart["most"])) == pytest.approx((59.0, 68.5))
    assert chart["readings"] == 96
    assert lines.splitlines()[0] == "read at (UTC),air-temperature [°F],air-temperature [°C]"
    assert lines.splitlines()[1] == "2026-03-01T00:00:00Z,59,15"
    assert len(lines.splitlines()) == 97


def test_the_chart_marks_days_of_surveys_and_what_passed_a_limit(tomas, a1):
    make_survey(a1.wall, "B1")  # 2 to 11 March 2026
    make_limit(a1.wall, "air-temperature", unit="°F", amber=68.5, red=80.0)
    import_file(a1, logger_file(quarter_hours()), file_name="A1.csv", how=MAPPED, writer=INES)
    span = {"channel": "air", "from": "2026-03-01T00:00:00Z", "to": "2026-03-03T00:00:00Z"}

    chart = tomas.get(page("series_data", a1), {**span, "columns": "10"}).json()

    began = datetime(2026, 3, 2, tzinfo=UTC).timestamp()
    assert [(one["name"], one["start"]) for one in chart["surveys"]] == [("B1", began)]
    # source: the file's own lines: its last, of 23:45, is 59.0 + 95 / 10 = 68.5 °F
    assert chart["exceedances"] == [{"level": "amber", "at": began - 900}]


def test_a_key_is_shown_once_to_the_lead(client, a1):
    client.force_login(make_member(a1.wall, Role.LEAD))

    made = client.post(page("new_key", a1))
    secret = made.context["secret"]

    assert secret in made.content.decode()
    assert "no-store" in made.headers["Cache-Control"]
    assert secret not in client.get(page("instrument", a1)).content.decode()
    assert InstrumentKey.objects.count() == 1


def vibration(a1):
    body = {
        **BODY, "code": "V1", "name": "Vibration", "serial": "771", "silence_s": 3600,
        "channels": [{"name": "x", "quantity": "particle-velocity", "unit": "in/s", "axis": "x"}],
    }  # fmt: skip
    return keep_instrument(wall=a1.wall, body=body, writer=INES)


def needs(wall):
    return [need.text for need in needs_of_instruments(wall)]


def test_an_instrument_never_heard_and_never_tried_needs_a_person(a1):
    vibration(a1)

    said = needs(a1.wall)

    assert any(text.startswith("V1 (Vibration): Never heard") for text in said)
    assert any("V1: the weekly test alarm is due" in text for text in said)
    assert not any("A1: the weekly test alarm" in text for text in said)


@pytest.mark.parametrize(("day", "due"), [("2026-11-12", False), ("2026-11-10", True)])
def test_a_test_alarm_holds_for_a_week(a1, settings, day, due):
    """The clock stands at 2026-11-18 09:00 UTC; the alarm was tried at 08:00."""
    settings.FIXED_CLOCK = datetime(2026, 11, 18, 9, tzinfo=UTC)
    v1 = vibration(a1)
    tried = {"what": "test-alarm", "at": f"{day}T08:00:00Z", "who": "Gil Alder"}

    log_event(v1, tried, writer=INES)

    assert any("test alarm is due" in text for text in needs(a1.wall)) is due
