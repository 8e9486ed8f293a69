"""Do hostile and huge files stay within 512 MB, refused with a reason or decoded to their end?

Each file is looked at in a process of its own, with the whole program loaded, and the most memory
that the process ever held is read from the system.
"""

import json
import os
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pytest
import pyvips

PROJECT = Path(__file__).parents[3]
LIMIT_MB = 512
pytestmark = pytest.mark.skipif(
    not Path("/proc/self/status").exists(), reason="this system does not tell a process's peak"
)


def looked_at(path, tmp_path):
    settings = {
        "DJANGO_SETTINGS_MODULE": "survey.settings",
        "PONTATA_SETUP": "0",
        "PONTATA_DATA": str(tmp_path / "data"),
        "PYTHONPATH": str(PROJECT),
    }
    ended = subprocess.run(
        [sys.executable, str(Path(__file__).parent / "looking_process.py"), str(path)],
        cwd=PROJECT, env={**os.environ, **settings}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ended.returncode == 0, ended.stderr
    return json.loads(ended.stdout.splitlines()[-1])


def noisy(width_px, height_px):
    """Return a picture that no codec makes small: a tile of noise, laid side by side."""
    noise = [pyvips.Image.gaussnoise(1000, 1000, mean=128, sigma=25) for _ in range(3)]
    tile = noise[0].bandjoin(noise[1:]).cast("uchar").copy(interpretation="srgb").copy_memory()
    return tile.replicate(width_px // 1000, height_px // 1000)


def plain(width_px, height_px):
    return pyvips.Image.black(width_px, height_px, bands=3).copy(interpretation="srgb")


def png_bomb(path):
    """A PNG of 3.6 billion pixels in a few kilobytes."""
    heading = b"IHDR" + struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    data = b"IDAT" + zlib.compress(bytes(1 << 22), 9)
    parts = (heading, data, b"IEND")
    chunks = (
        struct.pack(">I", len(part) - 4) + part + struct.pack(">I", zlib.crc32(part))
        for part in parts
    )
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + b"".join(chunks))


def tiff_bomb(path):
    """A TIFF of one packed strip that unpacks to 450 MB."""
    plain(15_000, 10_000).tiffsave(str(path), compression="deflate", tile=False)
    data = bytearray(path.read_bytes())
    (first,) = struct.unpack("<I", data[4:8])
    (count,) = struct.unpack("<H", data[first : first + 2])
    strip = zlib.compress(bytes(15_000 * 3) * 10_000, 1)
    for at in range(first + 2, first + 2 + 12 * count, 12):
        (tag,) = struct.unpack("<H", data[at : at + 2])
        one = {0x0111: len(data), 0x0117: len(strip), 0x0116: 10_000}.get(tag)
        if one is not None:
            data[at + 2 : at + 12] = struct.pack("<HII", 4, 1, one)
    path.write_bytes(bytes(data) + strip)


REFUSED = {
    "bomb.png": (png_bomb, "3,600 megapixels"),
    "200 megapixels.jpg": (lambda p: plain(20_000, 10_000).jpegsave(str(p)), "200 megapixels"),
    "progressive.jpg": (
        lambda p: plain(6_500, 6_000).jpegsave(str(p), interlace=True, subsample_mode="off"),
        "can only be opened as a whole",
    ),
    "interlaced.png": (
        lambda p: plain(9_000, 8_000).pngsave(str(p), interlace=True, compression=1),
        "can only be opened as a whole",
    ),
    "one strip.tif": (tiff_bomb, "can only be opened as a whole"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_file_made_to_fill_the_memory_is_refused_with_a_reason(tmp_path, name):
    write, words = REFUSED[name]
    path = tmp_path / name
    write(path)

    said = looked_at(path, tmp_path)

    assert words in said["refused"]
    assert said["refused"].startswith(name)
    assert said["peak_mb"] < LIMIT_MB


TAKEN = {
    "150 megapixels.jpg": lambda p: plain(15_000, 10_000).jpegsave(str(p)),
    "24 megapixels.jpg": lambda p: noisy(6000, 4000).jpegsave(str(p), Q=90, interlace=True),
    "16 bits.tif": lambda p: (
        (noisy(6000, 4000).cast("ushort") * 257).cast("ushort").copy(interpretation="rgb16")
        .tiffsave(str(p))
    ),
    "portrait.png": lambda p: plain(4000, 6000).pngsave(str(p), compression=1),
}  # fmt: skip


@pytest.mark.parametrize("name", TAKEN)
def test_the_largest_photographs_are_decoded_whole_within_the_limit(tmp_path, name):
    path = tmp_path / name
    TAKEN[name](path)

    said = looked_at(path, tmp_path)

    assert said["refused"] is None
    assert said["rendition_bytes"] > 10_000
    assert said["peak_mb"] < LIMIT_MB
