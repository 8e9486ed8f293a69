"""How long do six tablets take to bring a week's work to one server, against the same bytes alone?

Each tablet signs in, enrols, pushes 2,000 outlines of 24 vertices in batches of 200 and 50
photographs of about 1 MB, all six at once, to `manage.py serve` on a data folder of its own. Then
each pulls the whole logbook, and all must hold the same. The peer is Python's own: the very same
bodies by http.client to a ThreadingHTTPServer that writes each into a file and syncs it; it looks
at nothing and answers nothing. Both run on this machine, one after the other.

Run: python tests/benchmarks/tablets_benchmark.py [--tablets 6 --entries 2000 --photographs 50]
"""

import argparse
import hashlib
import http.client
import http.server
import json
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
import uuid
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from math import cos, pi, sin
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.support.running_server import (  # noqa: E402
    start_server,
    stop,
    wait_until_it_answers,
)
from tests.support.sending_tablet import digest_of_statement  # noqa: E402

IN_A_BATCH, VERTICES = 200, 24
PHOTOGRAPH_BYTES = 1_000_000
CALL_LIMIT_S = 8.0  # after which a tablet's page gives a call up
USERNAME, PASSWORD = "tomas", "lime-and-red-earth"
PREPARE = """
import django; django.setup()
from survey.installation import make_ready; make_ready()
from survey.people.models import Role
from tests.support.factories import make_member, make_survey, make_wall
wall = make_wall(); make_member(wall, Role.CONSERVATOR, 'tomas'); make_survey(wall)
"""


@dataclass
class Call:
    """One request as bytes, so that both sides send the same."""

    method: str
    path: str
    body: bytes
    kind: str = "application/json"


@dataclass
class Tablet:
    """What one tablet has to bring, and how long each of its calls took [s]."""

    number: int
    id: str = ""
    epoch: str = ""
    pushes: list[Call] = field(default_factory=list)
    parts: list[Call] = field(default_factory=list)
    push_s: list[float] = field(default_factory=list)
    held: list[tuple[int, str]] = field(default_factory=list)


class Wire:
    """One connection of one tablet, signed in."""

    def __init__(self, url: str) -> None:
        self.connection = http.client.HTTPConnection(urlsplit(url).netloc, timeout=300)
        self.cookies: dict[str, str] = {}

    def send(self, call: Call) -> Any:
        headers = {
            "Content-Type": call.kind,
            "Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items()),
            "X-CSRFToken": self.cookies.get("csrftoken", ""),
            "X-Photograph-Type": "image/jpeg",
        }
        answer, data = self._exchange(call, headers)
        for line in answer.headers.get_all("Set-Cookie") or []:
            name, _, value = line.split(";")[0].partition("=")
            self.cookies[name] = value
        if answer.status == 503:
            return None
        if answer.status != 200:
            sys.exit(f"{call.method} {call.path} is answered with {answer.status}: {data[:300]!r}")
        return json.loads(data) if data else {}

    def _exchange(self, call: Call, headers: dict[str, str]) -> tuple[Any, bytes]:
        """Send and read; a connection that the server closed while idle is opened anew."""
        for last in (False, True):
            try:
                self.connection.request(call.method, call.path, body=call.body, headers=headers)
                answer = self.connection.getresponse()
                return answer, answer.read()
            except (ConnectionError, http.client.RemoteDisconnected):
                self.connection.close()
                if last:
                    raise
        raise AssertionError("unreachable")

    def sign_in(self) -> None:
        self.send(Call("GET", "/api/v1/session/", b""))
        said = {"username": USERNAME, "password": PASSWORD}
        self.send(Call("POST", "/api/v1/session/", json.dumps(said).encode()))


def enrol(url: str, number: int) -> tuple[Tablet, Wire]:
    wire = Wire(url)
    wire.sign_in()
    body = {"wall": "booking-hall", "survey": "B1", "name": f"Deck {number}"}
    told = wire.send(Call("POST", "/api/v1/tablets/", json.dumps(body).encode()))
    return Tablet(number, id=told["tablet"]["id"], epoch=told["epoch"]), wire


