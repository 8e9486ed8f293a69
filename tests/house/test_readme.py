"""Is what the README tells a newcomer to type true?"""

import json
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
README = (PROJECT / "README.md").read_text(encoding="utf-8")


def block(language: str, containing: str) -> str:
    """The one fenced block of that language that holds a text."""
    blocks = re.findall(rf"```{language}\n(.*?)```", README, flags=re.DOTALL)
    (found,) = [text for text in blocks if containing in text]
    return found


def example_files() -> dict[str, str]:
    parts = re.split(r"^// (\S+\.(?:geo)?json).*\n", block("jsonc", "// wall.json"), flags=re.M)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


@pytest.fixture
def folder(tmp_path):
    for name, text in example_files().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    # The second survey of the example: the same place, the loss grown to the next foot.
    later = json.loads((tmp_path / "june.geojson").read_text())
    later["features"][0]["geometry"]["coordinates"] = [[[10, 10], [34, 10], [34, 30], [10, 10]]]
    (tmp_path / "october.geojson").write_text(json.dumps(later))
    (tmp_path / "october-seen.geojson").write_text((tmp_path / "june-seen.geojson").read_text())
    return tmp_path


def typed(line: str, folder: Path) -> subprocess.CompletedProcess:
    """Run a line of the README as it stands there, in the folder of its files."""
    python, manage, *arguments = shlex.split(line)
    assert (python, manage) == ("python3", "manage.py")
    if arguments[0] == "createsuperuser":  # it would ask for the password
        arguments += ["--noinput", "--username", "NAME", "--email", "name@example.org"]
    environment = {
        **os.environ,
        "PONTATA_SETUP": "0",
        "PONTATA_DATA": str(folder / "data"),
        "DJANGO_SUPERUSER_PASSWORD": "harvest-train-1936",
    }
    for variable in ("DATABASE_URL", "DATABASE_OWNER_URL", "PONTATA_CLOCK"):
        environment.pop(variable, None)
    return subprocess.run(
        [sys.executable, str(PROJECT / "manage.py"), *arguments],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.long
def test_a_wall_goes_from_files_to_a_report_as_the_readme_says(folder):
    lines = block("", "import_wall wall.json").splitlines()
    said = {}

    for line in lines:
        ended = typed(line, folder)
        assert ended.returncode == 0, f"{line}\n{ended.stdout}{ended.stderr}"
        said[line.split()[2]] = ended.stdout

    assert (folder / "P1.pdf").read_bytes().startswith(b"%PDF-")
    assert "grown" in said["compare"].lower() or "L1" in said["compare"]


def test_every_command_of_the_table_exists():
    named = set(re.findall(r"^\| `python3 manage.py (\w+)", README, flags=re.MULTILINE))
    listed = subprocess.run(
        [sys.executable, "manage.py", "help", "--commands"],
        cwd=PROJECT,
        env={**os.environ, "PONTATA_SETUP": "0"},
        capture_output=True,
        text=True,
        check=True,
    )

    assert named - {"test"} <= set(listed.stdout.split())


def test_the_two_commands_stand_in_the_quick_start():
    quick_start = README.split("## Quick start")[1].split("\n## ")[0]

    assert "\npython3 manage.py demo\n" in quick_start
    assert "\npython3 manage.py test\n" in quick_start


def test_links_lead_to_files_that_are_there():
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        assert (PROJECT / target).exists(), target
