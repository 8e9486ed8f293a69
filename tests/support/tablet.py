"""How does a test hold a tablet: a browser with a store that survives, which can lose its power?

The browser is a process of its own with a profile folder, joined over its debugging port on this
machine. Pulling the plug kills it as a dead battery does: nothing is written down first.
"""

import contextlib
import os
import signal
import subprocess
import time
from pathlib import Path

from tests.support.chromium import ARGUMENTS, TABLET_PX

START_LIMIT_S = 30.0


class Tablet:
    """One tablet; its store lies in the profile folder and is there again after a restart."""

    def __init__(self, *, playwright, chromium_path, profile, size_px=None):
        self.playwright = playwright
        self.chromium_path = chromium_path
        self.profile = Path(profile)
        self.size_px = size_px or TABLET_PX
        self.more_arguments = []
        self.process = None
        self.browser = None

    def switch_on(self):
        """Start the browser on its profile and return a fresh page with touch."""
        port_file = self.profile / "DevToolsActivePort"
        port_file.unlink(missing_ok=True)
        for lock in self.profile.glob("Singleton*"):
            lock.unlink()
        self.process = subprocess.Popen(
            [
                self.chromium_path, "--headless=new", *ARGUMENTS, *self.more_arguments,
                f"--user-data-dir={self.profile}", "--remote-debugging-port=0",
                "--no-default-browser-check", "about:blank",
            ],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            start_new_session=True,
        )  # fmt: skip
        self.browser = self.playwright.chromium.connect_over_cdp(
            f"http://127.0.0.1:{self._port(port_file)}"
        )
        return self.page()

    def _port(self, port_file):
        deadline = time.monotonic() + START_LIMIT_S
        while time.monotonic() < deadline:
            if self.process.poll() is not None:
                raise AssertionError(f"the browser ended with {self.process.returncode}")
            with contextlib.suppress(FileNotFoundError, IndexError, ValueError):
                return int(port_file.read_text().splitlines()[0])
            time.sleep(0.02)
        raise AssertionError(f"the browser did not start within {START_LIMIT_S:.0f} s")

    def page(self):
        """Return a page of this tablet's own context, sized and with touch."""
        context = self.browser.contexts[0]
        page = context.new_page()
        page.set_viewport_size(self.size_px)
        link = context.new_cdp_session(page)
        link.send("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 5})
        return page

    def pull_the_plug(self):
        """End every process of the browser at once, without a farewell."""
        if self.process and self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
        self.process = None
        if self.browser:
            with contextlib.suppress(Exception):
                self.browser.close()
        self.browser = None