def fill(tablet: Tablet, *, entries: int, photographs: int) -> None:
    """Make all bodies beforehand, so that only sending is timed."""
    base = f"/api/v1/tablets/{tablet.id}"
    said = [outline(tablet, number) for number in range(1, entries + 1)]
    for start in range(0, entries, IN_A_BATCH):
        push = {
            "contract": 1,
            "epoch": tablet.epoch,
            "sent_at": "2026-11-18T12:00:00Z",
            "unsent": entries - start,
            "photographs_unsent": photographs,
            "entries": said[start : start + IN_A_BATCH],
        }
        tablet.pushes.append(Call("POST", f"{base}/push/", json.dumps(push).encode()))
    noise = random.Random(tablet.number)
    for _ in range(photographs):
        data = noise.randbytes(PHOTOGRAPH_BYTES)  # as little to be squeezed as a JPEG
        path = f"{base}/blobs/{hashlib.sha256(data).hexdigest()}?offset=0&total={len(data)}"
        tablet.parts.append(Call("PUT", path, data, "application/octet-stream"))


def outline(tablet: Tablet, number: int) -> dict[str, Any]:
    x, y = 10 + number % 260, 10 + number // 260 * 12 + tablet.number
    angles = [2 * pi * step / VERTICES for step in range(VERTICES)]
    ring = [[on_lattice(x + 4 * cos(a)), on_lattice(y + 3 * sin(a))] for a in angles]
    body = {
        "term": "paint-loss",
        "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
        "basis": "drawn",
        "mode": "normal",
        "item": f"L{number}",
        "layout": 1,
        "vocabulary": 1,
        "observed_on": "2026-03-02",
        "condition": number % 4,
        "note": "edge fresh, crumbs on the ledge below",
    }
    statement = {
        "body": body,
        "id": str(uuid.uuid4()),
        "kind": "observation",
        "kind_version": 1,
        "made_at": "2026-11-18T09:00:00Z",
        "object_id": str(uuid.uuid4()),
        "observed_by": "Tomas Sedge",
        "parents": [],
        "recorded_by": "Priya Lund",
    }
    return {**statement, "device_seq": number, "digest": digest_of_statement(statement)}


def on_lattice(value_in: float) -> float:
    return round(value_in * 256) / 256


def bring(tablet: Tablet, wire: Wire) -> None:
    """Push everything; what finds the database busy is sent again, as a tablet does."""
    for call in tablet.pushes:
        told = None
        while told is None:
            began = time.perf_counter()
            told = wire.send(call)
            tablet.push_s.append(time.perf_counter() - began)
        statuses = {receipt["status"] for receipt in told["receipts"]}
        if statuses != {"stored"}:
            sys.exit(f"Deck {tablet.number}: {statuses} {told['receipts'][0]['message']}")
    for call in tablet.parts:
        told = wire.send(call)
        if not (told and told["complete"]):
            sys.exit(f"Deck {tablet.number}: a photograph is not held: {told}")


def pull(tablet: Tablet, wire: Wire) -> None:
    after = 0
    while True:
        path = f"/api/v1/tablets/{tablet.id}/pull/?after={after}&limit=200"
        told = wire.send(Call("GET", path, b""))
        if not told["entries"]:
            return
        tablet.held += [(entry["seq"], entry["digest"]) for entry in told["entries"]]
        after = told["entries"][-1]["seq"]


def at_once(work: Any, pairs: list[tuple[Tablet, Wire]]) -> float:
    """Let all tablets work at the same time; return the seconds until the last is done."""
    began = time.perf_counter()
    with ThreadPoolExecutor(len(pairs)) as pool:
        for future in [pool.submit(work, *pair) for pair in pairs]:
            future.result()
    return time.perf_counter() - began


class Plain(http.server.BaseHTTPRequestHandler):
    """Writes each body into a file, synced, and says nothing."""

    protocol_version = "HTTP/1.1"

    def do_POST(self) -> None:
        data = self.rfile.read(int(self.headers["Content-Length"]))
        with tempfile.NamedTemporaryFile(dir=self.server.folder, delete=False) as file:  # type: ignore[attr-defined]
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        self.send_response(200)
        self.send_header("Content-Length", "0")
        self.end_headers()

    do_PUT = do_POST

    def log_message(self, *_: Any) -> None:
        """Print nothing."""


