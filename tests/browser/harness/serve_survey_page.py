"""How does the survey page behave without the rest of the program?

Serves the real template, styles and modules on loopback beside a small record in memory that gives
receipts as the HTTP API does. It validates nothing and keeps nothing.
"""

import argparse
import io
import json
import math
import random
import uuid
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import SimpleNamespace
from typing import Any

ROOT = Path(__file__).resolve().parents[3]
STATIC_FOLDERS = {
    "vendor/ol/": ROOT / "node_modules/ol/dist",
    "vendor/source-sans/WOFF2/": ROOT / "node_modules/source-sans/WOFF2",
    "": ROOT / "static",
}
CONTENT_TYPES = {
    ".js": "text/javascript",
    ".css": "text/css",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
    ".png": "image/png",
    ".map": "application/json",
}
CONTENT_POLICY = "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'"
WIDTH_IN, HEIGHT_IN = 1008.0, 168.0
LISTED = {
    "normal": [
        "paint-loss", "flaking", "powdering", "hairline-crack", "plaster-loss",
        "efflorescence", "stain-tide-line-run", "dust", "impact-gouge",
    ],
    "raking": ["flaking", "blister", "deformation", "hairline-crack"],
}  # fmt: skip


class MemoryRecord:
    """Entries of one survey, in memory; the newest statement about an object stands."""

    def __init__(self, outlines: list[dict[str, Any]], previous: list[dict[str, Any]]):
        self.outlines = {outline["id"]: outline for outline in outlines}
        self.previous = previous
        self.examinations: dict[str, dict[str, Any]] = {}
        self.entries: list[dict[str, Any]] = []
        self.refuse_next: str | None = None
        self.fail_next = 0

    def take(self, entry: dict[str, Any]) -> dict[str, Any]:
        if any(known["id"] == entry["id"] for known in self.entries):
            return {"id": entry["id"], "seq": len(self.entries), "status": "already there"}
        self.entries.append(entry)
        receipt = {"id": entry["id"], "seq": len(self.entries), "status": "stored", "digest": ""}
        body = {**entry["body"], "entry": entry["id"], "observed_by": entry["observed_by"]}
        if entry["kind"] == "observation":
            self.outlines[entry["object_id"]] = receipt["outline"] = outline_of(entry, body)
        elif entry["kind"] == "withdrawal":
            self.outlines.pop(entry["object_id"], None)
        elif entry["kind"] == "examination":
            receipt["examination"] = {**body, "id": entry["object_id"]}
            self.examinations[entry["object_id"]] = receipt["examination"]
        return receipt


def outline_of(entry: dict[str, Any], body: dict[str, Any]) -> dict[str, Any]:
    from gridmap.grid import Grid
    from gridmap.measure import cells_touched
    from gridmap.outline import shape_of

    geometry = body["geometry"]
    kind = {"Pol": "area", "Lin": "line", "Poi": "point"}[geometry["type"].replace("Multi", "")[:3]]
    shape = shape_of(geometry, kind)
    grid = Grid.from_json(grid_json())
    return {
        **body,
        "id": entry["object_id"],
        "cells": list(cells_touched(shape, grid)),
        "continues": body.get("continues", []),
        "area_sq_in": shape.area if kind == "area" else None,
        "perimeter_in": shape.length if kind == "area" else None,
        "length_in": shape.length if kind == "line" else None,
        "conflict": False,
    }


def grid_json() -> dict[str, Any]:
    return {
        "columns": {"lines": [24.0 * i for i in range(43)], "names": "numbers", "from": "left"},
        "rows": {"lines": [24.0 * i for i in range(8)], "names": "letters", "from": "top"},
    }


def random_outlines(count: int, seed: int, item: str) -> list[dict[str, Any]]:
    from gridmap.grid import Grid

    draw = random.Random(seed)
    grid = Grid.from_json(grid_json())
    codes = [*LISTED["normal"][:3], "plaster-loss", "efflorescence", "stain-tide-line-run"]
    outlines = []
    for number in range(count):
        x, y, size = (
            draw.uniform(8, WIDTH_IN - 8),
            draw.uniform(8, HEIGHT_IN - 8),
            draw.uniform(1.5, 6),
        )
        ring = []
        for step in range(20):
            angle, reach = math.tau * step / 20, size * draw.uniform(0.7, 1.0)
            ring.append(
                [snapped(x + reach * math.cos(angle)), snapped(y + reach * math.sin(angle))]
            )
        area = (
            abs(
                sum(
                    a[0] * b[1] - b[0] * a[1]
                    for a, b in zip(ring, ring[1:] + ring[:1], strict=True)
                )
            )
            / 2
        )
        outlines.append(
            {
                "id": str(uuid.UUID(int=draw.getrandbits(128), version=4)),
                "entry": str(uuid.UUID(int=draw.getrandbits(128), version=4)),
                "item": f"{item}{number + 1}", "term": draw.choice(codes), "mode": "normal", "basis": "drawn",
                "cells": [grid.cell_at(x, y)], "continues": [], "condition": draw.choice([1, 2, 3]),
                "observed_by": "Ines Fallow", "observed_on": "2026-06-16", "area_sq_in": area,
                "perimeter_in": 2 * math.pi * size, "length_in": None, "conflict": False,
                "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
            }
        )  # fmt: skip
    return outlines


