"""By which fixed words is a term described, and when are two words the same?

No Django, no I/O.
"""

import re

LAYER_NAMES = {
    "support": "Support",
    "plaster": "Plaster",
    "paint": "Paint",
    "surface": "Surface",
    "any": "Any layer",
}
KINDS = {
    "D": "deterioration",
    "A": "artist's making",
    "I": "earlier intervention",
    "T": "treatment",
}
GEOMETRY_NAMES = {"area": "outline", "line": "line", "point": "point"}
MODE_NAMES = {
    "normal": "normal light",
    "raking": "raking light",
    "uv": "ultraviolet",
    "infrared": "infrared",
    "percussion": "light tapping",
    "loupe": "hand lens at 10×",
    "microscope": "digital microscope",
    "reading": "instrument reading",
}
RULES = {
    "N": "never smaller",
    "G": "its gap may open or close, its length is never shorter",
    "V": "may come and go",
    "F": "fixed evidence: any change is damage or a matter of what can be seen",
    "R": "changes only by a logged act",
    "A": "accumulates freely, diminishes only by a logged act",
}
CAUSES_NOTE = "usual causes, common practice, no source"
MEASURE_TYPES = ("number", "text", "choice")


def code_of(name: str) -> str:
    """Return a term's code: its trade name before any bracket, lower case, with hyphens.

    >>> code_of("Paint loss (lacuna)")
    'paint-loss'
    """
    before_bracket = name.split("(")[0].lower().replace("'", "").replace("’", "")
    return re.sub(r"[^a-z0-9]+", "-", before_bracket).strip("-")


def plain_words(text: str) -> str:
    """Return a name or synonym as it is compared: lower case, no bracket, no punctuation.

    >>> plain_words("  Plaster-loss (lacuna)")
    'plaster loss'
    """
    return code_of(text).replace("-", " ")
