"""What went wrong during set-up, and what can the person do about it?

Turns the output of pip, uv, venv and npm into one sentence of cause and one of remedy. Standard
library only, like the bootstrap that uses it.
"""

import errno
import re
import sys
from dataclasses import dataclass

SHOWN_LINES = 12  # of an output that nothing here recognises


class SetupFailed(Exception):
    """Set-up cannot go on; the message says why and what to do."""


@dataclass(frozen=True)
class Cause:
    """A pattern in a program's output, and the sentences that it stands for."""

    pattern: str
    message: str


# The first that fits wins, so the particular stands before the general.
CAUSES = (
    Cause(
        r"No space left on device|ENOSPC|not enough space|Errno 28",
        "The disk is full. Free about 1 GB and run the same command again.",
    ),
    Cause(
        r"Read-only file system|EROFS|Permission denied|EACCES|EPERM|Access is denied",
        "A file or folder cannot be written. Copy the project to a folder of your own, or set "
        "PONTATA_VENV to a folder that you can write.",
    ),
    Cause(
        r"DO NOT MATCH THE HASHES|[Hh]ash mismatch|EINTEGRITY",
        "A downloaded package is not the one that the lock file names, so it was not installed. "
        "Run the same command again; if it repeats, ask whoever keeps your package index.",
    ),
    Cause(
        r"CERTIFICATE_VERIFY_FAILED|SSLError|UnknownIssuer|UNABLE_TO_(GET|VERIFY)|SELF_SIGNED_CERT"
        r"|invalid peer certificate",
        "The package index shows a certificate that this machine does not trust. Behind a private "
        "certificate authority set PIP_CERT, SSL_CERT_FILE and NODE_EXTRA_CA_CERTS to its file.",
    ),
    Cause(
        r"407 Proxy|ProxyError|Tunnel connection failed",
        "The proxy refused the connection. Check HTTPS_PROXY and its name and password.",
    ),
    Cause(
        r"NewConnectionError|Failed to establish|name resolution|getaddrinfo|Max retries exceeded"
        r"|Connection (refused|reset|timed out|broken)|Read timed out|ConnectTimeout|Network is unr"
        r"|error sending request|dns error|tcp connect|ENOTFOUND|ECONNREFUSED|ECONNRESET|EAI_AGAIN"
        r"|ETIMEDOUT|ENETUNREACH|network request|[Oo]peration timed out|Retrying \("
        # pip says no more than this when even the first package, a plain one, is not found.
        r"|(?s:\A(?!.*Collecting.*Collecting).*from versions: none)",
        "No package index could be reached. Check the network, or the proxy and index settings of "
        "pip and npm, and run the same command again.",
    ),
    Cause(
        r"No matching distribution|no wheels? (with|are|for)|not a supported wheel"
        r"|requires a different Python|has no usable wheels",
        "A package is not to be had for this kind of machine or this Python "
        f"({sys.version_info[0]}.{sys.version_info[1]}). Try Python 3.11, 3.12 or 3.13, 64 bits.",
    ),
)


def explain(program: str, said: str) -> str:
    """Return cause and remedy for what a program printed before it failed.

    The first line is the sentence; the program's own error follows it.
    """
    lines = [line.rstrip() for line in said.splitlines() if line.strip()]
    for cause in CAUSES:
        match = re.search(cause.pattern, said)
        if match:
            return f"{cause.message}\n  ({program}: {line_at(said, match.end())[:300]})"
    shown = "\n".join(f"  {line}" for line in lines[-SHOWN_LINES:])
    return f"{program} failed for a reason not known here. It said:\n{shown}"


def line_at(said: str, position: int) -> str:
    """Return the line in which a character stands."""
    start = said.rfind("\n", 0, position - 1) + 1
    return said[start:].split("\n", 1)[0].strip()


def explain_os_error(error: OSError) -> str:
    """Return cause and remedy for an error of the operating system."""
    where = f" ({error.filename})" if error.filename else ""
    named = errno.errorcode.get(error.errno or 0, "")
    for cause in CAUSES:
        if named and re.search(rf"(^|\|){named}(\||$)", cause.pattern):
            return cause.message + where
    return f"{error.strerror or error}{where}."


def no_venv_module() -> str:
    """Return what to do on a Python that was packaged without venv or ensurepip."""
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    return (
        f"This Python {version} cannot make a virtual environment: its venv or ensurepip part is "
        f"missing.\nOn Debian or Ubuntu: sudo apt install python{version}-venv. Elsewhere: install "
        "Python from its makers, or install uv. Then run the same command again."
    )
