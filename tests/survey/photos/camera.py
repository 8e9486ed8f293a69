"""Which files would a camera hand over? Small ones, made here: frames, slates, testimony, odd kinds."""

import io
from datetime import UTC, datetime, timedelta

import cv2
import numpy as np
import zxingcpp
from PIL import Image

MAKER, MODEL = "Rook", "Plate 6"  # of the invented story
EXIF_DIRECTORY, GPS_DIRECTORY = 0x8769, 0x8825


def frame_pixels(width_px=600, height_px=400, *, seed=1):
    """Return a wall with brush texture as pixels: something that no codec squeezes to nothing."""
    rng = np.random.default_rng(seed)
    coarse = rng.normal(150, 40, (height_px // 20 + 2, width_px // 20 + 2, 3)).astype(np.float32)
    wall = cv2.resize(coarse, (width_px, height_px), interpolation=cv2.INTER_CUBIC)
    wall += rng.normal(0, 6, wall.shape)
    return wall.clip(0, 255).astype(np.uint8)


def exif(*, taken=None, zone=None, orientation=1, model=MODEL, number="", gps=False, more=()):
    """Return what a camera writes into a file beside its picture."""
    said = Image.Exif()
    said[0x010F], said[0x0110], said[0x0112] = MAKER, model, orientation
    inner = said.get_ifd(EXIF_DIRECTORY)
    if taken:
        inner[0x9003] = taken.strftime("%Y:%m:%d %H:%M:%S")
    if zone:
        inner[0x9011] = zone
    if number:
        inner[0xA431] = number
    for tag, value in more:
        inner[tag] = value
    if gps:
        place = said.get_ifd(GPS_DIRECTORY)
        place[1], place[2] = "N", (54.0, 12.0, 36.0)
        place[3], place[4] = "W", (2.0, 30.0, 0.0)
    return said


def encoded(pixels, kind="JPEG", **options):
    """Return pixels as the bytes of a file."""
    out = io.BytesIO()
    picture = pixels if isinstance(pixels, Image.Image) else Image.fromarray(pixels)
    picture.save(out, kind, **options)
    return out.getvalue()


def frame(*, seed=1, taken=None, size_px=(600, 400), **said):
    """Return a JPEG as the record camera writes it."""
    return encoded(frame_pixels(*size_px, seed=seed), quality=88, exif=exif(taken=taken, **said))


def slate_text(*, cell, number, at, mode="normal", side="even", wall="booking-hall", survey="B1"):
    """Return the text of a slate's pattern, in the order of fields that the deck page writes."""
    moment = at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    return f"PONTATA1|{wall}|{survey}|{cell}|{mode}|{side}|{moment}|{number}"


def slate_frame(text, *, taken, seed=1, size_px=(1200, 800), noise=10.0, blur_px=0.8, **said):
    """Return a photograph of a tablet's slate: askew, a little blurred, noisy, a JPEG."""
    width_px, height_px = size_px
    rng = np.random.default_rng(seed)
    wall = frame_pixels(width_px, height_px, seed=seed)
    code = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    sheet = np.array(zxingcpp.write_barcode_to_image(code, scale=8))
    sheet = cv2.copyMakeBorder(sheet, 24, 24, 24, 24, cv2.BORDER_CONSTANT, value=255)
    side_px = 0.5 * height_px
    corners = np.float32([[0, 0], [1, 0], [1, 1], [0, 1]])
    askew = corners * side_px + rng.uniform(-0.06, 0.06, (4, 2)) * side_px
    askew += (0.3 * width_px, 0.2 * height_px)
    flat = corners * (sheet.shape[1], sheet.shape[0])
    warp = cv2.getPerspectiveTransform(flat.astype(np.float32), askew.astype(np.float32))
    shown = cv2.warpPerspective(
        cv2.cvtColor(sheet, cv2.COLOR_GRAY2RGB), warp, size_px, dst=wall,
        flags=cv2.INTER_AREA, borderMode=cv2.BORDER_TRANSPARENT,
    )  # fmt: skip
    seen = cv2.GaussianBlur(shown, (0, 0), blur_px).astype(np.float32) * 0.8 + 20
    seen += rng.normal(0, noise, seen.shape)
    return encoded(seen.clip(0, 255).astype(np.uint8), quality=85, exif=exif(taken=taken, **said))


def later(start, *, minutes=0.0, seconds=0.0):
    """Return a moment after another."""
    return start + timedelta(minutes=minutes, seconds=seconds)


NINE = datetime(2026, 6, 15, 9, 0, tzinfo=UTC)
