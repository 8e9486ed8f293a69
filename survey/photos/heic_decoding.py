"""How does a HEIC file become pixels without putting the server at risk?

It is decoded by `heic_process`, a program of its own under limits of memory and time: a file that
brings the decoder down is a file that is refused.
"""

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pyvips

from gridmap.errors import InvalidInput

LARGEST_HEIC_PX = 52_000_000  # decoded whole: the largest telephones have 49 million
LONGEST_S = 120.0  # [s] on a busy machine; the program's own limit is 60 s of computing
PROGRAM = Path(__file__).with_name("heic_process.py")


@dataclass(frozen=True)
class DecodedHeic:
    """A HEIC's upright picture in 8 bits as an image that is read from a file of pixels."""

    width_px: int
    height_px: int
    exif: bytes | None
    image: pyvips.Image


@contextmanager
def decoded_heic(path: Path, name: str) -> Iterator[DecodedHeic]:
    """Yield the picture of a HEIC; its pixels are gone at the end of the block.

    Raises InvalidInput naming the file where it cannot be decoded.
    """
    with tempfile.TemporaryDirectory(prefix="pontata-heic-") as folder:
        pixels = Path(folder) / "pixels"
        said = _run(path, pixels, name)
        width_px, height_px = said["size"]
        image = pyvips.Image.rawload(str(pixels), width_px, height_px, 3, access="sequential")
        image = image.copy(interpretation="srgb")
        if said["profile"]:
            profile = bytes.fromhex(said["profile"])
            image.set_type(pyvips.GValue.blob_type, "icc-profile-data", profile)
        exif = bytes.fromhex(said["exif"]) or None
        yield DecodedHeic(width_px, height_px, exif, image)


def _run(path: Path, pixels: Path, name: str) -> dict[str, Any]:
    command = [sys.executable, "-I", str(PROGRAM), str(path), str(pixels), str(LARGEST_HEIC_PX)]
    try:
        ended = subprocess.run(
            command, capture_output=True, text=True, timeout=LONGEST_S, check=False
        )
    except subprocess.TimeoutExpired as error:
        raise _refused(name, "it takes too long") from error
    if ended.returncode != 0:
        lines = ended.stderr.strip().splitlines() if ended.returncode == 1 else []
        raise _refused(name, lines[-1] if lines else "it brings the decoder down")
    said: dict[str, Any] = json.loads(ended.stdout)
    return said


def _refused(name: str, why: str) -> InvalidInput:
    return InvalidInput(
        f"{name} cannot be decoded to its end ({why}). Export it again, or as JPEG. Nothing was "
        "kept.",
        field="data",
    )