def snapped(value: float) -> float:
    return math.floor(value * 256 + 0.5) / 256


def boot_data(*, with_previous: bool) -> dict[str, Any]:
    from survey.vocabulary.terms import Vocabulary

    stored = json.loads((ROOT / "survey/vocabulary/data/terms.json").read_text("utf-8"))
    arch = [[720.0 + 72 * i / 12, 18 * math.sin(math.pi * i / 12)] for i in range(13)]
    clock = [
        [504 + 18 * math.cos(math.tau * i / 24), 126 + 18 * math.sin(math.tau * i / 24)]
        for i in range(24)
    ]
    band = lambda y0, y1: [[0, y0], [WIDTH_IN, y0], [WIDTH_IN, y1], [0, y1]]  # noqa: E731
    return {
        "wall": {"slug": "north", "name": "The Harvest Train", "width_in": WIDTH_IN, "height_in": HEIGHT_IN, "base_above_floor_in": 96.0},
        "layout": {
            "version": 1, "grid": grid_json(), "zones": [],
            "openings": [{"name": "clock", "polygon": clock}, {"name": "doorway head", "polygon": arch}],
            "decks": [{"name": "1", "level_above_floor_in": 84.0, "band": [0, 72]}, {"name": "2", "level_above_floor_in": 168.0, "band": [72, HEIGHT_IN]}],
            "obstructions": [
                {"name": "Deck 2's boards", "cause": "deck boards", "mode": None, "polygon": band(66, 78), "touch_only": False},
                {"name": "beyond reach from deck 2", "cause": "out of reach", "mode": None, "polygon": band(150, 168), "touch_only": True},
            ],
        },
        "survey": {
            "id": "0190a6f2-7a52-7c11-8a01-5f0d2b8d7a10", "code": "W1", "kind": "round", "state": "open", "modes": ["normal", "raking"],
            "search_list": LISTED, "layout": 1, "vocabulary": 1, "starts_on": "2026-11-16", "ends_on": "2026-11-20",
        },
        "previous": {"code": "P2", "id": "0190a6f2-7a52-7c11-8a01-5f0d2b8d7a11"} if with_previous else None,
        "surveys": [],
        "terms": Vocabulary.from_json(stored).for_browser(),
        "pictures": [{"mode": "normal", "url": "/picture.png", "bounds_in": [0, 0, WIDTH_IN, HEIGHT_IN], "survey": "P2", "taken_on": "2026-10-20"}],
        "account": {"name": "Ines Fallow", "role": "lead conservator", "can_record": True},
        "clock": "2026-11-18T09:00:00Z",
        "urls": {"entries": "/api/entries/", "shapes": "/api/shapes/", "examinations": "/api/examinations/", "previous_shapes": "/api/previous/" if with_previous else None, "treatments": None},
    }  # fmt: skip


def picture_png() -> bytes:
    """A plain invented picture: land, a river, a train, so that the plate has something under it."""
    from PIL import Image, ImageDraw

    image = Image.new("RGB", (4032, 672), "#c9b98f")
    pen = ImageDraw.Draw(image)
    for step in range(120):
        pen.rectangle(
            [step * 34, 0, step * 34 + 34, 260], fill=(150 + step % 9 * 4, 170 + step % 5 * 5, 178)
        )
    pen.polygon(
        [(0, 300), (900, 180), (1800, 320), (2800, 200), (4032, 330), (4032, 672), (0, 672)],
        fill="#9a9a62",
    )
    pen.polygon(
        [(0, 560), (1400, 470), (2600, 560), (4032, 480), (4032, 600), (0, 640)], fill="#6f8b96"
    )
    for car in range(6):
        pen.rectangle(
            [700 + car * 330, 340, 990 + car * 330, 450], fill="#7c3f2c", outline="#33241c", width=6
        )
    buffer = io.BytesIO()
    image.save(buffer, "PNG")
    return buffer.getvalue()


