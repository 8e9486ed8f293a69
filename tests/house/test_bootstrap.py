"""Does set-up do what is needed, nothing the second time, and say what stopped it?

Real programs are replaced by small scripts, so that nothing is downloaded. The outputs that are
explained were printed by the named versions of pip, uv and npm.
"""

import errno
import json
import os
import socket
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from survey import bootstrap
from survey.bootstrap import BUILDING, RUNTIME_LOCK, STAMP, Place, digest
from survey.bootstrap_messages import SetupFailed, explain, explain_os_error

PROJECT = Path(__file__).parents[2]

pytestmark = pytest.mark.skipif(os.name == "nt", reason="the stand-in programs are shell scripts")


@pytest.fixture
def place(tmp_path):
    """A project of lock files only, with a virtual environment that is not there yet."""
    for name in ("requirements.lock", "requirements-dev.lock", "requirements-node.lock"):
        (tmp_path / name).write_text(f"# {name}\n")
    (tmp_path / "package-lock.json").write_text("{}\n")
    return Place(tmp_path, tmp_path / ".venv")


@pytest.fixture
def machine(tmp_path, monkeypatch):
    """A PATH that holds only the programs a test puts there; each call is logged."""
    folder = tmp_path / "programs"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(folder))

    class Machine:
        log = tmp_path / "calls"

        def has(self, name, *, says="", code=0, does=""):
            program = folder / name
            lines = [
                "#!/bin/sh",
                f'echo "{name} $*" >> "{self.log}"',
                does,
                f"/bin/cat <<'EOT'\n{says}\nEOT",
                f"exit {code}",
            ]
            program.write_text("\n".join(lines) + "\n")
            program.chmod(program.stat().st_mode | stat.S_IXUSR)

        def calls(self):
            return self.log.read_text().splitlines() if self.log.exists() else []

    return Machine()


def fake_venv(place, *, code=0):
    """What uv leaves behind: here a Python that does nothing and ends with `code`."""
    script = f"#!/bin/sh\\nexit {code}\\n"
    return (
        f'/bin/mkdir -p "{place.venv}/bin"; printf "{script}" > "{place.python}"; '
        f'/bin/chmod +x "{place.python}"'
    )


def a_machine_with_everything(machine, place):
    machine.has("uv", does=fake_venv(place))
    machine.has("node", says="v22.1.0")
    machine.has("npm", says="added 2 packages", does=f'/bin/mkdir -p "{place.node_modules}"')


def test_a_fresh_machine_gets_packages_and_browser_parts(place, machine):
    a_machine_with_everything(machine, place)

    bootstrap.prepare(place, with_tests=False)

    calls = "\n".join(machine.calls())
    assert "uv pip install" in calls
    assert "--require-hashes -r requirements.lock" in calls
    assert "npm ci --omit=dev" in calls
    assert "requirements-dev.lock" not in calls


def test_the_second_time_runs_nothing_and_says_nothing(place, machine, capsys):
    a_machine_with_everything(machine, place)
    bootstrap.prepare(place, with_tests=False)
    before = machine.calls()
    capsys.readouterr()

    bootstrap.prepare(place, with_tests=False)

    assert machine.calls() == before
    assert capsys.readouterr().out == ""


def test_tests_bring_the_test_tools_on_top(place, machine):
    a_machine_with_everything(machine, place)
    bootstrap.prepare(place, with_tests=False)
    before = len(machine.calls())

    bootstrap.prepare(place, with_tests=True)

    added = "\n".join(machine.calls()[before:])
    assert "-r requirements-dev.lock" in added
    assert "-r requirements.lock" not in added
    assert "npm ci --ignore-scripts" in added


def test_a_changed_lock_file_is_installed_again(place, machine):
    a_machine_with_everything(machine, place)
    bootstrap.prepare(place, with_tests=False)
    before = len(machine.calls())

    (place.project / RUNTIME_LOCK).write_text("# newer\n")
    bootstrap.prepare(place, with_tests=False)

    assert any("-r requirements.lock" in call for call in machine.calls()[before:])


def test_line_ends_of_a_windows_checkout_change_nothing(tmp_path):
    (tmp_path / "unix").write_bytes(b"a==1\nb==2\n")
    (tmp_path / "windows").write_bytes(b"a==1\r\nb==2\r\n")

    assert digest(tmp_path / "unix") == digest(tmp_path / "windows")


