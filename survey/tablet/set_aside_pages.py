"""How does what was set aside stand on its page: why, from where, readable, drawn if it can be?

What was sent is shown as it came and never trusted: it may be anything at all.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.utils.safestring import SafeString, mark_safe

from gridmap.errors import InvalidInput, NotFound
from gridmap.models import Layout
from gridmap.plate_cut import PlaceInk, plate_cut_svg, window_round
from gridmap.vertices import Kind, as_drawn, read_parts
from survey.ledger.models import SetAside
from survey.record.models import Survey

LONGEST_SHOWN = 20_000  # characters on the page; the whole can be downloaded
KINDS: tuple[Kind, ...] = ("area", "line", "point")
OFF_THE_WALL = "Its outline lies off the wall, so it is not drawn."


@dataclass(frozen=True)
class AsideSheet:
    """One thing set aside, as its page shows it."""

    aside: SetAside
    device: str
    text: str
    cut_off: int  # characters of the text that are not shown
    said: Mapping[str, Any]  # what reads as a statement, empty where nothing does
    drawing: SafeString
    drawing_words: str

    @property
    def kind(self) -> str:
        """What kind of statement it says it is."""
        return _word(self.said.get("kind"))

    @property
    def people(self) -> str:
        names = [_word(self.said.get(key)) for key in ("observed_by", "recorded_by")]
        return ", recorded by ".join(dict.fromkeys(name for name in names if name))


def waiting_in(survey: Survey) -> QuerySet[SetAside]:
    """Return what was set aside in a survey and nobody has settled yet, oldest first."""
    return survey.logbook.set_aside.filter(settled__isnull=True).order_by("received_at", "pk")


def settled_in(survey: Survey) -> QuerySet[SetAside]:
    """Return what a person took into the record or left out, newest first."""
    rows = survey.logbook.set_aside.filter(settled__isnull=False)
    return rows.select_related("settled__entry").order_by("-settled__settled_at", "-pk")


def aside_of(survey: Survey, number: int) -> SetAside:
    """Return one thing set aside in a survey; raises NotFound."""
    found = survey.logbook.set_aside.filter(pk=number).first()
    if found is None:
        raise NotFound(f"Survey {survey.code} has set nothing aside under this number.")
    return found


def aside_sheet(aside: SetAside, layout: Layout, device_name: Callable[[str], str]) -> AsideSheet:
    """Return one thing set aside, ready to be shown."""
    text, said = _readable(bytes(aside.raw))
    drawing, words = _drawn(said, layout)
    return AsideSheet(
        aside=aside,
        device=device_name(aside.device),
        text=text[:LONGEST_SHOWN],
        cut_off=max(0, len(text) - LONGEST_SHOWN),
        said=said,
        drawing=drawing,
        drawing_words=words,
    )


def _readable(raw: bytes) -> tuple[str, Mapping[str, Any]]:
    """Return raw bytes as text, set out in lines where they are JSON, and the object they hold."""
    text = _sendable(raw.decode("utf-8", "replace"))
    try:
        value = json.loads(raw)
        pretty = json.dumps(value, ensure_ascii=False, indent=2)
    except (ValueError, RecursionError):
        return text, {}
    return _sendable(pretty), value if isinstance(value, dict) else {}


def _drawn(said: Mapping[str, Any], layout: Layout) -> tuple[SafeString, str]:
    body = said.get("body")
    geometry = body.get("geometry") if isinstance(body, Mapping) else None
    if not isinstance(geometry, Mapping):
        return mark_safe(""), ""
    read = _read(geometry)
    if read is None:
        return mark_safe(""), "Its outline cannot be read, so it is not drawn."
    size = {"width_in": layout.width_in, "height_in": layout.height_in}
    window = window_round([read], **size)
    if window[0] >= window[2] or window[1] >= window[3]:
        return mark_safe(""), OFF_THE_WALL
    svg = plate_cut_svg(
        window_in=window,
        grid=layout.grid,
        openings=layout.openings,
        places=[PlaceInk(read, "cut-this", "as sent")],
        title="The outline as it was sent",
        **size,
    )
    return mark_safe(svg), "Drawn as it was sent."


def _read(geometry: Mapping[str, Any]) -> dict[str, Any] | None:
    for kind in KINDS:
        try:
            return as_drawn(str(geometry.get("type")), read_parts(geometry, kind, "geometry", []))
        except InvalidInput:
            continue
        except (TypeError, ValueError, OverflowError, RecursionError):
            return None
    return None


def _word(value: Any) -> str:
    return _sendable(value[:150]) if isinstance(value, str) else ""


def _sendable(text: str) -> str:
    """Return a text that a page can hold: no half of a pair of surrogates, no NUL."""
    return text.encode("utf-8", "replace").decode("utf-8").replace("\x00", "␀")
