"""Is the right part of a photograph cut out, and is an unreadable one refused by name?"""

from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from gridmap.errors import InvalidInput
from survey.report.content import BasePicture
from survey.report.layout.pictures import PRINT_PX_PER_IN, Darkroom

WIDE_PX, HIGH_PX = 300, 120


def picture(bounds_in: tuple[float, float, float, float] = (0, 0, 100, 40)) -> BasePicture:
    """A picture whose red rises to the right and whose green rises upwards."""
    x, y = np.meshgrid(np.arange(WIDE_PX), np.arange(HIGH_PX))
    pixels = np.stack([x * 255 / WIDE_PX, (HIGH_PX - 1 - y) * 255 / HIGH_PX, 0 * x], axis=2)
    kept = BytesIO()
    Image.fromarray(pixels.astype(np.uint8)).save(kept, "PNG")
    return BasePicture("gradient", bounds_in, "normal light", kept.getvalue())


@given(st.floats(0, 90), st.floats(0, 30), st.floats(1, 10), st.floats(1, 10))
def test_a_crop_covers_what_was_asked_by_less_than_a_pixel(
    x: float, y: float, width: float, height: float
) -> None:
    crop = Darkroom().crop(picture(), (x, y, x + width, y + height), width_pt=200)

    assert crop is not None
    x0, y0, x1, y1 = crop.bounds_in
    pixel_in = 100 / WIDE_PX
    assert x - pixel_in <= x0 <= x + 1e-9 and x + width - 1e-9 <= x1 <= x + width + pixel_in
    assert y - pixel_in <= y0 <= y + 1e-9 and y + height - 1e-9 <= y1 <= y + height + pixel_in


def test_up_is_up_and_right_is_right() -> None:
    crop = Darkroom().crop(picture(), (80, 30, 90, 36), width_pt=200)

    assert crop is not None
    red, green, _ = np.asarray(Image.open(BytesIO(crop.jpeg))).reshape(-1, 3).mean(axis=0)
    assert red == pytest.approx(0.85 * 255, abs=4)
    assert green == pytest.approx(0.825 * 255, abs=4)


def test_a_place_beside_the_picture_has_no_crop() -> None:
    assert Darkroom().crop(picture(), (200, 0, 210, 10), width_pt=200) is None


def mosaic(px_per_in: float = 3.0) -> tuple[BasePicture, list[tuple[object, int]]]:
    """A picture that is had in any size: red tells the place across, green the place up."""
    asked: list[tuple[object, int]] = []

    def region(bounds_in: tuple[float, float, float, float], width_px: int) -> np.ndarray:
        asked.append((bounds_in, width_px))
        x0, y0, x1, y1 = bounds_in
        height_px = max(1, round(width_px * (y1 - y0) / (x1 - x0)))
        x = x0 + (np.arange(width_px) + 0.5) * (x1 - x0) / width_px
        y = y1 - (np.arange(height_px) + 0.5) * (y1 - y0) / height_px
        pixels = np.zeros((height_px, width_px, 3))
        pixels[..., 0], pixels[..., 1] = x[None, :] * 2.55, y[:, None] * 255 / 40
        return pixels.astype(np.uint8)

    picture = BasePicture(
        "mosaic of B1, version 1",
        (0, 0, 100, 40),
        "normal light",
        region,
        error_in=0.1,
        px_per_in=px_per_in,
    )
    return picture, asked


def test_a_crop_of_a_mosaic_shows_the_place_that_was_asked() -> None:
    crop = Darkroom().crop(mosaic()[0], (80, 30, 90, 36), width_pt=200)

    assert crop is not None
    assert crop.bounds_in == pytest.approx((80, 30, 90, 36))
    red, green, _ = np.asarray(Image.open(BytesIO(crop.jpeg))).reshape(-1, 3).mean(axis=0)
    assert red == pytest.approx(0.85 * 255, abs=4)
    assert green == pytest.approx(0.825 * 255, abs=4)


@given(st.floats(0, 90), st.floats(0, 30), st.floats(1, 10), st.floats(1, 10))
def test_a_mosaic_is_asked_for_its_own_whole_pixels_and_no_more(
    x: float, y: float, width: float, height: float
) -> None:
    picture, asked = mosaic()

    crop = Darkroom().crop(picture, (x, y, x + width, y + height), width_pt=200)

    assert crop is not None
    (x0, y0, x1, y1), width_px = asked[0]  # type: ignore[misc]
    assert width_px == pytest.approx((x1 - x0) * 3)
    for place in (x0 * 3, x1 * 3, y0 * 3, y1 * 3):
        assert place == pytest.approx(round(place), abs=1e-6)
    assert x0 <= x + 1e-9 and x1 >= min(100, x + width) - 1e-9
    assert y0 <= y + 1e-9 and y1 >= min(40, y + height) - 1e-9


def test_a_fine_mosaic_is_asked_for_no_more_than_paper_shows() -> None:
    picture, asked = mosaic(px_per_in=300.0)

    Darkroom().crop(picture, (0, 0, 100, 40), width_pt=36)

    assert asked[0][1] == PRINT_PX_PER_IN / 2


def test_a_place_beside_a_mosaic_has_no_crop() -> None:
    assert Darkroom().crop(mosaic()[0], (200, 0, 210, 10), width_pt=200) is None


def test_no_more_pixels_are_embedded_than_paper_shows() -> None:
    crop = Darkroom().crop(picture(), (0, 0, 100, 40), width_pt=36)

    assert crop is not None
    assert Image.open(BytesIO(crop.jpeg)).width == PRINT_PX_PER_IN / 2


def test_a_picture_may_lie_in_a_file(tmp_path: Path) -> None:
    path = tmp_path / "mosaic.png"
    source = picture().source
    assert isinstance(source, bytes)
    path.write_bytes(source)

    crop = Darkroom().crop(BasePicture("m", (0, 0, 100, 40), "", path), (0, 0, 5, 5), width_pt=9)

    assert crop is not None


@pytest.mark.parametrize("source", [b"no picture", b"", Path("/nowhere/mosaic.jpg")])
def test_an_unreadable_photograph_is_refused_by_name(source: bytes | Path) -> None:
    broken = BasePicture("P1-mosaic", (0, 0, 100, 40), "", source)

    with pytest.raises(InvalidInput, match="“P1-mosaic” cannot be read"):
        Darkroom().crop(broken, (0, 0, 5, 5), width_pt=9)
