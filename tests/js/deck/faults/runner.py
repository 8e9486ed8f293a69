"""Is each seeded fault of the shipped code caught by the test that it names?

The lists beside this module name texts of files that stand there exactly once, what a tired hand
would have written instead, the test that must fail then, and what it says. The runner works on a
copy of the project.
`python -m tests.js.deck.faults.runner [NAME …]` runs them by hand.
"""

import json
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from survey.bootstrap import PROJECT
from tests.support.javascript import node_command

HERE = Path(__file__).parent
LISTS = ("client_core", "server", "postgresql")  # the last only where PostgreSQL is the database
COPIED = ("gridmap", "survey", "static/js", "static/css", "templates", "tests", "demo_fixtures")
COPIED_FILES = ("manage.py", "package.json", "pyproject.toml")
NOT_COPIED = shutil.ignore_patterns("__pycache__", "*.pyc", ".hypothesis", ".pytest_cache")
LONGEST_S = 300


@dataclass(frozen=True)
class Change:
    """A text of a file that stands there once, and what stands there instead."""

    file: str
    find: str
    replace: str


@dataclass(frozen=True)
class Fault:
    """A slip in the shipped code, which test must see it, and what that test then says."""

    name: str
    changes: tuple[Change, ...]
    test: str
    says: str


@dataclass(frozen=True)
class Trial:
    """What the named test said of the faulty code."""

    fault: Fault
    returncode: int
    output: str

    @property
    def caught(self) -> bool:
        """The test failed, and for the reason that the fault expects: not for a slip of syntax."""
        return self.returncode != 0 and re.search(self.fault.says, self.output) is not None


def seeded_faults(name: str) -> list[Fault]:
    """Return all faults of a list."""
    rows = json.loads((HERE / f"{name}.json").read_text(encoding="utf-8"))
    return [
        Fault(**{**row, "changes": tuple(Change(**change) for change in row["changes"])})
        for row in rows
    ]


def copy_of_project(folder: Path) -> Path:
    """Copy what the tests need; the installed packages are only pointed to."""
    for name in COPIED:
        shutil.copytree(PROJECT / name, folder / name, ignore=NOT_COPIED)
    for name in COPIED_FILES:
        shutil.copy2(PROJECT / name, folder / name)
    (folder / "node_modules").symlink_to(PROJECT / "node_modules", target_is_directory=True)
    return folder


@contextmanager
def seeded(fault: Fault, folder: Path) -> Iterator[None]:
    """Keep the fault in a copy of the project for a while; each place must be there exactly once."""
    before: dict[Path, str] = {}
    try:
        for change in fault.changes:
            file = folder / change.file
            text = file.read_text(encoding="utf-8")
            before.setdefault(file, text)
            count = text.count(change.find)
            if count != 1:
                raise ValueError(
                    f"{fault.name}: {change.find!r} stands {count} times in {change.file}, not once."
                )
            file.write_text(text.replace(change.find, change.replace), encoding="utf-8")
        yield
    finally:
        for file, text in before.items():
            file.write_text(text, encoding="utf-8")


def try_fault(fault: Fault, folder: Path) -> Trial:
    """Run the test that the fault names on a copy of the project with the fault in it."""
    with seeded(fault, folder):
        ended = subprocess.run(
            command_of(fault.test),
            cwd=folder,
            capture_output=True,
            text=True,
            check=False,
            encoding="utf-8",
            timeout=LONGEST_S,
        )
    return Trial(fault, ended.returncode, ended.stdout + ended.stderr)


def command_of(test: str) -> list[str]:
    """Return how a named test is run: sequences, a file of node tests, or a test of pytest."""
    kind, _, what = test.partition(" ")
    if kind == "sequences":
        return [*node_command(), "tests/js/deck/sim/run.mjs", "--sequences", what, "--seed", "1"]
    if kind == "node":
        return [*node_command(), "--test", what]
    if kind == "pytest":
        return [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", what]
    raise ValueError(f"{test!r} names no test: sequences N, node FILE or pytest TEST.")


def main(names: list[str]) -> int:
    """Try the named faults, or all, and say which survive."""
    survivors = 0
    with tempfile.TemporaryDirectory(prefix="pontata-faults-") as place:
        folder = copy_of_project(Path(place))
        for fault in chain.from_iterable(map(seeded_faults, LISTS)):
            if names and fault.name not in names:
                continue
            trial = try_fault(fault, folder)
            survivors += not trial.caught
            words = (
                "caught"
                if trial.caught
                else f"SURVIVES:\n{trial.output[:800]}\n…\n{trial.output[-800:]}"
            )
            print(f"{fault.name} ({fault.test}): {words}", flush=True)
    return 1 if survivors else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
