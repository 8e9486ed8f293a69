"""What was done to the invented wall between the surveys, where and with what? Invented demo data."""

from datetime import date

from demo_fixtures.shapes import Point


def facings_on(day: date) -> list[list[Point]]:
    """Return the rings of tissue that lie on the wall on a day."""
    return []