def serve_plainly(folder: str) -> None:
    """Serve until killed; the port is told on the first line."""
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Plain)
    server.folder = folder  # type: ignore[attr-defined]
    print(server.server_address[1], flush=True)
    server.serve_forever()


def sent_plainly(tablets: list[Tablet], folder: Path) -> float:
    """Return the seconds that the same bodies take to the plain server, all tablets at once."""
    folder.mkdir()
    command = [sys.executable, str(Path(__file__).resolve()), "--plain", str(folder)]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    try:
        assert server.stdout is not None
        url = f"http://127.0.0.1:{int(server.stdout.readline())}"

        def send_all(tablet: Tablet, wire: Wire) -> None:
            for call in (*tablet.pushes, *tablet.parts):
                wire.send(call)

        return at_once(send_all, [(tablet, Wire(url)) for tablet in tablets])
    finally:
        server.kill()


def measure(folder: Path, *, tablets: int, entries: int, photographs: int) -> None:
    data_folder = folder / "data"
    data_folder.mkdir()
    environment = {
        **os.environ,
        "PONTATA_DATA": str(data_folder),
        "DJANGO_SETTINGS_MODULE": "survey.settings",
    }
    subprocess.run([sys.executable, "-c", PREPARE], cwd=ROOT, env=environment, check=True)
    server, process = start_server("serve", data_folder)
    try:
        wait_until_it_answers(server, process)
        pairs = [enrol(server.url, number + 1) for number in range(tablets)]
        for tablet, _ in pairs:
            fill(tablet, entries=entries, photographs=photographs)
        brought_s = at_once(bring, pairs)
        pulled_s = at_once(pull, pairs)
    finally:
        stop(process)
    check_all_hold_the_same([tablet for tablet, _ in pairs], entries=entries)
    plain_s = sent_plainly([tablet for tablet, _ in pairs], folder / "plain")
    tell([tablet for tablet, _ in pairs], brought_s=brought_s, pulled_s=pulled_s, plain_s=plain_s)


def check_all_hold_the_same(tablets: list[Tablet], *, entries: int) -> None:
    expected = len(tablets) * entries
    first = tablets[0].held
    if [seq for seq, _ in first] != list(range(1, expected + 1)):
        sys.exit(f"Not all is there: {len(first):,} entries of {expected:,}.")
    if any(tablet.held != first for tablet in tablets):
        sys.exit("The tablets do not hold the same.")


def tell(tablets: list[Tablet], *, brought_s: float, pulled_s: float, plain_s: float) -> None:
    size = sum(len(call.body) for tablet in tablets for call in (*tablet.pushes, *tablet.parts))
    calls = sorted(seconds for tablet in tablets for seconds in tablet.push_s)
    slow = sum(seconds > CALL_LIMIT_S for seconds in calls)
    print(f"{len(tablets)} tablets at once, {size / 1e6:.0f} MB, {len(tablets[0].held):,} entries:")
    print(
        f"  pushed and stored in {brought_s:.1f} s; all hold the same after {pulled_s:.1f} s more"
    )
    print(
        f"  a push of {IN_A_BATCH}: median {statistics.median(calls):.2f} s, longest "
        f"{calls[-1]:.2f} s, {slow} of {len(calls)} above the {CALL_LIMIT_S:g} s of a tablet"
    )
    print(
        f"  the same bytes plainly in {plain_s:.1f} s: pushing takes {brought_s / plain_s:.1f} "
        "times as long"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tablets", type=int, default=6)
    parser.add_argument("--entries", type=int, default=2_000)
    parser.add_argument("--photographs", type=int, default=50)
    parser.add_argument("--plain", help=argparse.SUPPRESS)
    chosen = parser.parse_args()
    if chosen.plain:
        serve_plainly(chosen.plain)
        return
    with tempfile.TemporaryDirectory(prefix="pontata-tablets-") as folder:
        measure(
            Path(folder),
            tablets=chosen.tablets,
            entries=chosen.entries,
            photographs=chosen.photographs,
        )


if __name__ == "__main__":
    main()
