"""Puts drawings made by pure code into templates."""

from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe

from gridmap.marks import finding_mark
from gridmap.models import Layout
from gridmap.strip import AreaInk, CellInk, strip_svg

register = template.Library()


@register.simple_tag
def wall_strip(
    layout: Layout,
    cells: dict[str, CellInk] | None = None,
    areas: list[AreaInk] | None = None,
    chosen: str = "",
    title: str = "The whole wall as a strip",
) -> SafeString:
    """Draw a layout's strip; every text in it is escaped by the XML writer."""
    svg = strip_svg(
        width_in=layout.width_in,
        height_in=layout.height_in,
        grid=layout.grid,
        openings=layout.openings,
        decks=layout.deck_bands,
        obstructions=layout.obstructions,
        cells=cells,
        areas=areas or (),
        chosen=chosen,
        title=title,
    )
    return mark_safe(svg)


@register.simple_tag
def finding_sign(finding: str) -> SafeString:
    """Draw the small mark of a finding; the word stands beside it in the template."""
    mark: dict[str, Any] = finding_mark(finding).to_json()
    return mark_safe(
        '<svg class="finding-sign" viewBox="-1.2 -1.2 2.4 2.4" aria-hidden="true">'
        f'<path class="mark-fill" d="{mark["fill"]}"/>'
        f'<path class="mark-stroke" stroke-width="{mark["stroke_width"]}" d="{mark["stroke"]}"/>'
        "</svg>"
    )
