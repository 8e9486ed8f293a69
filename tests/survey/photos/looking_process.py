"""What does the program make of a file, and how much memory did that take? A process of its own.

Called with a file: takes it in as a page would, and prints one line of JSON.
"""

import json
import sys
from pathlib import Path

import django

LINUX_PEAK = "VmHWM"  # [kB] the most memory that the process held at any time


def peak_mb():
    lines = Path("/proc/self/status").read_text(encoding="utf-8").splitlines()
    return int(next(line for line in lines if line.startswith(LINUX_PEAK)).split()[1]) / 1024


def main(path):
    django.setup()
    from gridmap.errors import InvalidInput
    from survey.photos.looking import look
    from survey.photos.renditions import make_rendition

    said = {"refused": None}
    try:
        looked = look(path, path.name)
        said["size_px"] = [looked.width_px, looked.height_px]
        said["rendition_bytes"] = len(make_rendition(path, width_px=8192, name=path.name))
    except InvalidInput as refusal:
        said["refused"] = refusal.message
    print(json.dumps({**said, "peak_mb": peak_mb()}))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
