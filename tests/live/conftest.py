"""A real gunicorn, asked over HTTP, with distributions of strangers installed beside it."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

import pytest
import requests

from mountwright.serving import gunicorn_arguments

FOREIGN = Path(__file__).parents[1] / "foreign_plugin"

#: Where it answers, its process, and the file that its log goes to.
Served = tuple[str, subprocess.Popen[bytes], Path]

#: A busy machine may need this long to start the service, seconds.
PATIENCE_S = 60


@pytest.fixture(scope="session")
def foreign_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a folder into which pip has installed the foreign plugin and its broken twins."""
    site = tmp_path_factory.mktemp("site")
    folders = [FOREIGN, *(found.parent for found in sorted(FOREIGN.glob("broken/*/pyproject.toml")))]
    offline = ["--quiet", "--disable-pip-version-check", "--no-index", "--no-deps", "--no-build-isolation"]
    command = [sys.executable, "-m", "pip", "install", *offline, "--target", str(site), *map(str, folders)]
    subprocess.run(command, check=True, timeout=5 * PATIENCE_S)
    return site


@pytest.fixture(scope="session")
def serving(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., AbstractContextManager[Served]]:
    """Give what starts a service, with settings from the environment, and stops it again."""

    @contextmanager
    def started(workers: int = 1, site: Path | None = None, **settings: str) -> Iterator[Served]:
        log = tmp_path_factory.mktemp("service") / "gunicorn.log"
        command = gunicorn_arguments("127.0.0.1", 0, workers)
        with log.open("wb") as output:
            process = subprocess.Popen(
                command, cwd=log.parent, env=_environment(site, settings), stdout=output, stderr=output
            )
        try:
            yield _address(log, process), process, log
        finally:
            process.terminate()
            process.wait(timeout=PATIENCE_S)

    return started


@pytest.fixture(scope="session")
def address(serving: Callable[..., AbstractContextManager[Served]], foreign_site: Path) -> Iterator[str]:
    """Give the address of one service that knows all foreign distributions."""
    with serving(workers=2, site=foreign_site) as (where, _, _):
        yield where


def _environment(site: Path | None, settings: dict[str, str]) -> dict[str, str]:
    inherited = {name: value for name, value in os.environ.items() if not name.startswith("MOUNTWRIGHT_")}
    paths = [inherited.get("PYTHONPATH", ""), str(site or "")]
    return {**inherited, "PYTHONPATH": os.pathsep.join(path for path in paths if path), **settings}


def _address(log: Path, process: subprocess.Popen[bytes]) -> str:
    """Give where the service listens as soon as it answers; port 0 leaves the choice to the system."""
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline and process.poll() is None:
        listening = re.search(r"Listening at: (http://[0-9.:]+)", log.read_text(encoding="utf-8"))
        if listening and _is_alive(listening[1]):
            return listening[1]
        time.sleep(0.05)
    raise RuntimeError(f"the service did not come up:\n{log.read_text(encoding='utf-8')}")


def _is_alive(address: str) -> bool:
    try:
        return requests.get(f"{address}/healthz", timeout=5).ok
    except requests.RequestException:
        return False
