"""How templates print lengths and areas: the wording itself lives in gridmap.lengths."""

from collections.abc import Mapping

from django import template

from gridmap.lengths import format_area, format_feet_inches, format_metric

register = template.Library()


@register.filter
def feet_inches(length_in: float | None) -> str:
    """Print a length, such as 12′ 6 ½″."""
    return "" if length_in is None else format_feet_inches(float(length_in))


@register.filter
def metric(length_in: float | None) -> str:
    """Print a length in metres or millimetres."""
    return "" if length_in is None else format_metric(float(length_in))


@register.filter
def area(area_sq_in: float | None) -> str:
    """Print an area in square inches or square feet."""
    return "" if area_sq_in is None else format_area(float(area_sq_in))


@register.filter
def probability(p: float | str | None) -> str:
    """Print a probability: three digits, and never a row of noughts; nothing for none."""
    if not isinstance(p, float):
        return ""
    return "< 0.001" if p < 0.001 else f"{p:.3f}"


@register.filter
def named(code: str, names: Mapping[str, str]) -> str:
    """Print a term's trade name instead of its code."""
    return names.get(code, code)
