"""Does the shipped client core lose, double or part with anything in many simulated sequences?

CI runs 100,000 sequences, a laptop 2,000; PONTATA_SEQUENCES says another number.
"""

import os
import re

import pytest

from tests.support.javascript import node_command, run

IN_CI, ON_A_LAPTOP = 100_000, 2_000
WORKERS = 2


def sequences_asked_for() -> int:
    """Return how many sequences this run goes through."""
    asked = os.environ.get("PONTATA_SEQUENCES")
    if asked:
        return int(asked)
    return IN_CI if os.environ.get("CI") else ON_A_LAPTOP


@pytest.mark.long
def test_nothing_is_lost_doubled_or_diverged_in_simulated_sequences(capsys):
    count = sequences_asked_for()

    ended = run(
        [
            *node_command(),
            "tests/js/deck/sim/run.mjs",
            *("--sequences", str(count), "--seed", "1", "--workers", str(WORKERS)),
        ]
    )

    with capsys.disabled():
        print(f"\n{last_figures(ended.stdout)} (PONTATA_SEQUENCES sets another number)")
    assert ended.returncode == 0, ended.stdout[-8000:] + ended.stderr
    assert f"{count} of {count} sequences" in ended.stdout


def last_figures(output: str) -> str:
    """Return the last line of figures that the runner printed."""
    lines = re.findall(r"^\d+ of \d+ sequences.*$", output, re.MULTILINE)
    return lines[-1] if lines else "No sequence was finished."
