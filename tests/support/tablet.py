"""How does a test hold a tablet: a browser with a store that survives, which can lose its power?

The browser keeps its store in a profile folder of its own. Pulling the plug kills every process of
it as a dead battery does: nothing is written down first, and nothing lives on beside the next one.
"""

import contextlib
import os
import signal
import subprocess
import time
from pathlib import Path

from tests.support.chromium import ARGUMENTS, TABLET_PX

END_LIMIT_S = 30.0


class Tablet:
    """One tablet; its store lies in the profile folder and is there again after a restart."""

    def __init__(self, *, playwright, chromium_path, profile, size_px=None):
        self.playwright = playwright
        self.chromium_path = chromium_path
        self.profile = Path(profile)
        self.size_px = size_px or TABLET_PX
        self.more_arguments = []
        self.context = None

    def switch_on(self):
        """Start the browser on its profile and return a fresh page with touch."""
        for lock in self.profile.glob("Singleton*"):
            lock.unlink()
        self.context = self.playwright.chromium.launch_persistent_context(
            self.profile,
            executable_path=self.chromium_path,
            args=[*ARGUMENTS, *self.more_arguments],
            viewport=self.size_px,
            has_touch=True,
            accept_downloads=True,
        )
        return self.page()

    def page(self):
        """Return a page of this tablet's own, which another tablet's page is not."""
        return self.context.new_page()

    def pull_the_plug(self):
        """End every process of the browser at once, without a farewell."""
        for process in self._processes():
            with contextlib.suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
        deadline = time.monotonic() + END_LIMIT_S
        while self._processes():
            assert time.monotonic() < deadline, "the browser lives on without power"
            time.sleep(0.02)
        if self.context:
            with contextlib.suppress(Exception):
                self.context.close()
        self.context = None

    def _processes(self):
        """The processes that run on this tablet's own profile folder."""
        listed = subprocess.run(
            ["ps", "-axww", "-o", "pid=,args="], capture_output=True, text=True, check=True
        )
        lines = [line.split(None, 1) for line in listed.stdout.splitlines()]
        return [
            int(line[0])
            for line in lines
            if len(line) == 2 and f"--user-data-dir={self.profile}" in line[1]
        ]
