"""Whatever stops an importer, the catalogue is the old one or the new one, and the next import may begin."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from mountwright.catalogue.engines import Engines, opened
from mountwright.catalogue.exporting import documents_in
from mountwright.catalogue.import_lock import import_runs, importing_alone
from mountwright.catalogue.importing import Report
from mountwright.errors import ImportRunsError

Json = dict[str, Any]

#: So many that the writing takes its time.
ROWS = 600

#: Tells when it begins, so that a blow falls into the import and not into the start of Python.
_IMPORTER = """
import sys
from pathlib import Path
from mountwright.bootstrap import create_workshop
from mountwright.catalogue.importing import imported
from mountwright.settings import Settings
from mountwright.web.records import checks_of
workshop = create_workshop(Settings(database=sys.argv[1]))
print("begins", flush=True)
imported([Path(sys.argv[2])], workshop.engines, checks_of(workshop))
print("ends", flush=True)
"""


def part(number: int, stock: int) -> Json:
    """Give one of many frames, each third with a mount of its own."""
    reading = {"value": 165 + number % 500 / 1000, "instrument": "caliper"}
    mount = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
    mounts = [{**mount, "dimensions": {"hole_spacing_mm": reading}} if number % 3 else mount]
    return {"sku": f"frame-{number:05d}", "kind": "frame", "name": "Towpath", "stock": stock, "mounts": mounts}


@pytest.fixture
def start(database: str) -> Callable[[Path], subprocess.Popen[str]]:
    """Give what starts an importer as a process of its own, and waits until it begins."""

    def started(path: Path) -> subprocess.Popen[str]:
        command = [sys.executable, "-c", _IMPORTER, database, str(path)]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        assert "begins\n" == process.stdout.readline()
        return process

    return started


def read(engines: Engines) -> Sequence[str]:
    """Give the whole catalogue, with the number of sets of mounts."""
    with engines.snapshot() as connection:
        return list(documents_in(connection))


def test_an_importer_killed_at_any_moment_leaves_the_old_catalogue_or_the_new(
    database: str,
    start: Callable[[Path], subprocess.Popen[str]],
    file: Callable[..., Path],
    bring_in: Callable[..., Report],
) -> None:
    """Ten blows at random moments; nothing between is ever seen, and the next import finds the way free."""
    paths = [file(*(part(number, stock) for number in range(ROWS)), name=f"{stock}.jsonl") for stock in (1, 2)]
    engines = opened(database)
    began = time.monotonic()
    bring_in(paths[0])
    whole_s = time.monotonic() - began
    states = [read(engines)]
    bring_in(paths[1])
    states.append(read(engines))
    seen = set()
    for _ in range(10):
        importer = start(paths[0])
        time.sleep(random.uniform(0, 1.2 * whole_s))  # noqa: S311  # no secret
        importer.send_signal(signal.SIGKILL)
        importer.communicate(timeout=30)
        found = read(engines)
        assert found in states
        seen.add(states.index(found))
        if found == states[0]:
            bring_in(paths[1])
    engines.close()

    assert seen <= {0, 1}


def test_two_imports_do_not_run_at_once(
    database: str, file: Callable[..., Path], bring_in: Callable[..., Report]
) -> None:
    """The second is told so at once, and may come again when the first has ended."""
    path = file(part(1, 1))
    other = opened(database)
    with importing_alone(other), pytest.raises(ImportRunsError, match="another import is running"):
        bring_in(path)
    report = bring_in(path)
    other.close()

    assert report.is_good


def test_the_lock_of_an_importer_that_was_killed_is_free(
    database: str, start: Callable[[Path], subprocess.Popen[str]], file: Callable[..., Path]
) -> None:
    """Nobody has to clear anything away."""
    engines = opened(database)
    importer = start(file(*(part(number, 1) for number in range(ROWS))))
    os.kill(importer.pid, signal.SIGKILL)
    importer.communicate(timeout=30)
    deadline = time.monotonic() + 10
    while import_runs(engines) and time.monotonic() < deadline:
        time.sleep(0.05)

    assert not import_runs(engines)
    engines.close()


@pytest.mark.parametrize("most_kib", [100, 300])
def test_a_full_disk_is_told_and_leaves_the_old_catalogue(
    sqlite_database: str, file: Callable[..., Path], most_kib: int
) -> None:
    """Whether what was read finds no room, or the database: a limit on the size of files stands for the disk."""
    path = file(*(part(number, 1) for number in range(ROWS)))
    engines = opened(sqlite_database)
    run = f"{sys.executable} -c 'from mountwright.cli import main; main()'"
    command = f"ulimit -f {most_kib}; exec {run} catalogue import {path}"
    env = {**os.environ, "MOUNTWRIGHT_DATABASE": sqlite_database}
    done = subprocess.run(["bash", "-c", command], env=env, capture_output=True, text=True, timeout=60)  # noqa: S607
    found = read(engines)
    engines.close()

    assert (1, []) == (done.returncode, found)
    assert "Error: " in done.stderr
    assert "Traceback" not in done.stderr
