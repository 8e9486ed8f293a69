"""How long is what a person wrote, and how is a length or an area written for people?

Lengths are inches inside the program; feet, inches, fractions and metres appear only in text.
This module must not round a length that was read: snapping to the lattice is the caller's step.
"""

import math
import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from gridmap.errors import InvalidInput

MM_PER_IN = 25.4  # [mm/in] exact; source: 24 FR 5348 (1959), 1 yd = 0.9144 m
IN_PER_FT = 12
SQ_IN_PER_SQ_FT = 144
LATTICE_PER_IN = 256  # lattice steps in one inch, about 0.1 mm each

MAXIMUM_LENGTH_IN = 120_000.0  # 10,000 ft: longer than any wall, short enough to stay exact
MAXIMUM_TEXT_LENGTH = 40  # characters

ACCEPTED_FORMS = (
    "Write feet and inches such as 12' 6 1/2\", 12-6 1/2 or 12 ft 6.5 in, "
    'inches such as 6 1/2" or 150.5, or feet such as 84 ft.'
)

NO_BREAK_SPACE = "\u00a0"
NARROW_SPACE = "\u202f"  # narrow, does not break: between whole inches and their fraction

_SIGNS = {
    **dict.fromkeys("\u2032\u2018\u2019\u02b9\u00b4\u0060\uff07", "'"),
    **dict.fromkeys("\u2033\u201c\u201d\u02ba\uff02", '"'),
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"),
    "\u2044": "/",
    "\u2215": "/",
}
_VULGAR = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅕": "1/5",
    "⅖": "2/5",
    "⅗": "3/5",
    "⅘": "4/5",
    "⅙": "1/6",
    "⅚": "5/6",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_SUPERSCRIPT, _SUBSCRIPT = "⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"
_SIGN_TABLE = str.maketrans(
    {
        **_SIGNS,
        **{sign: f" {text} " for sign, text in _VULGAR.items()},
        **{sign: str(digit) for digit, sign in enumerate(_SUBSCRIPT)},
    }
)
_SUPERSCRIPT_TABLE = str.maketrans(_SUPERSCRIPT, "0123456789")
_SUPERSCRIPT_RUN = re.compile(f"[{_SUPERSCRIPT}]+")

_DECIMAL = r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+"
_NUMBER = rf"(?:[0-9]+ +)?[0-9]+ ?/ ?[0-9]+|{_DECIMAL}"
_FEET = r"(?:'|ft\.?|feet|foot)"
_INCHES = r"(?:\"|in\.?|inches|inch)"
_FEET_AND_INCHES = re.compile(
    rf"([0-9]+) ?{_FEET} ?-? ?({_NUMBER}) ?{_INCHES}?|"
    rf"([0-9]+)-([0-9]+(?: +[0-9]+ ?/ ?[0-9]+|\.[0-9]+)?) ?{_INCHES}?"
)
_FEET_ONLY = re.compile(rf"({_NUMBER}) ?{_FEET}")
_INCHES_ONLY = re.compile(rf"({_NUMBER}) ?{_INCHES}?")
_METRIC = re.compile(r"[0-9] ?(?:mm|cm|m|met(?:er|re)s?|millimet(?:er|re)s?|centimet(?:er|re)s?)$")
_BROKEN_FEET = re.compile(rf"(?:{_NUMBER}) ?{_FEET} ?-? ?(?:{_NUMBER}) ?{_INCHES}?")
_DASHED_FRACTION = re.compile(rf"[0-9]+-[0-9]+ ?/ ?[0-9]+ ?{_INCHES}?")
_TWO_NUMBERS = re.compile(rf"(?:{_DECIMAL}) +(?:{_DECIMAL}) ?{_INCHES}?")


def parse_length_in(
    value: str | int | float, *, field: str = "length", minimum_in: float | None = None
) -> float:
    """Return the length [in] that a person wrote or a file holds; a bare number is inches.

    The value is exact (not snapped). With `minimum_in` 0.0 a negative length is refused.
    Raises InvalidInput naming the field, the value and the accepted forms or the limit.

    >>> parse_length_in("12' 6 1/2\\"")
    150.5
    """
    if isinstance(value, str):
        length_in = _length_of_text_in(value, field)
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        length_in = _length_of_number_in(value, field)
    else:
        raise InvalidInput(
            f"{field}: {quoted(value)} is not a length. {ACCEPTED_FORMS}", field=field
        )
    if abs(length_in) > MAXIMUM_LENGTH_IN:
        raise InvalidInput(
            f"{field}: {quoted(value)} is longer than the limit of "
            f"{MAXIMUM_LENGTH_IN / IN_PER_FT:,.0f} ft ({MAXIMUM_LENGTH_IN:,.0f} in).",
            field=field,
        )
    if minimum_in is not None and length_in < minimum_in:
        limit = format_feet_inches_plain(minimum_in, denominator=LATTICE_PER_IN)
        raise InvalidInput(
            f"{field}: {quoted(value)} is below the limit of {limit}. Give at least that.",
            field=field,
        )
    return length_in + 0.0  # no minus zero


