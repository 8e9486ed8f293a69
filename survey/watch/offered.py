"""Which limits may be offered to people who agree on limits, from where, and how far checked?

Offered, never preset: a person takes one over into a row of its own, with who agreed it. The label
says how far each number was checked here. "from memory" must be looked up in the document first.
No Django, no I/O.
"""

from dataclasses import dataclass
from typing import Final

from gridmap.errors import InvalidInput
from survey.watch import vibration_limits
from survey.watch.vibration_limits import LimitCurve

PRACTICE: Final = "Common practice of conservators, no source"
LABEL_KEYS: Final = {"confirmed": "confirmed", "from memory": "from-memory"}
VIBRATION, CLIMATE, SURFACE, LIGHT, OTHER = (
    "Vibration", "Climate", "Surface", "Light and ultraviolet", "Dust, water and doors",
)  # fmt: skip


@dataclass(frozen=True)
class Offer:
    """One offered limit. `table`: amber and red are shares of its value at the frequency read."""

    key: str
    group: str
    name: str
    quantity: str
    unit: str
    direction: str
    amber: float | None
    red: float | None
    source: str
    label: str
    table: str = ""
    axis: str = ""
    note: str = ""


def _of_curve(curve: LimitCurve) -> Offer:
    """A published curve is one value, so it is offered as red; amber is for people to agree."""
    ends = {(band.low_mm_s, band.high_mm_s) for band in curve.bands}
    flat = len({value for pair in ends for value in pair}) == 1
    note = curve.note
    if not flat:
        note = f"{note} Amber and red are shares of the curve: red 1 is the curve.".strip()
    return Offer(
        key=curve.key,
        group=VIBRATION,
        name=curve.name,
        quantity="particle-velocity",
        unit="mm/s",
        direction="above",
        amber=None,
        red=round(curve.strictest_mm_s, 4) if flat else 1.0,
        source=curve.source,
        label=LABEL_KEYS[curve.label],
        table="" if flat else curve.key,
        axis="sum" if curve.compared == "vector sum" else "",
        note=note,
    )


def _practice(
    key: str,
    group: str,
    name: str,
    quantity: str,
    unit: str,
    direction: str,
    amber: float | None,
    red: float | None,
    note: str = "",
) -> Offer:
    return Offer(
        key, group, name, quantity, unit, direction, amber, red, PRACTICE, "from-memory", note=note
    )


_CIE = "CIE 157:2004, illuminance for the class of responsivity"
_PRACTICE: Final = (
    _practice(
        "ppv-painting", VIBRATION, "Peak particle velocity at a wall painting",
        "particle-velocity", "in/s", "above", 0.05, 0.08,
        "There is no commonly accepted vibration standard for historic buildings or art.",
    ),
    _practice(
        "humidity-change", CLIMATE, "Change of humidity within 24 hours", "relative-humidity", "%",
        "change-24h", 10.0, 15.0,
    ),
    _practice(
        "humidity-sodium-chloride", CLIMATE, "Humidity, common salt in a mixture and alone",
        "relative-humidity", "%", "above", 65.5, 75.5,
        "Only where sodium chloride was identified. 65.5 % in one common mixture, 75.5 % alone.",
    ),
    _practice(
        "condensation", SURFACE, "Margin to condensation", "condensation-margin", "°F", "below",
        5.4, 3.6, "Sensor error is about 1.8 °F: a smaller margin means nothing.",
    ),
    _practice(
        "lamp-heat", SURFACE, "Rise of the surface by lamps", "temperature-rise", "°F", "above",
        4.0, 9.0,
    ),
    _practice(
        "crack", SURFACE, "Width of a crack", "crack-width", "mm", "above", None, None,
        "Blank on purpose: below a reading's own threshold amber is noise, red is the engineer's.",
    ),
    _practice("water", OTHER, "Water at a leak tape", "water", "0/1", "above", None, 1.0),
    _practice(
        "door", OTHER, "Door of the enclosure open", "door", "0/1", "above", 1.0, None,
        "Common practice counts a door as open after 5 minutes.",
    ),
)  # fmt: skip
_LIGHT: Final = (
    Offer(
        "lux-medium", LIGHT, "Illuminance, medium responsivity", "illuminance", "lx", "above",
        None, 50.0, _CIE, "from-memory", note="Secco may be medium where fresco is low.",
    ),
    Offer(
        "lux-low", LIGHT, "Illuminance, low responsivity", "illuminance", "lx", "above",
        None, 200.0, _CIE, "from-memory", note="True fresco, as far as remembered.",
    ),
    Offer(
        "uv-share", LIGHT, "Ultraviolet in the light", "uv", "µW/lm", "above", 10.0, 75.0,
        "State museum association's sheet on light: 75 µW/lm at most, 0 to 10 ideal", "confirmed",
    ),
)  # fmt: skip
OFFERED: Final[tuple[Offer, ...]] = (
    *_PRACTICE,
    *(_of_curve(curve) for curve in vibration_limits.OFFERED),
    *_LIGHT,
)


def offer(key: str) -> Offer:
    """Return an offered limit by its key."""
    for one in OFFERED:
        if one.key == key:
            return one
    raise InvalidInput(f"{key!r} is no offered limit.", field="offer")
