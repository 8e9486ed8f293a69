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

# Folders whose modules compute and know neither Django nor the database, but for those named.
PURE_FOLDERS = {
    "gridmap": {"apps", "models"},
    "survey/compare": {"apps", "pages", "selectors", "services", "urls", "views"},
    "survey/photos/formats": set(),
    "survey/report/layout": set(),
}
# Single pure modules in other rooms.
PURE_MODULES = [
    "survey.ledger.canonical",
    "survey.photos.cautions",
    "survey.photos.file_formats",
    "survey.photos.said",
    "survey.photos.sharpness",
    "survey.photos.shots",
    "survey.photos.slates",
    "survey.photos.sorting",
    "survey.photos.testimony",
    "survey.record.said",
    "survey.record.sampling",
    "survey.report.build",
    "survey.report.content",
    "survey.report.notice_paper",
    "survey.report.pdfa",
    "survey.report.wording",
    "survey.vocabulary.legend",
    "survey.vocabulary.lookup",
    "survey.vocabulary.terms",
    "survey.walls.description",
    "survey.walls.rings",
    "survey.walls.telephone_numbers",
    "survey.watch.alarms",
    "survey.watch.clash_calendar",
    "survey.watch.climate_band",
    "survey.watch.climate_days",
    "survey.watch.colour_change",
    "survey.watch.column_heads",
    "survey.watch.control_types",
    "survey.watch.cracks",
    "survey.watch.dust",
    "survey.watch.field_numbers",
    "survey.watch.field_table",
    "survey.watch.field_times",
    "survey.watch.hidden",
    "survey.watch.hours",
    "survey.watch.light_dose",
    "survey.watch.local_time",
    "survey.watch.logger_text",
    "survey.watch.picture",
    "survey.watch.plausible",
    "survey.watch.psychrometrics",
    "survey.watch.limit_words",
    "survey.watch.offered",
    "survey.watch.quantities",
    "survey.watch.regression",
    "survey.watch.risk",
    "survey.watch.salts",
    "survey.watch.spans",
    "survey.watch.stand_off",
    "survey.watch.trend",
    "survey.watch.units",
    "survey.watch.vibration",
    "survey.watch.vibration_events",
    "survey.watch.vibration_limits",
]
# Used before anything is installed.
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
    found = list(PURE_MODULES)
    for folder, impure in PURE_FOLDERS.items():
        files = sorted((PROJECT / folder).glob("*.py"))
        found += [module_of(file) for file in files if file.stem not in {"__init__", *impure}]
    return found


def test_pure_modules_import_no_django():
    """In a fresh Python, none of them nor anything that they import brings Django in."""
    check = (
        "import importlib, sys\n"
        f"for module in {pure_modules()!r}:\n"
        "    importlib.import_module(module)\n"
        "    if {'django', 'rest_framework'} & set(sys.modules):\n"
        "        sys.exit(f'{module} brings Django in')\n"
    )

    ended = subprocess.run(
        [sys.executable, "-c", check], cwd=PROJECT, capture_output=True, text=True, check=False
    )

    assert ended.returncode == 0, ended.stderr


def test_pure_modules_open_no_file_and_no_connection():
    calls = {"open", "urlopen", "connect", "write_text", "write_bytes"}
    found = []
    for module in pure_modules():
        path = PROJECT / Path(*module.split(".")).with_suffix(".py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            name = getattr(node, "func", None)
            if isinstance(node, ast.Call) and getattr(name, "id", None) in calls:
                found.append(f"{module}:{node.lineno}")

    assert not found, "\n".join(found)


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
