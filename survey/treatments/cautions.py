"""What should stand before a person's eyes while a treatment is planned or written down?

Common practice, no source. No Django, no I/O.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Caution:
    """A heading and what it warns of."""

    heading: str
    sentences: tuple[str, ...]


GOVERNING = "Safety data sheets, local law and the site plan govern."
NO_PLAN = "This list is not a safety plan."

CAUTIONS = (
    Caution(
        "Least first",
        (
            "Prevention and leaving as it is come before treatment.",
            "Test small, in the least visible place, with the end-point agreed before.",
            "In porous plaster, what can be treated again beats what promises to be reversible.",
        ),
    ),
    Caution(
        "Swabs on secco",
        (
            "Powdering secco comes off on a dry swab. Try one fibre's touch before any rolling.",
            "Water darkens, swells and leaves tide-lines on lean, matt paint.",
            "Look again after drying, in normal light and under ultraviolet.",
        ),
    ),
    Caution(
        "Solvents",
        (
            "Small quantities, closed vessels, no ignition, ventilation that moves.",
            "A sealed scaffold enclosure can become a confined space: never alone, with a watcher.",
            "Cartridges must match the vapour; a dust mask stops none.",
        ),
    ),
    Caution(
        "Dust",
        (
            "Dust may hold lead, arsenic, chromium or asbestos: test first, no dry sweeping.",
            "Fitted respirator, even a disposable one; wash before eating.",
            "Bag swabs and dust as what they hold.",
        ),
    ),
    Caution(
        "Facing and fills",
        (
            "A facing is a risk too: test its removal first, and set the day it comes off.",
            "Fills at or below the level of the paint; no gloss, no film, no darkening.",
        ),
    ),
)
