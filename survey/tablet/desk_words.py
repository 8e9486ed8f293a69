"""In which words do the desk's pages speak of a tablet and of the way it is reached?"""

from collections.abc import Callable

from django.http import HttpRequest

from gridmap.models import Wall
from survey.tablet.models import Tablet

RETIREMENTS = {
    "lost": "Lost",
    "reinstalled": "Reinstalled, or its data was cleared",
    "handed back": "Handed back or used elsewhere",
}
_KNOWN = {"desk": "Desk", "demo": "Demo data", "import": "Import"}
_LOOPBACK = frozenset({"localhost", "127.0.0.1", "[::1]"})
TABLET = "tablet "


def device_names(wall: Wall) -> Callable[[str], str]:
    """Return how a device of the wall's entries is named on pages."""
    names = {tablet.device: tablet.name for tablet in Tablet.objects.filter(wall=wall)}

    def name(device: str) -> str:
        if device in names:
            return f"Tablet {names[device]}"
        if device.startswith(TABLET):
            return f"Tablet {device.removeprefix(TABLET)[:8]}, not enrolled here"
        return _KNOWN.get(device, device)

    return name


def works_without_network(request: HttpRequest) -> bool:
    """Say whether a browser that opens the deck at this address keeps it for offline use.

    source: W3C Secure Contexts: service workers need HTTPS or the machine itself
    """
    host = request.get_host()
    name = host if host.endswith("]") else host.rsplit(":", 1)[0] if ":" in host else host
    return request.is_secure() or name in _LOOPBACK or name.endswith(".localhost")
