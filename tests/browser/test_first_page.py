"""What does somebody see who opens a fresh installation?"""

import pytest

pytestmark = pytest.mark.browser


def test_a_fresh_installation_asks_for_a_name_and_a_password(empty_server, page):
    page.goto(empty_server.url)

    assert page.get_by_label("password").is_visible()
    assert page.get_by_role("button").first.is_visible()
