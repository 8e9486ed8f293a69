"""What do all tests share: which are collected, on which database, with which server and browser.

Nothing here knows the subject of a test. `python3 manage.py test` runs all of it; DEVELOPERS.md
says how to run a part.
"""

import pytest
from django.conf import settings
from django.test.signals import setting_changed
from hypothesis import settings as hypothesis_settings

pytest_plugins = [
    "tests.support.database",
    "tests.support.running_server",
    "tests.support.chromium",
]


# How long one example takes says how busy the machine is, not whether a law holds.
hypothesis_settings.register_profile("any machine", deadline=None)
hypothesis_settings.load_profile("any machine")


def pytest_collection_modifyitems(items):
    """Browser tests come last: the browser's event loop would stop Django's database calls."""
    items.sort(key=lambda item: item.get_closest_marker("browser") is not None)


@pytest.fixture(scope="session", autouse=True)
def files_in_a_folder_of_this_run(request, tmp_path_factory):
    """Keep every file that a test stores out of the real data folder."""
    if not request.config.pluginmanager.has_plugin("django"):
        return  # a run of pure tests alone, with `-p no:django`
    folder = tmp_path_factory.mktemp("stored-files")
    settings.DATA_FOLDER = folder  # renditions, and files on their way into the store
    options = {**settings.STORAGES["default"], "OPTIONS": {"location": folder / "blobs"}}
    settings.STORAGES = {**settings.STORAGES, "default": options}
    setting_changed.send(sender=None, setting="STORAGES", value=settings.STORAGES, enter=True)
