"""Which details before and after do the tests of reports print? Two of the invented wall."""

from datetime import date
from functools import cache
from io import BytesIO

import numpy as np
from PIL import Image, ImageDraw

from demo_fixtures.cell_frames import Loss, demo_painting, loss_ring
from demo_fixtures.photographs import light
from survey.report import content as c

C17 = (384.0, 96.0, 408.0, 120.0)
PX_PER_IN = 40.0
NEW_LOSS = Loss((397.5, 104.2), 0.75)
DIGESTS = {"B1": "ab" * 32, "P1": "cd" * 32}


@cache
def picture(survey: str, mode: str = "normal") -> bytes:
    """Cell C17 as the survey found it, square to the wall; a loss more in the later one."""
    day = date(2026, 3, 4) if survey == "B1" else date(2026, 6, 16)
    surface = demo_painting(day)(C17, PX_PER_IN)
    pixels = np.clip(light(surface, mode, salt=len(survey)), 0, 255).astype(np.uint8)
    image = Image.fromarray(pixels)
    if survey == "P1":
        ring = [
            ((x - C17[0]) * PX_PER_IN, (C17[3] - y) * PX_PER_IN) for x, y in loss_ring(NEW_LOSS)
        ]
        ImageDraw.Draw(image).polygon(ring, fill="#DDD3C0")
    kept = BytesIO()
    image.save(kept, "JPEG", quality=90)
    return kept.getvalue()


def side(survey: str, mode: str = "normal") -> c.PairSide:
    """One picture of the pair."""
    lamp = "lamp at the left, one lamp at 8°" if mode == "raking" else "two flash heads at 45°"
    return c.PairSide(
        survey=survey,
        name=f"{survey}-C17-{mode}.jpg",
        source=picture(survey, mode),
        taken_on=date(2026, 3, 4) if survey == "B1" else date(2026, 6, 16),
        digest=DIGESTS[survey],
        light=f"{mode.capitalize()} light, {lamp}",
        operator="Priya Lund",
    )


def pair(mode: str = "normal", bounds_in: tuple[float, float, float, float] = C17) -> c.DetailPair:
    """The pair of C17, or a detail of it."""
    return c.DetailPair(
        cell="C17",
        bounds_in=bounds_in,
        whole_in=C17,
        px_per_in=PX_PER_IN,
        before=side("B1", mode),
        after=side("P1", mode),
        laid_error_in=0.0012,
        place_error_in=0.031,
        items=(c.PlacedItem("L44", NEW_LOSS.centre_in, "paint loss, 0.41 ± 0.05 sq in"),),
    )


def pairs() -> tuple[c.DetailPair, ...]:
    """The cell in raking light, and the loss by itself in normal light."""
    return (pair("normal", (393.5, 100.2, 401.5, 108.2)), pair("raking"), pair())


REFUSED = (
    "The lamp stood at “left, 8°” in the earlier picture and at “right, 8°” in the later one: light "
    "and shade of the relief change places. They are shown, not compared."
)


def pairs_asked() -> tuple[c.PairRow, ...]:
    """Three pairs that were compared, of which one is printed for no hint, and one refused."""
    seen = "compared; laid on each other to ± 0.0012 in"
    return (
        c.PairRow("C17", "Normal light", "B1: B1-C17-normal.jpg, 2026-03-04",
                  "P1: P1-C17-normal.jpg, 2026-06-16", seen, "1 accepted, 2 dismissed"),
        c.PairRow("C38", "Normal light", "B1: B1-C38-normal.jpg, 2026-03-04",
                  "P1: P1-C38-normal.jpg, 2026-06-16", seen, "none"),
        c.PairRow("C17", "Raking light", "B1: B1-C17-raking-left.jpg, 2026-03-04",
                  "P1: P1-C17-raking-right.jpg, 2026-06-16", f"not comparable, not printed: {REFUSED}"),
    )  # fmt: skip
