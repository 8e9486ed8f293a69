"""What a description of a wall says once it is read: sizes, grid, openings, zones, decks.

No Django, no I/O. Every refusal names the key, the value and the limit.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from gridmap.errors import InvalidInput
from gridmap.grid import Grid
from gridmap.lengths import parse_length_in, snap_in
from gridmap.outline import take_outline
from survey.vocabulary.words import MODE_NAMES
from survey.walls.telephone_numbers import read_telephones

LARGEST_WIDTH_IN = 12_000.0  # 1,000 ft
LARGEST_HEIGHT_IN = 3_600.0  # 300 ft
MOST_PARTS = 200
KEPT_SLUGS = frozenset({"new"})
_SLUG = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,38}[a-z0-9])?")
TEXTS = {
    "title": 200,
    "artist": 200,
    "made": 60,
    "technique": 200,
    "place": 200,
    "owner": 200,
    "inventory_number": 80,
    "contractor": 200,
    "insurer": 200,
}
_KEYS = frozenset(
    {"wall", "name", "width", "height", "base_above_floor", "grid", "note"}
    | {"openings", "zones", "decks", "obstructions", "telephones"}
    | TEXTS.keys()
)

NamedPolygon = dict[str, Any]


@dataclass(frozen=True)
class LayoutDescription:
    """What one version of a layout holds; lengths in inches on the 1/256 in lattice."""

    width_in: float
    height_in: float
    grid: Grid
    openings: tuple[NamedPolygon, ...] = ()
    zones: tuple[NamedPolygon, ...] = ()
    decks: tuple[dict[str, Any], ...] = ()
    obstructions: tuple[NamedPolygon, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class WallDescription:
    """What identifies a wall, and its layout."""

    slug: str
    name: str
    base_above_floor_in: float
    layout: LayoutDescription
    texts: Mapping[str, str]
    telephones: tuple[dict[str, str], ...] = ()


def read_wall(description: Any) -> WallDescription:
    """Read the JSON description of a wall; raises InvalidInput."""
    if not isinstance(description, Mapping):
        raise InvalidInput("The description of a wall must be one JSON object.", field="wall")
    for key in description:
        if key not in _KEYS:
            raise InvalidInput(
                f"{key!r} is not a key of a wall. Keys: {', '.join(sorted(_KEYS))}.", field=str(key)
            )
    return WallDescription(
        slug=read_slug(description.get("wall")),
        name=_text(description, "name", longest=120) or str(description["wall"]),
        base_above_floor_in=snap_in(
            parse_length_in(
                description.get("base_above_floor", 0), field="base_above_floor", minimum_in=0.0
            )
        ),
        layout=read_layout(description),
        texts={key: _text(description, key, longest=longest) for key, longest in TEXTS.items()},
        telephones=read_telephones(description.get("telephones", [])),
    )


def read_slug(value: Any) -> str:
    """Read a wall's short name."""
    if not isinstance(value, str) or not _SLUG.fullmatch(value):
        raise InvalidInput(
            f"wall is {value!r}; it must be a short name of at most 40 lower-case letters, digits "
            "and hyphens, such as north-wall.",
            field="wall",
        )
    if value in KEPT_SLUGS:
        raise InvalidInput(
            f"wall is {value!r}, which the program keeps for its own pages. Choose another.",
            field="wall",
        )
    return value


def read_layout(description: Mapping[str, Any]) -> LayoutDescription:
    """Read what belongs to a layout; raises InvalidInput."""
    width_in = _extent(description.get("width"), "width", LARGEST_WIDTH_IN)
    height_in = _extent(description.get("height"), "height", LARGEST_HEIGHT_IN)
    if "grid" not in description:
        raise InvalidInput('grid is missing; give it "columns" and "rows".', field="grid")
    size = (width_in, height_in)
    return LayoutDescription(
        width_in=width_in,
        height_in=height_in,
        grid=Grid.from_json(description["grid"], width_in=width_in, height_in=height_in),
        openings=_parts(description, "openings", size),
        zones=_parts(description, "zones", size),
        decks=_decks(description),
        obstructions=_parts(description, "obstructions", size, more=_obstruction_details),
        note=_text(description, "note", longest=300),
    )


def _extent(value: Any, field: str, largest_in: float) -> float:
    if value is None or value == "":
        raise InvalidInput(f'{field} is missing; write it as "84 ft".', field=field)
    extent_in = snap_in(parse_length_in(value, field=field))
    if not 1.0 <= extent_in <= largest_in:
        raise InvalidInput(
            f"{field} is {value!r}; it must lie between 1 in and {largest_in / 12:,.0f} ft.",
            field=field,
        )
    return extent_in


