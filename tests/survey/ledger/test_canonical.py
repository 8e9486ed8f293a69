"""Do a statement's canonical bytes and digest come out as the standards print them?"""

import uuid

import pytest

from gridmap.errors import InvalidInput
from survey.ledger.canonical import canonical_bytes, continuation_id, digest_of


def test_the_sample_of_the_standard_comes_out_byte_for_byte():
    # source: RFC 8785 (2020), section 3.2.2 sample input and section 3.2.4 UTF-8 output
    statement = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"\u002f",
        "literals": [None, True, False],
    }

    text = canonical_bytes(statement).decode("utf-8")

    assert text == (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )


def test_the_digest_of_abc_is_that_of_the_standard():
    # source: FIPS 180-4, SHA-256 example "abc" (NIST example values)
    assert digest_of(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.mark.parametrize(
    "value", [float("nan"), float("inf"), 2**53, "\ud800"], ids=["nan", "inf", "2^53", "surrogate"]
)
def test_what_has_no_canonical_form_is_refused(value):
    with pytest.raises(InvalidInput, match="no canonical form"):
        canonical_bytes({"value": value})


def test_two_devices_give_a_continuation_the_same_id():
    survey, prior = uuid.uuid4(), uuid.uuid4()

    assert continuation_id(survey, prior) == continuation_id(survey, uuid.UUID(str(prior).upper()))
    assert continuation_id(survey, prior) != continuation_id(survey, uuid.uuid4())
