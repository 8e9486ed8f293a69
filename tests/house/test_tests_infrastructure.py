"""Do the shared fixtures keep their promises?"""

from pathlib import Path

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

import survey.settings


def test_stored_files_land_outside_the_real_data_folder(tmp_path_factory):
    name = default_storage.save("note.txt", ContentFile(b"plaster"))

    stored = Path(default_storage.path(name))
    assert stored.is_relative_to(tmp_path_factory.getbasetemp())
    for folder in (stored, settings.DATA_FOLDER):
        assert not folder.is_relative_to(survey.settings.DATA_FOLDER)
