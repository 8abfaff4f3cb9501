"""A real browser without a window: it prints pages, and tells where everything on them stands."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

#: Chromium, without a window and without talking to anybody.
_OPTIONS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
)

Browse = Callable[..., str]


@pytest.fixture(scope="session")
def chromium() -> str:
    """Give the command that starts Chromium."""
    found = shutil.which("chromium")
    if found is None:
        pytest.fail("The tests in tests/browser want Chromium: apt-get install -y chromium fonts-liberation")
    return found


@pytest.fixture(scope="session")
def browse(chromium: str, tmp_path_factory: pytest.TempPathFactory) -> Browse:
    """Give a way to open a file in a browser that has seen nothing before; gives what it wrote."""

    def opened(file: Path, *options: str) -> str:
        profile = tmp_path_factory.mktemp("profile")
        command = [chromium, *_OPTIONS, f"--user-data-dir={profile}", *options, file.as_uri()]
        done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
        shutil.rmtree(profile, ignore_errors=True)
        assert 0 == done.returncode, done.stderr
        return done.stdout

    return opened