def _text(description: Mapping[str, Any], field: str, *, longest: int) -> str:
    value = description.get(field, "")
    if not isinstance(value, str) or len(value) > longest:
        raise InvalidInput(f"{field} must be text of at most {longest} characters.", field=field)
    return value.strip()


def _items(description: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
    value = description.get(key, [])
    if not isinstance(value, list) or len(value) > MOST_PARTS:
        raise InvalidInput(f"{key} must be a list of at most {MOST_PARTS}.", field=key)
    names: set[str] = set()
    for number, item in enumerate(value):
        where = f"{key}[{number}]"
        if not isinstance(item, Mapping):
            raise InvalidInput(f"{where} must be an object.", field=where)
        name = item.get("name")
        if not isinstance(name, str) or not name.strip() or len(name) > 60:
            raise InvalidInput(
                f"{where}.name is {name!r}; it must be text of 1 to 60 characters.",
                field=f"{where}.name",
            )
        if name in names and key != "obstructions":
            raise InvalidInput(f"{key} names {name!r} twice.", field=f"{where}.name")
        names.add(name)
    return value


def _parts(
    description: Mapping[str, Any], key: str, size_in: tuple[float, float], *, more: Any = None
) -> tuple[NamedPolygon, ...]:
    parts = []
    for number, item in enumerate(_items(description, key)):
        where = f"{key}[{number}].polygon"
        ring = read_ring(item.get("polygon"), size_in, field=where)
        parts.append(
            {"name": item["name"].strip(), "polygon": ring, **(more(item) if more else {})}
        )
    return tuple(parts)


def read_ring(value: Any, size_in: tuple[float, float], *, field: str) -> list[list[float]]:
    """Read a polygon whose coordinates are inches or texts of feet and inches."""
    if not isinstance(value, list):
        raise InvalidInput(f"{field} must be a list of [x, y].", field=field)
    ring = []
    for place, point in enumerate(value):
        if not isinstance(point, list | tuple) or len(point) != 2:
            raise InvalidInput(f"{field}[{place}] must be [x, y].", field=field)
        ring.append([parse_length_in(number, field=f"{field}[{place}]") for number in point])
    taken = take_outline(
        {"type": "Polygon", "coordinates": [ring]},
        kind="area",
        width_in=size_in[0],
        height_in=size_in[1],
        field=field,
    )
    return [list(point) for point in taken.geometry["coordinates"][0]]


def _obstruction_details(item: Mapping[str, Any]) -> dict[str, Any]:
    mode = item.get("mode") or None
    if mode is not None and mode not in MODE_NAMES:
        raise InvalidInput(
            f"mode of {item['name']!r} is {mode!r}; it must be one of: {', '.join(MODE_NAMES)}.",
            field="obstructions",
        )
    touch_only = item.get("touch_only", False)
    if not isinstance(touch_only, bool):
        raise InvalidInput(
            f"touch_only of {item['name']!r} is {touch_only!r}; it must be true or false.",
            field="obstructions",
        )
    first, last = _day(item, "from"), _day(item, "to")
    if first and last and last < first:
        raise InvalidInput(
            f"{item['name']!r} stands to {last}, before it stands from {first}.",
            field="obstructions",
        )
    return {
        "cause": _text(item, "cause", longest=200) or item["name"].strip(),
        "mode": mode,
        "touch_only": touch_only,
        "from": first,
        "to": last,
    }


def _day(item: Mapping[str, Any], key: str) -> str | None:
    value = item.get(key)
    if value in (None, ""):
        return None
    try:
        return date.fromisoformat(value).isoformat()
    except (TypeError, ValueError) as error:
        raise InvalidInput(
            f"{key} of {item['name']!r} is {value!r}; it must be a date such as 2026-02-16.",
            field="obstructions",
        ) from error


def _decks(description: Mapping[str, Any]) -> tuple[dict[str, Any], ...]:
    decks = [
        {
            "name": item["name"].strip(),
            "level_above_floor_in": snap_in(
                parse_length_in(
                    item.get("level_above_floor", item.get("level_above_floor_in")),
                    field=f"decks[{number}].level_above_floor",
                    minimum_in=0.0,
                )
            ),
        }
        for number, item in enumerate(_items(description, "decks"))
    ]
    return tuple(sorted(decks, key=lambda deck: float(deck["level_above_floor_in"])))
