"""What are the pixels of a HEIC file? A program of its own, so that a file cannot fell the server.

The decoder is written in C++ and can be brought down by a file made to do so. Called with the file
and with where to put the pixels: rows of RGB from the top, three bytes each. Prints one line of
JSON: width, height, and in hexadecimal what the file says of itself and its colour profile.
It imports nothing of the project.
"""

import json
import sys

MOST_MEMORY_BYTES = 1024 * 1024 * 1024  # of address space; 49 megapixels need about 400 MB
MOST_SECONDS = 60


def main(source: str, pixels: str, most_px: int) -> int:
    """Decode one file; return 0, or 1 after saying on the error stream what is wrong."""
    _limit()
    import numpy as np
    import pi_heif

    pi_heif.options.DECODE_THREADS = 1
    pi_heif.options.THUMBNAILS = False
    pi_heif.options.DEPTH_IMAGES = False
    pi_heif.options.AUX_IMAGES = False
    try:
        held = pi_heif.open_heif(source, convert_hdr_to_8bit=True)
        if not len(held):
            raise ValueError("it holds no picture")
        picture = held[held.primary_index]
        width_px, height_px = picture.size
        if width_px * height_px > most_px:
            raise ValueError(f"it unfolds to {width_px:,} by {height_px:,} pixels")
        rows = np.asarray(picture)
        if rows.ndim == 2:
            rows = np.repeat(rows[:, :, None], 3, axis=2)
        elif rows.shape[2] != 3:
            rows = rows[:, :, :3]
        with open(pixels, "wb") as file:
            for at in range(0, height_px, 256):
                file.write(np.ascontiguousarray(rows[at : at + 256]).tobytes())
    except (ValueError, OSError, RuntimeError, EOFError, SyntaxError, MemoryError) as error:
        print(str(error)[:200] or type(error).__name__, file=sys.stderr)
        return 1
    exif = (picture.info.get("exif") or b"").removeprefix(b"Exif\x00\x00")
    profile = picture.info.get("icc_profile") or b""
    print(
        json.dumps(
            {"size": [width_px, height_px], "exif": exif.hex(), "profile": bytes(profile).hex()}
        )
    )
    return 0


def _limit() -> None:
    """Bound memory and time where the system can do so."""
    try:
        import resource
    except ImportError:  # Windows
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY_BYTES, MOST_MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], int(sys.argv[3])))
