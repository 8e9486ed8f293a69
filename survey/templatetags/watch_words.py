"""How templates print readings of the watch; the wording lives in survey.watch.quantities."""

from django import template

from survey.watch.hours import span_in_words
from survey.watch.limit_words import value_in_words
from survey.watch.models import Limit
from survey.watch.quantities import from_canonical, quantity_of
from survey.watch.quantities import shown as shown_in_both
from survey.watch.units import celsius_difference_to_fahrenheit, celsius_to_fahrenheit

register = template.Library()


@register.filter
def shown(value: float | None, quantity: str) -> str:
    """Print a reading of the unit of account in every unit that people use; nothing for none."""
    return "" if value is None else shown_in_both(float(value), quantity)


@register.filter
def in_unit(value: float | None, quantity_and_unit: str) -> float | None:
    """Return a reading in another unit, such as `|in_unit:"particle-velocity in/s"`."""
    quantity, _, unit = quantity_and_unit.partition(" ")
    return None if value is None else float(from_canonical(value, quantity, unit))


@register.filter
def in_f(temperature_c: float | None) -> float | None:
    """Return a temperature in °F."""
    return None if temperature_c is None else float(celsius_to_fahrenheit(temperature_c))


@register.filter
def difference_in_f(difference_k: float | None) -> float | None:
    """Return a difference of temperatures in °F; no 32 is added."""
    return None if difference_k is None else float(celsius_difference_to_fahrenheit(difference_k))


@register.filter
def quantity_words(quantity: str) -> str:
    """Return what people call a quantity."""
    return quantity_of(quantity).words


@register.filter
def limit_value(row: Limit, level: str) -> str:
    """Print amber or red of a limit in every unit that people use."""
    value = row.amber if level == "amber" else row.red
    direction = row.content.get("direction", "above")
    return (
        "" if value is None else value_in_words(value, row.quantity, row.unit, direction=direction)
    )


@register.filter
def seconds_in_words(seconds: float | None) -> str:
    """Print a span in its two largest units, such as 15 min."""
    return "" if seconds is None else span_in_words(seconds)


@register.filter
def in_digits(value: float, digits: int) -> str:
    """Print a number with so many digits after the point."""
    return f"{value:,.{digits}f}".replace("-", "−")
