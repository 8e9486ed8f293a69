"""Does the suite catch every seeded fault of the tablet's code, or does it prove nothing?"""

import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue

import pytest

from tests.js.deck.faults.runner import (
    Change,
    Fault,
    copy_of_project,
    seeded,
    seeded_faults,
    try_fault,
)

FAULTS = [*seeded_faults("client_core"), *seeded_faults("server")]
FEWEST_FAULTS = 20
AT_ONCE = 2

pytestmark = pytest.mark.long


def test_at_least_twenty_faults_are_seeded_each_under_its_own_name():
    names = {fault.name for fault in FAULTS}

    assert len(names) == len(FAULTS) >= FEWEST_FAULTS


@pytest.fixture(scope="module")
def trials(request, tmp_path_factory):
    """The trials of the faults that this run asks for, two at a time on a copy each."""
    copies: SimpleQueue[Path] = SimpleQueue()
    for _ in range(AT_ONCE):
        copies.put(copy_of_project(tmp_path_factory.mktemp("faults")))

    def tried(fault):
        folder = copies.get()
        try:
            return try_fault(fault, folder)
        finally:
            copies.put(folder)

    params = [getattr(item, "callspec", None) for item in request.session.items]
    asked = {call.params["fault"] for call in params if call and "fault" in call.params}
    with ThreadPoolExecutor(AT_ONCE) as pool:
        yield {fault: pool.submit(tried, fault) for fault in FAULTS if fault in asked}


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_the_named_test_catches_the_fault(fault, trials):
    trial = trials[fault].result()

    assert trial.caught, f"{fault.test} does not see it:\n{trial.output[-3000:]}"


@pytest.mark.database
@pytest.mark.parametrize("fault", seeded_faults("postgresql"), ids=lambda fault: fault.name)
def test_two_writers_on_postgresql_catch_the_fault(fault, tmp_path):
    if not os.environ.get("DATABASE_URL"):
        pytest.skip("SQLite has one writer at a time; only PostgreSQL shows this")

    trial = try_fault(fault, copy_of_project(tmp_path))

    assert trial.caught, f"{fault.test} does not see it:\n{trial.output[-3000:]}"


def test_a_fault_whose_text_is_gone_is_refused(tmp_path):
    (tmp_path / "a.js").write_text("let one = 1;\n")
    gone = Fault("gone", (Change("a.js", "let two", "let three"),), "sequences 1", "")

    with pytest.raises(ValueError, match="stands 0 times"), seeded(gone, tmp_path):
        pass
