"""How does the invented painting look, sound and clean, on any window of the wall at any scale?"""

import numpy as np

from demo_fixtures.canvas import Canvas, Window
from demo_fixtures.mural.border import paint_border, paint_openings
from demo_fixtures.mural.figures import paint_figures
from demo_fixtures.mural.hills import paint_hills
from demo_fixtures.mural.land import paint_land
from demo_fixtures.mural.sky import paint_clouds, paint_sky, paint_smoke, paint_sun
from demo_fixtures.mural.town import paint_town
from demo_fixtures.mural.train import paint_train
from demo_fixtures.plaster import brushed, relief_mil
from demo_fixtures.wall import HEIGHT_IN, WIDTH_IN

WHOLE_WALL: Window = (0.0, 0.0, WIDTH_IN, HEIGHT_IN)
MOSAIC_PX_PER_IN = 10.0  # 10080 x 1680 px for the whole wall
BAND_PX = 168

PARTS = (
    paint_sky,
    paint_clouds,
    paint_hills,
    paint_smoke,
    paint_sun,
    paint_land,
    paint_train,
    paint_town,
    paint_figures,
    paint_border,
    paint_openings,
)


def draw(window: Window = WHOLE_WALL, px_per_in: float = MOSAIC_PX_PER_IN) -> Canvas:
    """Return a canvas with every part of the picture on it, in flat colour."""
    canvas = Canvas(window, px_per_in)
    for part in PARTS:
        part(canvas)
    return canvas


def paint(
    window: Window = WHOLE_WALL, px_per_in: float = MOSAIC_PX_PER_IN
) -> tuple[np.ndarray, np.ndarray]:
    """Return the picture on its plaster: colour 0..255 (rows, columns, 3), heights in mils.

    Both are float32; a mil is a thousandth of an inch. Row 0 is the window's upper edge.
    """
    canvas = draw(window, px_per_in)
    colour, stroke_rad = canvas.finished()
    heights = np.empty(stroke_rad.shape, np.float32)
    for first in range(0, len(heights), BAND_PX):
        # Band by band: the noise of the whole wall at once would need a gigabyte.
        rows = slice(first, min(first + BAND_PX, len(heights)))
        top, low = window[3] - rows.start / px_per_in, window[3] - rows.stop / px_per_in
        band = (window[0], low, window[2], top)
        heights[rows] = relief_mil(band, px_per_in)
        colour[rows] = brushed(
            colour[rows],
            stroke_rad[rows],
            heights_mil=heights[rows],
            window=band,
            px_per_in=px_per_in,
        )
    return colour, heights
