"""What does an old postcard of the invented wall show? Invented demo data.

Black and white, printed small, a corner worn off: good enough to tell that a thing was there, too
coarse to measure it.
"""

import io
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from demo_fixtures.cell_frames import Point, cell_frame, demo_painting

PRINTED_ON = date(1951, 5, 1)
NAME = "postcard-1951.jpg"
WINDOW_IN = (264.0, 24.0, 480.0, 144.0)  # 22 to 40 ft: the train
SIZE_PX, PRINTED_PX = (1500, 940), (1000, 627)
MARKED_EVERY_IN, MARKED_WITHIN_PX = 48.0, 2.5  # painted features, found again on the wall
PAPER, INK = (238, 226, 203), (52, 44, 40)
GRAIN = 7.0


@dataclass(frozen=True)
class Postcard:
    """The scanned card, and places on the picture that can be found again on the wall."""

    jpeg: bytes = field(repr=False)
    marks: tuple[tuple[str, Point, Point], ...]


def postcard() -> Postcard:
    """Print the card and scan it."""
    frame = cell_frame(
        window_in=WINDOW_IN, size_px=SIZE_PX, seed=1951, painting=demo_painting(PRINTED_ON),
        tilt=0.05, cross_light=0.0, cross_every_in=MARKED_EVERY_IN,
    )  # fmt: skip
    printed = Image.fromarray(frame.pixels).convert("L").resize(PRINTED_PX, Image.Resampling.BOX)
    printed = printed.filter(ImageFilter.GaussianBlur(0.8))
    tone = np.asarray(printed, float) + np.random.default_rng(1951).normal(
        0, GRAIN, PRINTED_PX[::-1]
    )
    share = np.clip(tone / 255, 0, 1)[..., None]
    card = Image.fromarray((np.array(INK) + share * np.subtract(PAPER, INK)).astype(np.uint8))
    ImageDraw.Draw(card).polygon([(0, 0), (46, 0), (0, 31)], fill=PAPER)
    out = io.BytesIO()
    card.save(out, "JPEG", quality=90)
    scale = PRINTED_PX[0] / SIZE_PX[0]
    marks = tuple(
        (f"feature at {name}", (x * scale, y * scale), place)
        for name, (x, y), place in frame.marked_within(MARKED_WITHIN_PX, seed=1951)
    )
    return Postcard(out.getvalue(), marks)
