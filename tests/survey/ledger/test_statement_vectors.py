"""Does the server take the same digest of a statement as the tablet? Both read the same cases."""

import json
from pathlib import Path

import pytest

from survey.ledger.canonical import canonical_bytes, digest_of
from survey.ledger.drafts import read_draft

VECTORS = Path(__file__).parents[2] / "vectors" / "statements.json"
CASES = json.loads(VECTORS.read_text(encoding="utf-8"))["cases"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["says"])
def test_a_statement_has_the_written_canonical_text_and_digest(case):
    # source: texts written by hand by RFC 8785, sections 3.2.1 to 3.2.4; the browser's side is
    # tests/js/deck/core/canonical.test.mjs
    draft = read_draft(case["draft"], where="entry", observer="", recorder="")

    data = canonical_bytes(draft.statement())

    assert data.decode("utf-8") == case["canonical"]
    assert digest_of(data) == case["digest"]
