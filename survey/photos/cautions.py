"""What should stand before a person's eyes while photographs are taken in a light that can hurt?

Common practice, no source, where none is named. No Django, no I/O.
"""

from collections.abc import Collection
from dataclasses import dataclass


@dataclass(frozen=True)
class Caution:
    """A heading, the modes of light that it belongs to (none: every one), what it warns of."""

    heading: str
    modes: tuple[str, ...]
    sentences: tuple[str, ...]


GOVERNING = "Local law, the lamp's own data sheet and the site plan govern."
NO_PLAN = "This list is not a safety plan."

CAUTIONS = (
    Caution(
        "Ultraviolet: eyes and skin",
        ("uv",),
        (
            "Goggles that stop UV-A on everybody on the deck before the lamp is switched on.",
            "Skin covered: gloves, sleeves, neck. Nobody looks into the lamp.",
            "Warn others on this deck and on those above and below, and hang out the sign.",
            "Never alone on the deck with the lamp; agree when you call in.",
            # source: practice.md §7: limits as a lamp manual gives them from ICNIRP
            "Unprotected eyes: at most 10,000 J/m² of UV-A in 8 hours; weighted UV 30 J/m².",
            "Light fades paint, ultraviolet most of all: lamp on for the exposure, off between.",
        ),
    ),
    Caution(
        "Lamps near the paint",
        ("normal", "raking", "infrared", "microscope", "loupe"),
        (
            "A hot lamp near paint dries and lifts it. Cool LED, guarded, off when unattended.",
            "Feel with the back of the hand beside the paint, never on it: warm is too near.",
            "Low-voltage or earth-fault protected; cables where nobody steps.",
        ),
    ),
    Caution(
        "Raking light",
        ("raking",),
        ("Stands and arms that lean to the wall are tied back; nothing may fall onto the paint.",),
    ),
    Caution(
        "Infrared",
        ("infrared",),
        (
            "Infrared cannot be seen and warms what it meets. No tungsten lamp within arm's reach "
            "of the paint; do not look into an infrared lamp.",
        ),
    ),
    Caution(
        "Close work",
        ("microscope", "loupe"),
        ("Keep a spacer between lens and paint; nothing touches the surface.",),
    ),
    Caution(
        "On the deck, in every light",
        (),
        (
            "Scale bar, colour target and slate stand in the frame and never touch the paint.",
            "No reaching past the guard-rail for a better frame; strap the camera.",
        ),
    ),
)


def cautions_for(modes: Collection[str]) -> tuple[Caution, ...]:
    """Return what to heed in these modes of light, the gravest first."""
    return tuple(one for one in CAUTIONS if not one.modes or set(one.modes) & set(modes))
