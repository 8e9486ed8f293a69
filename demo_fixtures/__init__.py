"""Invented demo data: the wall *The Harvest Train*, its picture, its damage and its four surveys.

Nothing here is taken from a real building, painting or person. Only the `demo` command and the
tests import this package.
"""

INVENTED = "invented demo data"