def page_html(boot: dict[str, Any]) -> str:
    import django
    from django.conf import settings
    from django.template import engines
    from django.test import RequestFactory

    if not settings.configured:
        settings.configure(
            SECRET_KEY="harness", ROOT_URLCONF="tests_no_urls", STATIC_URL="/static/", ALLOWED_HOSTS=["*"],
            TEMPLATES=[{"BACKEND": "django.template.backends.django.DjangoTemplates", "DIRS": [ROOT / "templates"],
                        "OPTIONS": {"context_processors": ["django.template.context_processors.request"]}}],
        )  # fmt: skip
        import sys

        from django.urls import include, path

        # The page names its deck log; nothing answers there.
        link = path("walls/<slug>/surveys/<code>/deck-log/", lambda request: None, name="deck_log")  # type: ignore[arg-type]
        routes = SimpleNamespace(urlpatterns=[path("", include(([link], "tablets")))])
        sys.modules["tests_no_urls"] = routes  # type: ignore[assignment]
        django.setup()
    survey = SimpleNamespace(code=boot["survey"]["code"], state="open", get_kind_display="Round")
    person = SimpleNamespace(is_authenticated=True, name="Ines Fallow", get_username="ines")
    request = RequestFactory().get("/")
    request.user = person  # type: ignore[assignment]
    context = {"boot": boot, "survey": survey, "wall": SimpleNamespace(**boot["wall"]), "clock": "18 Nov 2026, 09:00", "account_role": "lead conservator"}  # fmt: skip
    return engines["django"].get_template("record/survey.html").render(context, request)


class Handler(BaseHTTPRequestHandler):
    record: MemoryRecord
    new_record: Callable[[], MemoryRecord]
    page: bytes
    picture: bytes

    def do_GET(self) -> None:
        path = self.path.split("?")[0]
        if path == "/":
            self.answer(self.page, "text/html; charset=utf-8")
        elif path == "/picture.png":
            self.answer(self.picture, "image/png")
        elif path == "/api/shapes/":
            self.answer_json(
                {
                    "survey": "W1",
                    "head": len(self.record.entries),
                    "outlines": list(self.record.outlines.values()),
                }
            )
        elif path == "/api/previous/":
            self.answer_json({"survey": "P2", "head": 0, "outlines": self.record.previous})
        elif path == "/api/examinations/":
            self.answer_json({"examinations": list(self.record.examinations.values())})
        elif path == "/api/entries/":
            self.answer_json({"entries": self.record.entries, "head": len(self.record.entries)})
        else:
            self.answer_static(path.removeprefix("/static/"))

    def do_POST(self) -> None:
        sent = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        if self.path == "/control/":
            if sent.get("reset"):
                type(self).record = self.new_record()
            self.record.refuse_next = sent.get("refuse")
            self.record.fail_next = sent.get("fail", 0)
            self.answer_json({})
        elif self.record.fail_next:
            self.record.fail_next -= 1
            self.answer_json({"message": "down", "field": None}, status=503)
        elif self.record.refuse_next:
            message, self.record.refuse_next = self.record.refuse_next, None
            self.answer_json({"message": message, "field": "geometry"}, status=400)
        else:
            self.answer_json({"receipts": [self.record.take(entry) for entry in sent["entries"]]})

    def answer_static(self, name: str) -> None:
        for prefix, folder in STATIC_FOLDERS.items():
            file = (folder / name.removeprefix(prefix)).resolve()
            if name.startswith(prefix) and file.is_file() and file.is_relative_to(folder.resolve()):
                self.answer(file.read_bytes(), CONTENT_TYPES.get(file.suffix, "text/plain"))
                return
        self.send_error(404)

    def answer_json(self, content: object, status: int = 200) -> None:
        self.answer(json.dumps(content).encode(), "application/json", status)

    def answer(self, content: bytes, kind: str, status: int = 200) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Content-Security-Policy", CONTENT_POLICY)
        self.end_headers()
        self.wfile.write(content)

    def log_message(self, *arguments: object) -> None:
        """Say nothing."""


def make_server(*, port: int = 0, outlines: int = 60, previous: int = 40) -> ThreadingHTTPServer:
    """Return a server on loopback; `port` 0 takes a free one."""
    handler = type("SurveyPageHandler", (Handler,), {})
    drawn, earlier = random_outlines(outlines, 7, "W"), random_outlines(previous, 9, "L")
    handler.new_record = staticmethod(lambda: MemoryRecord(drawn, earlier))
    handler.record = handler.new_record()
    handler.page = page_html(boot_data(with_previous=previous > 0)).encode()
    handler.picture = picture_png()
    return ThreadingHTTPServer(("127.0.0.1", port), handler)


if __name__ == "__main__":
    import sys

    sys.path.insert(0, str(ROOT))
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--port", type=int, default=8765)
    parser.add_argument("--outlines", type=int, default=60)
    parser.add_argument("--previous", type=int, default=40)
    chosen = parser.parse_args()
    make_server(
        port=chosen.port, outlines=chosen.outlines, previous=chosen.previous
    ).serve_forever()
