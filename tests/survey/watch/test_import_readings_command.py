"""Does the command take a logger's file in, say what it refused, and change nothing on a trial?"""

import pytest
from django.core.management import CommandError, call_command

from survey.watch.instruments import keep_instrument
from survey.watch.models import ReadingsImport
from tests.support.factories import make_wall
from tests.survey.watch.test_importing import BODY, INES, logger_file, quarter_hours

pytestmark = [pytest.mark.django_db, pytest.mark.database]

MATCHED = ["--map", "Temp (°F)=air", "--map", "RH (%)=rh"]


@pytest.fixture
def a1():
    return keep_instrument(wall=make_wall(), body=BODY, writer=INES)


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "A1.csv"
    path.write_bytes(logger_file(quarter_hours(count=8)))
    return path


def run(capsys, *arguments):
    call_command("import_readings", *map(str, arguments))
    return capsys.readouterr().out


def test_a_file_is_taken_in_and_counted(a1, file, capsys):
    said = run(capsys, file, "--instrument", "A1", *MATCHED)

    assert "A1: 16 readings, 1 Mar 2026, 00:00 UTC to 1 Mar 2026, 01:45 UTC" in said


def test_the_second_time_it_says_that_nothing_was_changed(a1, file, capsys):
    run(capsys, file, "--instrument", "A1", *MATCHED)

    said = run(capsys, file, "--instrument", "A1")

    assert "on record already" in said
    assert ReadingsImport.objects.count() == 1


def test_a_trial_says_what_would_be_taken_and_takes_nothing(a1, file, capsys):
    said = run(capsys, file, "--instrument", "A1", *MATCHED, "--dry-run")

    assert "“Temp (°F)” fills air (°F)" in said
    assert "Header in line 3" in said
    assert not ReadingsImport.objects.exists()


def test_a_question_names_the_option_that_answers_it(a1, tmp_path):
    path = tmp_path / "A1.csv"
    path.write_bytes(logger_file([f"03/04/2026 0{hour}:00,59.0,50" for hour in range(9)]))

    with pytest.raises(CommandError, match="Say --day-first or --month-first"):
        call_command("import_readings", str(path), "--instrument", "A1", *MATCHED)


def test_the_answer_settles_it(a1, tmp_path, capsys):
    path = tmp_path / "A1.csv"
    path.write_bytes(logger_file([f"03/04/2026 0{hour}:00,59.0,50" for hour in range(9)]))

    said = run(capsys, path, "--instrument", "A1", *MATCHED, "--day-first")

    assert "3 Apr 2026, 00:00 UTC" in said


def test_an_unknown_instrument_is_refused_with_those_there_are(a1, file):
    with pytest.raises(CommandError, match="there are: A1"):
        call_command("import_readings", str(file), "--instrument", "B9")


def test_a_spreadsheet_under_another_name_is_refused_in_words(a1, tmp_path):
    path = tmp_path / "A1.csv"
    path.write_bytes(b"PK\x03\x04" + b"\0" * 400)

    with pytest.raises(CommandError, match="whatever its name says"):
        call_command("import_readings", str(path), "--instrument", "A1")
