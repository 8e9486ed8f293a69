"""How do the web server and the worker of this machine start together and end together?

The parent runs nothing itself: it starts both, says where the pages are, waits, and when one of
them ends or somebody asks it to stop, it stops the other too.
"""

import errno
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

from django.conf import settings

from gridmap.errors import InvalidInput, PontataError

WEB_PROCESSES, WEB_THREADS = 2, 4
REQUEST_LIMIT_S = 120
START_LIMIT_S = 60.0
STOP_LIMIT_S = 10.0
LAST_PORT = 65535


class ServingFailed(PontataError):
    """The server could not start or ended by itself."""


class StopAsked(Exception):
    """Somebody asked this process to end."""


@dataclass(frozen=True)
class Encryption:
    """What a server for the local network needs beyond its address."""

    certificate_file: Path
    key_file: Path
    authority_file: Path
    hosts: Sequence[str]
    trust_port: int


def check_port(host: str, port: int, *, command: str) -> None:
    """Raise InvalidInput when the address cannot be served, with the reason and what to do."""
    if not 1 <= port <= LAST_PORT:
        raise InvalidInput(f"--port is {port}; it must be from 1 to {LAST_PORT}.", field="port")
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as probe:
        if os.name != "nt":  # there it would share a taken port instead of refusing it
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as error:
            raise InvalidInput(_why_not(error, host, port, command), field="port") from error


def _why_not(error: OSError, host: str, port: int, command: str) -> str:
    other = (
        f"Choose another: python3 manage.py {command} --port {port + 1 if port < 9000 else 8000}"
    )
    if error.errno in {errno.EADDRINUSE, getattr(errno, "WSAEADDRINUSE", -1)}:
        return f"Port {port} on {host} is taken by another program. {other}"
    if error.errno in {errno.EACCES, errno.EPERM}:
        return f"Port {port} needs an administrator's rights. {other}"
    return f"--host {host} is no address of this machine ({error.strerror}). Use 127.0.0.1."


def serve(
    host: str, port: int, *, announce: Callable[[], None], encryption: Encryption | None = None
) -> None:
    """Run web server and worker until stopped; raise ServingFailed when one ends by itself.

    With encryption a third process tells tablets over plain HTTP how to trust this machine.
    """
    signal.signal(signal.SIGTERM, _stop_asked)
    children: list[tuple[str, subprocess.Popen[bytes]]] = []
    try:
        children.append(("web server", _start(web_command(host, port, encryption), encryption)))
        children.append(("worker", _start(worker_command(), encryption)))
        if encryption:
            trusting = trust_command(host, port, encryption)
            children.append(("page of trust", _start(trusting, encryption)))
        _wait_until_open(host, port, children)
        if encryption:
            _wait_until_open(host, encryption.trust_port, children)
        announce()
        _wait_for_an_end(children)
    except (KeyboardInterrupt, StopAsked):
        print("\nStopping.", flush=True)
    finally:
        # A second Ctrl-C must not leave one of the two running.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        signal.signal(signal.SIGTERM, signal.SIG_IGN)
        stop_all([child for _, child in children])


def web_command(host: str, port: int, encryption: Encryption | None = None) -> list[str]:
    """Return the command of the web server; Windows has no gunicorn, there Django's own serves."""
    address = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    if os.name == "nt":
        return [sys.executable, "-m", "django", "runserver", address, "--noreload"]
    return [
        sys.executable, "-m", "gunicorn", "survey.wsgi:application",
        "--bind", address,
        "--workers", str(WEB_PROCESSES), "--threads", str(WEB_THREADS),
        "--timeout", str(REQUEST_LIMIT_S), "--graceful-timeout", "5",
        "--log-level", "warning",
        *_certificate_options(encryption),
    ]  # fmt: skip


def _certificate_options(encryption: Encryption | None) -> list[str]:
    if encryption is None:
        return []
    certificate, key = encryption.certificate_file, encryption.key_file
    return ["--certfile", str(certificate), "--keyfile", str(key)]


def trust_command(host: str, port: int, encryption: Encryption) -> list[str]:
    """Return the command of the small page from which a tablet takes the authority."""
    return [
        sys.executable, "-m", "survey.trust_page",
        "--host", host,
        "--port", str(encryption.trust_port),
        "--pages-port", str(port),
        "--authority", str(encryption.authority_file),
    ]  # fmt: skip


def worker_command() -> list[str]:
    return [sys.executable, "-m", "django", "db_worker", "--interval", "0.5"]


def _start(command: Sequence[str], encryption: Encryption | None = None) -> subprocess.Popen[bytes]:
    clock = settings.FIXED_CLOCK
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "survey.settings",
        "PONTATA_CLOCK": clock.isoformat() if clock else "",
    }
    if encryption:
        hosts = dict.fromkeys([*settings.ALLOWED_HOSTS, *encryption.hosts])
        environment |= {"PONTATA_HTTPS": "1", "PONTATA_HOSTS": ",".join(hosts)}
    # A session of its own: Ctrl-C reaches the parent alone, which then ends both in order.
    return subprocess.Popen(
        command,
        cwd=settings.PROJECT_FOLDER,
        env=environment,
        stdin=subprocess.DEVNULL,
        start_new_session=True,
    )


def _wait_until_open(
    host: str, port: int, children: Sequence[tuple[str, subprocess.Popen[bytes]]]
) -> None:
    reachable = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)
    deadline = time.monotonic() + START_LIMIT_S
    while time.monotonic() < deadline:
        _refuse_ended(children)
        try:
            socket.create_connection((reachable, port), timeout=1).close()
            return
        except OSError:
            time.sleep(0.05)
    raise ServingFailed(f"The web server did not answer within {START_LIMIT_S:.0f} s.")


def _wait_for_an_end(children: Sequence[tuple[str, subprocess.Popen[bytes]]]) -> None:
    while True:
        _refuse_ended(children)
        time.sleep(0.2)


def _refuse_ended(children: Sequence[tuple[str, subprocess.Popen[bytes]]]) -> None:
    for name, child in children:
        if child.poll() is not None:
            raise ServingFailed(
                f"The {name} ended by itself with code {child.returncode}; what it printed above "
                "says why. The rest was stopped."
            )


def _stop_asked(number: int, frame: FrameType | None) -> None:
    raise StopAsked


def stop_all(children: Sequence[subprocess.Popen[bytes]]) -> None:
    """Ask each to end, and end it when it does not."""
    for child in children:
        if child.poll() is None:
            child.terminate()
    deadline = time.monotonic() + STOP_LIMIT_S
    for child in children:
        try:
            child.wait(max(0.1, deadline - time.monotonic()))
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()
