"""What do the deck's browser tests share: a server that can be switched off, and tablets."""

import pytest

from tests.support.switched_server import SwitchedServer, copy_of
from tests.support.tablet import Tablet


@pytest.fixture
def server(demo_server, tmp_path):
    """A demo server of this test's own, switched on."""
    own = SwitchedServer(copy_of(demo_server.data_folder, tmp_path / "server"))
    own.switch_on()
    yield own
    own.switch_off()


@pytest.fixture
def tablet(playwright, chromium_path, tmp_path):
    """A tablet that is switched off; its plug is pulled at the end in any case."""
    profile = tmp_path / "tablet"
    profile.mkdir()
    held = Tablet(playwright=playwright, chromium_path=chromium_path, profile=profile)
    yield held
    held.pull_the_plug()
