"""Which pairs of pictures prove that photographs are laid on each other and searched?

Two frames of 1,800 px of one piece of the other wall, on which nothing was tuned: other corners,
grain, lens and fall of light, and losses planted in the later one. Each frame knows its truth.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from shapely.geometry import Polygon

from demo_fixtures.cell_frames import Frame, Light, cell_frame, scattered_losses
from gridmap.align import Registration, apply, register
from gridmap.change import Hint, find_changes
from tests.support.other_wall import other_painting

SIZE_PX = (1800, 1800)
PAINTED_PX_PER_IN = 72.0
SIZES_IN = (1.0, 1.0, 0.5, 0.5, 0.25, 0.25)
SEEDS = tuple(range(101, 115))  # 14 pairs; the choices in the program were made on another wall


def window_of(seed: int) -> tuple[float, float, float, float]:
    """Return a place of 2 ft by 2 ft on the other wall."""
    rng = np.random.default_rng([2718, seed])
    x, y = (24.0 * int(value) for value in rng.integers(0, 9, 2))
    return x, y, x + 24.0, y + 24.0


@lru_cache(maxsize=6)
def frame(seed: int, *, later: bool, light: Light, contrast: float = 0.0) -> Frame:
    """Return the earlier or the later frame of a pair; contrast 0 plants nothing."""
    x0, y0, x1, y1 = window = window_of(seed)
    # Painted once per pair, whole inches beyond what any camera sees of it.
    around = (x0 - 6.0, y0 - 6.0, x1 + 6.0, y1 + 6.0)
    losses = (
        scattered_losses(window, sizes_in=SIZES_IN, contrast=contrast, seed=seed)
        if contrast
        else ()
    )
    return cell_frame(
        window_in=window,
        size_px=SIZE_PX,
        seed=2 * seed + later,
        painting=lambda _window, _scale: other_painting(seed)(around, PAINTED_PX_PER_IN),
        light=light,
        losses=losses,
        noise=3.5 if later else 2.5,
        gain=0.93 if later else 1.0,
        k1=0.004 if later and seed % 2 else 0.0,
        cross_light=0.0,
    )


def light_of(seed: int) -> Light:
    """Return the light of a pair: every third one is raking."""
    return "normal" if seed % 3 else "raking-left"


@dataclass(frozen=True)
class Searched:
    """A pair that was laid and searched, with its truth."""

    before: Frame
    after: Frame
    registration: Registration
    hints: tuple[Hint, ...]

    @property
    def rms_px(self) -> float:
        """Return the root mean square over the picture of where a place lies and should lie."""
        steps = np.linspace(60, SIZE_PX[0] - 60, 25)
        places = np.array([(x, y) for x in steps for y in steps])
        truth = self.after.to_px(self.before.to_wall_in(places))
        seen = ((truth > 0) & (truth < SIZE_PX)).all(axis=1)
        off = self.registration.warp.through(places[seen]) - truth[seen]
        return float(np.sqrt((off**2).sum(axis=1).mean()))

    def found(self) -> list[tuple[float, bool]]:
        """Return each planted loss's size and whether a hint covers a third of it."""
        rings = [Polygon(hint.ring_px).buffer(0) for hint in self.hints]
        return [
            (size, any(ring.intersection(true).area > true.area / 3 for ring in rings))
            for size, true in self._true_rings()
        ]

    def right(self) -> list[bool]:
        """Return of each hint whether a third of it lies on a planted loss."""
        losses = [true for _, true in self._true_rings()]
        rings = [Polygon(hint.ring_px).buffer(0) for hint in self.hints]
        return [
            any(ring.intersection(true).area > ring.area / 3 for true in losses) for ring in rings
        ]

    def _true_rings(self) -> list[tuple[float, Polygon]]:
        return [
            (planted.loss.size_in, Polygon(self.before.to_px(planted.ring_in)).buffer(0))
            for planted in self.after.planted
        ]


def searched(seed: int, contrast: float) -> Searched:
    """Lay a pair's later frame on the earlier one and look for its losses."""
    light = light_of(seed)
    before = frame(seed, later=False, light=light)
    after = frame(seed, later=True, light=light, contrast=contrast)
    registration = register(before.pixels, after.pixels)
    seen, valid = apply(registration, after.pixels)
    hints = find_changes(
        before.pixels,
        seen,
        valid=valid,
        px_per_in=px_per_in(before),
        registration_error_px=registration.error_px,
    )
    return Searched(before, after, registration, tuple(hints))


def px_per_in(shot: Frame) -> float:
    """Return a frame's resolution at its middle."""
    middle = np.array([SIZE_PX]) / 2
    ends = shot.to_wall_in(np.vstack([middle, middle + np.array([1.0, 0.0])]))
    return 1 / float(np.hypot(*(ends[1] - ends[0])))
