"""Does every error that a person sees carry its message and its field?"""

import pytest

from gridmap.errors import Clash, InvalidInput, NotFound, NotPermitted, PontataError


@pytest.mark.parametrize("error", [InvalidInput, NotPermitted, NotFound, Clash])
def test_an_error_carries_its_message_and_field_and_says_what_it_is_for(error):
    raised = error("Width: 0 is below 1 in.", field="width")

    assert isinstance(raised, PontataError)
    assert (str(raised), raised.message, raised.field) == (raised.message, str(raised), "width")
    assert error("x").field is None
    assert error.__doc__