def snap_in(value_in: float) -> float:
    """Return the nearest point of the 1/256 in lattice; a half step goes up (to the right)."""
    return math.floor(value_in * LATTICE_PER_IN + 0.5) / LATTICE_PER_IN


def length_from_mm_in(length_mm: float) -> float:
    """Return a length in millimetres as inches (1 in = 25.4 mm exactly)."""
    return length_mm / MM_PER_IN


def format_feet_inches(length_in: float, *, denominator: int = 16) -> str:
    """Return a length [in] as feet, inches and a fraction, set properly: 12′ 6 ½″.

    Rounded to the nearest 1/denominator in (half away from zero), with carry: never 5′ 12″.
    The denominator is a power of two up to 256. Its spaces do not break.
    """
    negative, feet, inches, numerator, below = _parts(length_in, denominator)
    fraction = _typeset_fraction(numerator, below) if numerator else ""
    whole = str(inches) if inches or feet or not numerator else ""
    text = f"{whole}{NARROW_SPACE if whole and fraction else ''}{fraction}″"
    if feet:
        text = f"{feet}′{NO_BREAK_SPACE}{text}"
    return f"−{text}" if negative else text


def format_feet_inches_plain(length_in: float, *, denominator: int = 16) -> str:
    """Return a length [in] in plain ASCII that `parse_length_in` reads back: 12' 6 1/2"."""
    negative, feet, inches, numerator, below = _parts(length_in, denominator)
    fraction = f"{numerator}/{below}" if numerator else ""
    whole = str(inches) if inches or feet or not numerator else ""
    text = " ".join(part for part in (whole, fraction) if part) + '"'
    if feet:
        text = f"{feet}' {text}"
    return f"-{text}" if negative else text


def format_metric(length_in: float) -> str:
    """Return a length [in] in metres to the millimetre, or below 1 m in millimetres to 0.1."""
    size_mm = abs(_finite(length_in)) * MM_PER_IN
    # From 999.95 mm on, millimetres to 0.1 would print as 1000.0.
    number, unit = (
        (_fixed(size_mm, 1), "mm") if size_mm < 999.95 else (_fixed(size_mm / 1e3, 3), "m")
    )
    return f"{'−' if length_in < 0 and number else ''}{number}{NO_BREAK_SPACE}{unit}"


def format_feet_inches_with_metric(length_in: float, *, denominator: int = 16) -> str:
    """Return a length [in] in feet and inches with its metric value beside it in brackets."""
    feet_inches = format_feet_inches(length_in, denominator=denominator)
    return f"{feet_inches}{NO_BREAK_SPACE}({format_metric(length_in)})"


def format_area(area_sq_in: float) -> str:
    """Return an area [sq in] in square inches, or from 1 sq ft on in square feet: 8.52 sq ft."""
    return _with_minus(format_area_plain(area_sq_in).replace(" ", NO_BREAK_SPACE))


def format_area_plain(area_sq_in: float) -> str:
    """Return an area [sq in] as `format_area` does, with ordinary spaces and hyphen-minus."""
    size = abs(_finite(area_sq_in))
    if size >= SQ_IN_PER_SQ_FT - 0.05:  # would print as 144.0 sq in
        size, unit = size / SQ_IN_PER_SQ_FT, "sq ft"
        decimals = 2 if size < 100 else 1 if size < 1000 else 0
    else:
        unit = "sq in"
        decimals = 2 if size < 1 else 1
    if 0 < size < 0.005:
        return "under 0.01 sq in"
    text = f"{_fixed(size, decimals):,}"
    whole, _, digits = text.partition(".")
    text = text if digits.strip("0") else whole
    return f"{'-' if area_sq_in < 0 else ''}{text} {unit}"


def quoted(value: object) -> str:
    """Return a value that a person gave, shortened, in quotation marks for a message."""
    text = value if isinstance(value, str) else repr(value)
    return f"“{text[:MAXIMUM_TEXT_LENGTH]}{'…' if len(text) > MAXIMUM_TEXT_LENGTH else ''}”"


def _length_of_number_in(value: int | float, field: str) -> float:
    try:
        length_in = float(value)
    except OverflowError:
        length_in = math.inf
    if not math.isfinite(length_in):
        raise InvalidInput(
            f"{field}: {quoted(value)} is not a finite number of inches. {ACCEPTED_FORMS}",
            field=field,
        )
    return length_in


