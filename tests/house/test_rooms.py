"""Do the rooms of the house keep apart: who may import whom, and who may know Django?"""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]

# Each room may import the rooms before it. Rooms in one set stand side by side.
ORDER = [
    {"gridmap"},
    {"people"},
    {"ledger"},
    {"jobs"},
    {"vocabulary"},
    {"walls"},  # a new wall is given the built-in vocabulary
    {"record"},
    {"treatments", "photos", "watch"},
    {"compare"},
    {"evidence"},
    {"report", "tablet", "exchange"},
    {"api"},
    {"urls"},
]
RANK = {room: rank for rank, rooms in enumerate(ORDER) for room in rooms}

# Modules that compute and know neither Django nor a file. A folder stands for all modules in it.
PURE = [
    "gridmap/errors.py",
    "gridmap/lengths.py",
    "gridmap/grid.py",
    "gridmap/outline.py",
    "gridmap/measure.py",
    "gridmap/symbols.py",
    "survey/record/sampling.py",
    "survey/compare/engine.py",
]
# The browser's modules and the set-up's messages are used before anything is installed.
STANDARD_LIBRARY_ONLY = ["survey.bootstrap", "survey.bootstrap_messages"]


def source_files(*folders: str) -> Iterator[Path]:
    for folder in folders:
        yield from sorted((PROJECT / folder).rglob("*.py"))


def imported_modules(path: Path) -> Iterator[str]:
    """Every module that a file imports, at its head or inside a function."""
    package = path.relative_to(PROJECT).with_suffix("").parts[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            module = ".".join([*base, node.module] if node.module else base)
            yield module
            yield from (f"{module}.{alias.name}" for alias in node.names)


def room_of(module: str) -> str | None:
    """The room of a dotted module name; None for what stands outside the rooms."""
    parts = module.split(".")
    if parts[0] == "gridmap":
        return "gridmap"
    if parts[0] == "survey" and len(parts) > 1 and parts[1] in RANK:
        return parts[1]
    return None


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(PROJECT).with_suffix("").parts)


def test_imports_point_one_way():
    upward = []
    for path in source_files("gridmap", "survey"):
        own = room_of(module_of(path))
        if own is None or "migrations" in path.parts:
            continue
        for module in imported_modules(path):
            other = room_of(module)
            if other is not None and other != own and RANK[other] >= RANK[own]:
                upward.append(f"{path.relative_to(PROJECT)} imports {module}")

    assert not upward, "\n".join(sorted(set(upward)))


def test_every_room_has_its_place_in_the_order():
    rooms = {
        path.name for path in (PROJECT / "survey").iterdir() if (path / "__init__.py").exists()
    }

    assert rooms - set(RANK) == {"management", "templatetags"}


def test_gridmap_imports_nothing_of_survey():
    found = [
        f"{path.relative_to(PROJECT)} imports {module}"
        for path in source_files("gridmap")
        for module in imported_modules(path)
        if module.split(".")[0] == "survey"
    ]

    assert not found, "\n".join(found)


def test_only_the_demo_command_and_tests_know_the_demo():
    found = [
        f"{path.relative_to(PROJECT)}"
        for path in source_files("gridmap", "survey")
        if path.name != "demo.py" and "demo_fixtures" in path.read_text(encoding="utf-8")
    ]

    assert not found


def test_the_program_never_imports_its_tests():
    found = [
        f"{path.relative_to(PROJECT)} imports {module}"
        for path in source_files("gridmap", "survey", "demo_fixtures")
        for module in imported_modules(path)
        if module.split(".")[0] == "tests" and path.name != "bootstrap.py"
    ]

    assert not found, "\n".join(found)


def pure_modules() -> list[str]:
    modules = []
    for name in PURE:
        path = PROJECT / name
        files = sorted(path.rglob("*.py")) if path.is_dir() else [path]
        modules += [module_of(file) for file in files if file.name != "__init__.py"]
    return modules


@pytest.mark.parametrize("module", pure_modules())
def test_a_pure_module_imports_no_django(module):
    """Imported in a fresh Python, it and all that it imports bring in no Django."""
    check = (
        f"import sys, importlib; importlib.import_module({module!r}); "
        "print([name for name in ('django', 'rest_framework') if name in sys.modules])"
    )

    ended = subprocess.run(
        [sys.executable, "-c", check], cwd=PROJECT, capture_output=True, text=True, check=False
    )

    assert ended.returncode == 0, ended.stderr
    assert ended.stdout.strip() == "[]"


@pytest.mark.parametrize("module", STANDARD_LIBRARY_ONLY)
def test_the_set_up_needs_nothing_installed(module):
    """`-S` leaves out site-packages, `-I` everything that the environment adds."""
    check = (
        f"import sys; sys.path.insert(0, {str(PROJECT)!r}); import importlib; "
        f"importlib.import_module({module!r})"
    )

    ended = subprocess.run(
        [sys.executable, "-I", "-S", "-c", check], capture_output=True, text=True, check=False
    )

    assert ended.returncode == 0, ended.stderr