def test_a_half_built_environment_is_built_anew(place, machine, capsys):
    a_machine_with_everything(machine, place)
    place.venv.mkdir()
    (place.venv / BUILDING).touch()
    (place.venv / "left-over").touch()

    bootstrap.prepare(place, with_tests=False)

    assert "half-built" in capsys.readouterr().out
    assert not (place.venv / "left-over").exists()
    assert not (place.venv / BUILDING).exists()


def test_a_set_up_at_work_elsewhere_is_left_alone(place, machine):
    a_machine_with_everything(machine, place)
    place.venv.mkdir()
    (place.venv / BUILDING).write_text(str(os.getppid()))  # a process that surely lives

    with pytest.raises(SetupFailed, match=f"process {os.getppid()}"):
        bootstrap.prepare(place, with_tests=False)

    assert (place.venv / BUILDING).exists()
    assert machine.calls() == []


def test_an_environment_whose_python_is_gone_is_built_anew(place, machine, capsys):
    a_machine_with_everything(machine, place)
    bootstrap.prepare(place, with_tests=False)
    place.python.unlink()
    place.python.symlink_to(place.project / "no-such-python")

    bootstrap.prepare(place, with_tests=False)

    assert "no working Python" in capsys.readouterr().out
    assert place.python.exists()


def test_an_install_that_fails_leaves_no_stamp(place, machine):
    machine.has("uv", does=f'{fake_venv(place, code=1)}; [ "$1" = venv ] || exit 1')
    machine.has("npm")

    with pytest.raises(SetupFailed):
        bootstrap.prepare(place, with_tests=False)

    assert not (place.venv / STAMP).exists()


def test_an_old_node_counts_as_none(machine):
    machine.has("node", says="v16.20.0")
    machine.has("npm")

    assert bootstrap.npm_of_machine() is None


def test_without_npm_node_comes_from_pip_and_its_size_is_said(place, machine, capsys):
    machine.has("uv", does=fake_venv(place))
    bootstrap.make_venv(place)
    bootstrap.npm_from_pip(place)

    assert "200 MB" in capsys.readouterr().out
    assert any("-r requirements-node.lock" in call for call in machine.calls())


def test_a_python_without_venv_says_what_to_install(place, machine, monkeypatch):
    # source: python3.11 of Debian 12 without its package python3.11-venv
    said = (
        "The virtual environment was not created successfully because ensurepip is not available."
    )
    machine.has("python-of-debian", says=said, code=1)
    monkeypatch.setattr(sys, "executable", str(machine.log.parent / "programs/python-of-debian"))

    with pytest.raises(SetupFailed, match=r"python3\.\d+-venv"):
        bootstrap.make_venv(place)

    assert not place.venv.exists()


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        # source: pip 23.2 with an index that refuses connections, no retries
        (
            "Looking in indexes: http://127.0.0.1:9/simple\n"
            "Collecting asgiref==3.13.0 (from -r requirements.lock (line 1))\n"
            "ERROR: Could not find a version that satisfies the requirement asgiref==3.13.0 "
            "(from versions: none)\nERROR: No matching distribution found for asgiref==3.13.0\n",
            "No package index could be reached",
        ),
        # source: uv 0.13 with an index that refuses connections
        (
            "error: Request failed after 3 retries\n  Caused by: error sending request for url\n"
            "  Caused by: tcp connect error\n",
            "No package index could be reached",
        ),
        # source: npm 9 with a registry that refuses connections
        ("npm error code ECONNREFUSED\nnpm error errno ECONNREFUSED\n", "No package index"),
        # source: pip's documentation of hash-checking mode
        (
            "ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.\n",
            "not the one that the lock file names",
        ),
        # source: pip 23.2 on a platform without a wheel, after a package that has one
        (
            "Collecting asgiref==3.13.0 (from -r requirements.lock (line 1))\n"
            "Collecting shapely==2.2.0 (from -r requirements.lock (line 9))\n"
            "ERROR: Could not find a version that satisfies the requirement shapely==2.2.0 "
            "(from versions: none)\nERROR: No matching distribution found for shapely==2.2.0\n",
            "not to be had for this kind of machine",
        ),
        ("OSError: [Errno 28] No space left on device\n", "The disk is full"),
        ("ssl.SSLError: CERTIFICATE_VERIFY_FAILED\n", "does not trust"),
        ("npm error code EACCES\n", "cannot be written"),
        ("ProxyError('Tunnel connection failed: 407')\n", "The proxy refused"),
    ],
)
def test_a_known_failure_is_explained_in_a_sentence(said, expected):
    assert expected in explain("pip", said).splitlines()[0]