def _length_of_text_in(value: str, field: str) -> float:
    if len(value) > MAXIMUM_TEXT_LENGTH:
        raise InvalidInput(
            f"{field}: the text {quoted(value)} has {len(value):,} characters; "
            f"the limit is {MAXIMUM_TEXT_LENGTH}. {ACCEPTED_FORMS}",
            field=field,
        )
    text = _normalised(value)
    negative = text.startswith("-")
    body = text[1:].lstrip() if negative else text
    try:
        length = _magnitude(body, negative)
    except _Unclear as unclear:
        raise InvalidInput(
            f"{field}: {quoted(value)} {unclear}. {ACCEPTED_FORMS}", field=field
        ) from None
    return -float(length) if negative else float(length)


class _Unclear(Exception):
    """Says in the rest of a sentence why a text is not a clear length."""


def _normalised(value: str) -> str:
    spaced = _SUPERSCRIPT_RUN.sub(
        lambda run: " " + run.group().translate(_SUPERSCRIPT_TABLE), value
    )
    text = " ".join(spaced.translate(_SIGN_TABLE).split()).lower()
    return text.replace("''", '"').replace(" '", "'").replace(' "', '"')


def _magnitude(text: str, negative: bool) -> Fraction:
    """Return the length [in] of a normalised text without its sign."""
    if both := _FEET_AND_INCHES.fullmatch(text):
        feet, inches = both.group(1) or both.group(3), both.group(2) or both.group(4)
        if both.group(3) and negative:
            raise _Unclear("is not clear: a minus sign and a dash between feet and inches")
        length_in = _number(inches)
        if length_in >= IN_PER_FT:
            raise _Unclear("has 12 or more inches beside its feet")
        return int(feet) * IN_PER_FT + length_in
    if feet_only := _FEET_ONLY.fullmatch(text):
        return _number(feet_only.group(1)) * IN_PER_FT
    if inches_only := _INCHES_ONLY.fullmatch(text):
        return _number(inches_only.group(1))
    raise _Unclear(_why_unclear(text))


def _why_unclear(text: str) -> str:
    if not text:
        return "is empty"
    if text in ("nan", "inf", "infinity"):
        return "is not a finite number of inches"
    if "," in text:
        return "has a comma: write a decimal with a point, and thousands without a sign"
    if _METRIC.search(text):
        return "is metric: this program takes feet and inches (1 in = 25.4 mm)"
    if _BROKEN_FEET.fullmatch(text):
        return "has a part of a foot beside its inches"
    if _DASHED_FRACTION.fullmatch(text):
        return "could be feet and inches or inches and a fraction"
    if _TWO_NUMBERS.fullmatch(text):
        return "could be feet and inches or something else: two numbers without a sign"
    return "is not a length"


def _number(text: str) -> Fraction:
    """Return a decimal, a fraction, or a whole number and a proper fraction."""
    if "/" not in text:
        return Fraction(text)
    fraction_text = re.sub(r" ?/ ?", "/", text)
    whole, _, fraction = fraction_text.rpartition(" ")
    above, below = (int(part) for part in fraction.split("/"))
    if below == 0:
        raise _Unclear("has a fraction over 0")
    if whole and above >= below:
        raise _Unclear("has a fraction that is not smaller than 1 beside its whole number")
    return (int(whole) if whole else 0) + Fraction(above, below)


def _parts(length_in: float, denominator: int) -> tuple[bool, int, int, int, int]:
    """Return sign, feet, inches, and the reduced fraction of the rounded length."""
    if denominator not in (1, 2, 4, 8, 16, 32, 64, 128, 256):
        raise ValueError(f"denominator must be a power of two from 1 to 256, not {denominator}")
    steps = math.floor(abs(_finite(length_in)) * denominator + 0.5)
    feet, rest = divmod(steps, IN_PER_FT * denominator)
    inches, numerator = divmod(rest, denominator)
    shared = math.gcd(numerator, denominator)
    return length_in < 0 and steps > 0, feet, inches, numerator // shared, denominator // shared


def _typeset_fraction(numerator: int, denominator: int) -> str:
    for sign, text in _VULGAR.items():
        if text == f"{numerator}/{denominator}":
            return sign
    above = "".join(_SUPERSCRIPT[int(digit)] for digit in str(numerator))
    below = "".join(_SUBSCRIPT[int(digit)] for digit in str(denominator))
    return f"{above}\u2044{below}"


def _finite(number: float) -> float:
    if not math.isfinite(number):
        raise InvalidInput(f"{number} cannot be written as a length or an area.")
    return number


def _fixed(number: float, decimals: int) -> Decimal:
    """Return a number to so many decimals, half away from zero, as the browser's toFixed does."""
    return Decimal(number).quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)


def _with_minus(text: str) -> str:
    return f"−{text[1:]}" if text.startswith("-") else text
