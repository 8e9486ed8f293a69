"""How much does a pyramid cost beyond what libvips needs for its tiles alone?

Mosaics of 0.16 and of 1 gigapixel, as TIFF, become pyramids of 512 px JPEG tiles. The peer is
libvips' own writer of tiles with the same size and quality, and nothing else. Ours tells how far it
is and heeds a wish to stop, strips metadata, digests the finished file and puts it on the disk for
good. Every run is a process of its own, so that its peak memory is its own too; the runs alternate.

Run: python tests/benchmarks/pyramid_benchmark.py            both sizes
     python tests/benchmarks/pyramid_benchmark.py small      0.16 gigapixels alone
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import pytest  # noqa: E402
import pyvips  # noqa: E402

from gridmap.tiles import TILE_PX  # noqa: E402

SIZES = {"small": (31_000, 5_167), "large": (77_460, 12_910)}  # six times as long as high
RUNS = {"small": 5, "large": 3}
AT_MOST = 1.2  # times libvips alone
MOST_MB = 512


@pytest.mark.parametrize("size", [word for word in sys.argv[1:] if word in SIZES] or list(SIZES))
def test_a_pyramid_costs_little_more_than_its_tiles(size):
    told = measure(size)

    print(f"\n{told['text']}")
    assert told["ratio"] <= AT_MOST
    assert told["peak_mb"] <= MOST_MB


def measure(size):
    """Run both sides in turn on one picture, and return the figures."""
    with tempfile.TemporaryDirectory(prefix="pyramid-") as folder:
        picture = Path(folder) / "wall.tif"
        paint(picture, *SIZES[size])
        runs = {"ours": [], "bare": []}
        for turn in range(RUNS[size]):
            for side in ("bare", "ours") if turn % 2 else ("ours", "bare"):
                runs[side].append(run(side, picture))
    seconds = {side: median(run["seconds"] for run in done) for side, done in runs.items()}
    peak = {side: max(run["peak_mb"] for run in done) for side, done in runs.items()}
    kept = median(run["kept_seconds"] for run in runs["ours"])
    width_px, height_px = SIZES[size]
    ratio = seconds["ours"] / seconds["bare"]
    return {
        "ratio": ratio,
        "peak_mb": peak["ours"],
        "text": (
            f"{width_px * height_px / 1e9:.2f} gigapixels, {width_px:,} by {height_px:,} px: "
            f"{seconds['ours']:.1f} s, of which digest and disk {kept:.1f} s; libvips alone "
            f"{seconds['bare']:.1f} s: {ratio:.2f} times (at most {AT_MOST:g}). Peak memory "
            f"{peak['ours']:.0f} MB, libvips alone {peak['bare']:.0f} MB; the file has "
            f"{runs['ours'][0]['size_mb']:.0f} MB. Median of {RUNS[size]}."
        ),
    }


def paint(path, width_px, height_px):
    """Write a picture with fields of colour and grain: neither flat nor mere noise."""
    patch = pyvips.Image.perlin(2048, 2048, cell_size=128, seed=1936)
    grain = pyvips.Image.gaussnoise(2048, 2048, sigma=4, mean=0, seed=7)
    bands = [patch * gain + 128 + grain for gain in (60, 45, 30)]
    tile = bands[0].bandjoin(bands[1:]).cast("uchar").copy(interpretation="srgb").copy_memory()
    whole = tile.replicate(-(-width_px // 2048), -(-height_px // 2048))
    whole.crop(0, 0, width_px, height_px).tiffsave(str(path))


def run(side, picture):
    command = [sys.executable, __file__, "--once", side, str(picture)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return json.loads(done.stdout.splitlines()[-1])


def bare(picture, folder):
    """Write the tiles with libvips alone."""
    image = pyvips.Image.tiffload(str(picture), access="sequential")
    image.dzsave(
        str(folder / "bare.zip"),
        container="zip",
        tile_size=TILE_PX,
        overlap=0,
        depth="onetile",
        suffix=".jpg[Q=88]",
        keep="none",
    )
    return 0.0, folder / "bare.zip"


def ours(picture, folder):
    """Make the pyramid as an import does, up to its place in the store."""
    from survey.ledger.blobs import digest_of_file
    from survey.photos.orthophotos import look_at_orthophoto, open_orthophoto
    from survey.photos.tile_writing import write_pyramid

    tiles, told = folder / "tiles.zip", []
    facts = look_at_orthophoto(picture, picture.name)
    write_pyramid(
        open_orthophoto(picture, facts, picture.name), tiles, tell=lambda *n: told.append(n)
    )
    assert told
    began = time.perf_counter()
    digest = digest_of_file(tiles)
    with tiles.open("rb") as source, (folder / digest).open("wb") as kept:
        shutil.copyfileobj(source, kept, 1 << 20)
        kept.flush()
        os.fsync(kept.fileno())
    return time.perf_counter() - began, tiles


def once(side, picture):
    if side == "ours":
        set_up()
    with tempfile.TemporaryDirectory(prefix="pyramid-", dir=Path(picture).parent) as folder:
        began = time.perf_counter()
        kept_seconds, tiles = {"ours": ours, "bare": bare}[side](Path(picture), Path(folder))
        seconds = time.perf_counter() - began
        size_mb = tiles.stat().st_size / 1024**2
    # The kernel's own count of this program: getrusage would hand on the peak of whoever began it.
    status = Path("/proc/self/status").read_text(encoding="ascii")
    peak_mb = int(status.split("VmHWM:")[1].split()[0]) / 1024
    told = {"seconds": seconds, "kept_seconds": kept_seconds, "peak_mb": peak_mb}
    print(json.dumps({**told, "size_mb": size_mb}))


def set_up():
    """Load what a worker has loaded, before the time runs."""
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "survey.settings"
    os.environ["PONTATA_SETUP"] = "0"
    django.setup()


if __name__ == "__main__":
    if sys.argv[1:2] == ["--once"]:
        once(*sys.argv[2:])
    else:
        sys.exit(pytest.main(["-q", "-s", "-p", "no:cacheprovider", __file__]))