def test_an_unknown_failure_shows_what_the_program_said():
    assert "the cat sat on it" in explain("pip", "working\nthe cat sat on it\n")


def test_a_disk_that_cannot_be_written_is_named():
    error = OSError(errno.EROFS, "Read-only file system", "/mnt/stick/.venv")

    said = explain_os_error(error)

    assert "PONTATA_VENV" in said
    assert "/mnt/stick/.venv" in said


def test_a_stamp_that_cannot_be_read_counts_as_none(place):
    place.venv.mkdir()
    (place.venv / STAMP).write_text('{"requirements.lock": ')

    assert bootstrap.stamped(place) == {}


def test_a_stamp_names_the_digest_of_its_lock_file(place):
    place.venv.mkdir()

    bootstrap.stamp(place, RUNTIME_LOCK)

    kept = json.loads((place.venv / STAMP).read_text())
    assert kept == {RUNTIME_LOCK: digest(place.project / RUNTIME_LOCK)}


def test_an_old_python_is_told_so_in_words():
    """The file is compiled as an old Python would read it, then run as if it were one."""
    source = (PROJECT / "manage.py").read_text(encoding="utf-8")
    compile(source, "manage.py", "exec", dont_inherit=True)
    script = f"import sys; sys.version_info = (3, 6, 15); exec({source!r})"

    ended = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )

    assert ended.returncode == 1
    assert "needs Python 3.11 or newer" in ended.stderr
    assert "Traceback" not in ended.stderr


@pytest.mark.parametrize("command", ["demo", "serve"])
def test_a_taken_port_is_said_and_another_offered(command, tmp_path):
    environment = {**os.environ, "PONTATA_DATA": str(tmp_path), "PONTATA_SETUP": "0"}
    with socket.socket() as other_program:
        other_program.bind(("127.0.0.1", 0))
        other_program.listen()
        port = other_program.getsockname()[1]

        ended = subprocess.run(
            [sys.executable, "manage.py", command, "--port", str(port)],
            cwd=PROJECT,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )

    assert ended.returncode == 1
    assert f"Port {port} on 127.0.0.1 is taken" in ended.stderr
    assert f"manage.py {command} --port" in ended.stderr
    assert "Traceback" not in ended.stderr
    assert not (tmp_path / "pontata.sqlite3").exists()


@pytest.mark.parametrize("port", ["0", "65536", "-1"])
def test_an_impossible_port_is_refused_with_its_limits(port, tmp_path):
    environment = {**os.environ, "PONTATA_DATA": str(tmp_path), "PONTATA_SETUP": "0"}

    ended = subprocess.run(
        [sys.executable, "manage.py", "serve", "--port", port],
        cwd=PROJECT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )

    assert ended.returncode == 1
    assert f"--port is {port}; it must be from 1 to 65535" in ended.stderr


def test_a_failure_of_the_command_itself_is_not_called_one_of_set_up(monkeypatch):
    def command_that_fails(command, arguments):
        raise BrokenPipeError(errno.EPIPE, "Broken pipe")

    monkeypatch.setenv("PONTATA_SETUP", "0")
    monkeypatch.setattr(bootstrap, "run_here", command_that_fails)

    with pytest.raises(BrokenPipeError):
        bootstrap.run(["compare", "B1", "P1"])


def test_a_set_up_that_fails_ends_with_code_1_and_one_sentence(place, machine, capsys):
    machine.has("uv", does=f'{fake_venv(place, code=1)}; [ "$1" = venv ] || exit 1')

    code = bootstrap.set_up(place, with_tests=False)

    assert code == 1
    assert "Set-up stopped. " in capsys.readouterr().err
