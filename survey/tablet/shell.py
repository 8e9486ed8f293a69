"""Which files must a tablet hold to open the deck page without network, and which version are they?

The list follows the imports of the page's modules and the addresses in its styles, so that no file
is forgotten; the version is a digest of all their bytes.
"""

import posixpath
import re
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.exceptions import ImproperlyConfigured
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse

# Icons that the manifest names; everything else is found from the page on.
ICONS = ("img/mark-192.png", "img/mark-512.png")
FIRST_MODULE = "js/deck/page.js"
_ADDRESS = re.compile(r'''(?:src|href)="([^"]+)"''')
_IMPORT = re.compile(r"""(?:^|[;}\s])(?:import|export)\b[^;'"]*?['"](\.{1,2}/[^'"]+)['"]""", re.M)
_DYNAMIC = re.compile(r"""\bimport\(\s*['"](\.{1,2}/[^'"]+)['"]\s*\)""")
_STYLE_ADDRESS = re.compile(r"""url\(["']?([^"')]+)["']?\)""")
_COMMENT = re.compile(r"/\*.*?\*/", re.S)


@dataclass(frozen=True)
class Shell:
    """The page's own files as addresses, in a fixed order, with the digest of their bytes."""

    version: str
    addresses: tuple[str, ...]


def current_shell() -> Shell:
    """Return the shell that this server serves now."""
    page = render_to_string("deck/deck.html", page_context())
    digest = sha256(page.encode() + b"\0" + _worker_without_version().encode() + b"\0")
    named = [
        a.removeprefix(settings.STATIC_URL)
        for a in _ADDRESS.findall(page)
        if a.startswith(settings.STATIC_URL)
    ]
    names = sorted(_files_from((*named, *ICONS)))
    for name in names:
        digest.update(name.encode() + b"\0" + _bytes_of(name) + b"\0")
    addresses = (reverse("tablet:deck"), reverse("tablet:manifest"), *map(static, names))
    return Shell(version=digest.hexdigest()[:16], addresses=addresses)


def page_context() -> dict[str, list[str]]:
    """Return what the page names beside its styles: every module, so that none has to wait."""
    modules = sorted(name for name in _files_from((FIRST_MODULE,)) if name != FIRST_MODULE)
    return {"modules": [static(name) for name in modules]}


def _worker_without_version() -> str:
    """Return the worker's own text, so that a change of its rules is a new version too."""
    return render_to_string("deck/worker.js", {"shell": Shell(version="", addresses=())})


def _files_from(first: tuple[str, ...]) -> set[str]:
    found: set[str] = set()
    waiting = list(first)
    while waiting:
        name = waiting.pop()
        if name in found:
            continue
        found.add(name)
        waiting += _named_by(name)
    return found


def _named_by(name: str) -> list[str]:
    """Return the files that one file needs, as names below the static root."""
    # The map library is one file; a search through its megabyte would find its own strings.
    if name.startswith("vendor/ol/") or not name.endswith((".js", ".css")):
        return []
    text = _COMMENT.sub("", _bytes_of(name).decode())
    patterns = (_STYLE_ADDRESS,) if name.endswith(".css") else (_IMPORT, _DYNAMIC)
    relative = [found for pattern in patterns for found in pattern.findall(text)]
    folder = posixpath.dirname(name)
    return [
        posixpath.normpath(posixpath.join(folder, address))
        for address in relative
        if not address.startswith("data:")
    ]


def _bytes_of(name: str) -> bytes:
    """Return a static file as it is served: collected, or from its source where it is not."""
    collected = Path(settings.STATIC_ROOT) / name
    if collected.is_file() and not settings.WHITENOISE_USE_FINDERS:
        return collected.read_bytes()
    source = finders.find(name)
    if not isinstance(source, str):
        raise ImproperlyConfigured(f"The deck page needs static/{name}, which is missing.")
    return Path(source).read_bytes()
