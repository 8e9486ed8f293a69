"""By which name does a person know the device that an entry came from?"""

from collections.abc import Callable

from gridmap.models import Wall

_KNOWN = {"desk": "Desk", "demo": "Demo data", "import": "Import"}
TABLET = "tablet "


def device_names(wall: Wall) -> Callable[[str], str]:
    """Return how a device of the wall's entries is named on pages."""

    def name(device: str) -> str:
        if device.startswith(TABLET):
            return f"Tablet {device.removeprefix(TABLET)[:8]}"
        return _KNOWN.get(device, device)

    return name
