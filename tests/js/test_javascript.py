"""Do the browser's modules pass their own tests and their type check?"""

from pathlib import Path

import pytest

from tests.support.javascript import TYPESCRIPT, check_types, run_node_tests

HERE = Path(__file__).parent
FILES = sorted([*HERE.rglob("*.test.js"), *HERE.rglob("*.test.mjs")])


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(HERE)))
def test_javascript_tests_pass(file):
    ended = run_node_tests([file])

    assert ended.returncode == 0, ended.stdout + ended.stderr


def test_javascript_types_hold():
    assert TYPESCRIPT.exists(), "node_modules lacks typescript; run: python3 manage.py test"

    ended = check_types()

    assert ended.returncode == 0, ended.stdout + ended.stderr
