"""Does the repository keep what must stay out of it out, and its files at a readable length?"""

import re
import subprocess
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
LONGEST = 400  # lines; house rule

# Longer files, each with the reason why a cut would make it worse.
LONGER_FOR_A_REASON = {
    "survey/compare/model.py": "all that a comparison takes and gives, as one list of records",
    "survey/report/content.py": "all that a report says, as one list of records",
    "tests/gridmap/test_outline.py": "every kind of ring that a hand can draw, side by side",
    "tests/browser/test_survey_page.py": "one page's tasks, in the order of a working day",
    "tests/survey/report/harvest_report.py": "the content of one whole report",
}

READ = {".py", ".js", ".mjs", ".css", ".html", ".ts"}
TEXT = READ | {".md", ".toml", ".lock", ".in", ".json", ".sh", ".svg", ".java", ""}


def tracked_files() -> list[Path]:
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=PROJECT, capture_output=True, text=True, check=False
    )
    if listed.returncode != 0:
        pytest.skip("this copy is no git checkout, so no list of its files is to be had")
    paths = [PROJECT / name for name in listed.stdout.split("\0") if name]
    return [path for path in paths if path.is_file()]


def lines_that_match(pattern: str, suffixes: set[str]) -> list[str]:
    found = []
    for path in tracked_files():
        if path.suffix not in suffixes or path == Path(__file__):
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            if re.search(pattern, line):
                found.append(f"{path.relative_to(PROJECT)}:{number}: {line.strip()[:100]}")
    return found


def test_no_file_is_too_long_to_read_in_one_sitting():
    long = {
        str(path.relative_to(PROJECT)): count
        for path in tracked_files()
        if path.suffix in READ and "migrations" not in path.parts
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST
    }

    assert long.keys() == LONGER_FOR_A_REASON.keys(), long


def test_no_lock_file_names_a_host():
    locks = {".lock", ".in"}
    found = lines_that_match(r"https?://|index-url|find-links", locks)
    package_lock = (PROJECT / "package-lock.json").read_text(encoding="utf-8")

    assert not found, "\n".join(found)
    assert "://" not in package_lock


def test_no_file_names_a_package_registry():
    hosts = r"pypi\.org|pythonhosted\.org|registry\.npmjs|deb\.debian\.org|registry\.yarnpkg"
    found = lines_that_match(hosts, TEXT)

    assert not found, "\n".join(found)


def test_no_file_names_a_folder_of_somebodys_machine():
    found = lines_that_match(r"(?<![\w.])/(work|home/\w+|root|Users/\w+)/", TEXT)

    assert not found, "\n".join(found)


def test_nothing_is_left_for_later():
    found = lines_that_match(r"\b(TODO|FIXME|XXX)\b", READ)

    assert not found, "\n".join(found)


def test_no_test_folder_hides_the_package_that_it_tests():
    """A `tests/survey/__init__.py` would stand in the way of the real `survey`."""
    assert not list((PROJECT / "tests").rglob("__init__.py"))
