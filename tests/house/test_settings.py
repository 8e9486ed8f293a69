"""Is each setting documented, and does a bad one stop start-up with a sentence that names it?"""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
READERS = [
    "survey/settings.py",
    "survey/bootstrap.py",
    "tests/support/chromium.py",
    "tests/js/deck/test_simulation.py",
    "tests/survey/tablet/test_push_machine.py",
]


def variables() -> set[str]:
    found: set[str] = set()
    for name in READERS:
        source = (PROJECT / name).read_text(encoding="utf-8")
        found |= set(re.findall(r"""["']((?:PONTATA|DATABASE)_[A-Z_]+)["']""", source))
    return found


def test_every_variable_stands_in_the_developers_table():
    manual = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")
    documented = set(re.findall(r"^\| `([A-Z_]+)` \|", manual, flags=re.MULTILINE))

    assert variables() <= documented, f"not documented: {sorted(variables() - documented)}"
    assert documented <= variables(), f"documented but not read: {sorted(documented - variables())}"


@pytest.mark.parametrize(
    ("variable", "value"),
    [
        ("DATABASE_URL", "mysql://somewhere/pontata"),
        ("DATABASE_OWNER_URL", "mysql://somewhere/pontata"),
        ("PONTATA_DEBUG", "perhaps"),
        ("PONTATA_HTTPS", "perhaps"),
        ("PONTATA_MAIL_PORT", "mail"),
        ("PONTATA_MAIL_TLS", "perhaps"),
        ("PONTATA_MAIL_PORT", "0"),
        ("PONTATA_CLOCK", "yesterday"),
        ("PONTATA_CLOCK", "2026-11-18T09:00:00"),
    ],
)
def test_a_bad_value_stops_start_up_and_names_the_variable(variable, value, tmp_path):
    environment = {**os.environ, "PONTATA_DATA": str(tmp_path), variable: value}

    ended = subprocess.run(
        [sys.executable, "-c", "import survey.settings"],
        cwd=PROJECT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )

    assert ended.returncode != 0
    assert f"{variable} " in ended.stderr.splitlines()[-1]
