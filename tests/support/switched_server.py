"""How does a test switch a server off and on again at the same address, with all that it holds?"""

import shutil
import sqlite3
from pathlib import Path
from uuid import UUID

from tests.support.running_server import (
    free_port,
    start_server,
    stop,
    wait_until_it_answers,
)

DATABASE = "pontata.sqlite3"


class SwitchedServer:
    """A server on its own copy of a data folder, always on the same port."""

    def __init__(self, data_folder, *, command="demo"):
        self.data_folder = Path(data_folder)
        self.command = command
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self.process = None

    def switch_on(self):
        server, self.process = start_server(self.command, self.data_folder, port=self.port)
        wait_until_it_answers(server, self.process)

    def switch_off(self):
        if self.process:
            stop(self.process)
        self.process = None

    def rows(self, query, *arguments):
        """Read the server's own database, past every page and API."""
        connection = sqlite3.connect(f"file:{self.data_folder / DATABASE}?mode=ro", uri=True)
        try:
            return connection.execute(query, arguments).fetchall()
        finally:
            connection.close()

    def entries_of(self, device):
        """What one tablet's entries are on the server, in order: id, kind, digest, sequence."""
        query = "SELECT id, kind, digest, seq FROM ledger_entry WHERE device = ? ORDER BY seq"
        found = self.rows(query, f"tablet {device}")
        return [(str(UUID(hex=key)), kind, digest, seq) for key, kind, digest, seq in found]

    def bytes_of(self, digest):
        """The bytes that the server keeps under a digest; None where it keeps none."""
        path = self.data_folder / "blobs" / digest[:2] / digest
        return path.read_bytes() if path.is_file() else None


def copy_of(data_folder, target):
    """Copy a data folder that may be in use; the database through SQLite's own backup."""
    shutil.copytree(data_folder, target, ignore=shutil.ignore_patterns(f"{DATABASE}*", "*.log"))
    source = sqlite3.connect(f"file:{Path(data_folder) / DATABASE}?mode=ro", uri=True)
    copy = sqlite3.connect(Path(target) / DATABASE)
    source.backup(copy)
    source.close()
    copy.close()
    return target
