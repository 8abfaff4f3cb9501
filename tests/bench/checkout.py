"""What a basket at checkout costs: ``python tests/bench/checkout.py [PARTS]`` prints a table, per engine.

A bare Flask hello and the service run on one configuration (gunicorn gthread, a worker a core, two threads, no control
socket) and are loaded in turn within one run by Debian's wrk (one thread, 8 connections kept alive). Read the ratios;
absolute figures belong to the machine. Four kinds of baskets, all by SKU:

- new: many thousands, of articles that were asked about before (a warm catalogue cache); each load begins somewhere
  else among them, so that hardly any answer is still remembered;
- cold: no two are alike, of articles out of the whole catalogue, hardly any of which was read before;
- one stops: new, and the frame is of another spacing, so that others are looked for in the catalogue;
- again: a few hundred baskets that come again and again.
"""

from __future__ import annotations

import os
import random
import shutil
import statistics
import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any, NamedTuple

import psycopg
from big_catalogue import SMALL_PARTS, SPACINGS_MM
from scale import brought_in, postgresql
from sqlalchemy.engine import make_url
from throughput import Round, load, scripted

from mountwright.serving import served

ROUNDS, WARMING = 2, 2
PARTS = 100_000
CONNECTIONS = 8
HERE = Path(__file__).parent

#: What a bare Flask takes to read six lines and send as much as an answer to them: nobody can be faster.
PARROT = "6 lines, read and not judged"

#: How many requests the memory of a worker is watched over.
WATCHED = 50_000

#: Places in the catalogue's cycle of kinds.
_CYCLE = {"frame": (0, 4), "wheel": (1, 2), "bearing": (3,)}

Json = dict[str, Any]


#: Address, process and script of what is loaded.
Call = tuple[str, int, tuple[str, ...]]


class Pair(NamedTuple):
    """Hello and a case, one right after the other."""

    hello: Round
    case: Round


class Pool(NamedTuple):
    """Articles that baskets are made of: the first so many of the catalogue, or all of it."""

    parts: int
    rng: random.Random

    def sku(self, kind: str, spacing: int) -> str:
        """Give an article of a kind; a frame of a spacing by its place in the catalogue's cycle of spacings."""
        if kind not in _CYCLE:
            return f"{kind}-{self.rng.randrange(SMALL_PARTS):02d}"
        turn = self.rng.randrange(self.parts // 5)
        if kind == "frame":
            turn += (spacing - turn) % len(SPACINGS_MM)
        return f"{kind}-{5 * (turn % (self.parts // 5)) + self.rng.choice(_CYCLE[kind]):07d}"


_SIX = (("frame", 2), ("wheel", 8), ("bearing", 16), ("axle", 8), ("spacer", 8), ("insole", 1))


def baskets(pool: Pool, lines: int, count: int, off: int = 0) -> list[Json]:
    """Give so many baskets of so many lines; frames lie so many places off the skate's spacing."""
    return [_basket(pool, lines, off) for _ in range(count)]


def _basket(pool: Pool, lines: int, off: int) -> Json:
    spacing = pool.rng.choice((0, 1, 3))
    kinds = [_SIX[number % len(_SIX)] for number in range(lines)]
    return {
        "skate": {"sku": f"sold-{tuple(SPACINGS_MM)[spacing]}", "eu_size": pool.rng.randrange(72, 93) / 2},
        "lines": [{"sku": pool.sku(kind, spacing + off), "quantity": quantity} for kind, quantity in kinds],
    }


def bodies(parts: int) -> dict[str, list[Json]]:
    """Give the cases by name."""
    warm, cold = (Pool(size, random.Random(7)) for size in (300, parts))  # noqa: S311  # a bench, no secret
    cases = {f"{lines} lines, new": baskets(warm, lines, max(300, 200_000 // lines)) for lines in (1, 6, 40, 200)}
    cases["6 lines, cold"] = baskets(cold, 6, 6000)
    cases["6 lines, again"] = baskets(warm, 6, 300)
    cases["6 lines, one stops"] = baskets(warm, 6, 3000, off=1)
    return cases


def measured(address: str, folder: Path) -> tuple[dict[str, list[Pair]], float]:
    """Load the service on a catalogue, hello in turn; give the rounds, and by how much a worker grew."""
    environment = {**os.environ, "PYTHONPATH": f"{HERE}{os.pathsep}{os.environ.get('PYTHONPATH', '')}"}
    with ExitStack() as stack:
        hello, hello_process = stack.enter_context(
            served(workers=None, env=environment, application="hello:create_app()")
        )
        env = {**environment, "MOUNTWRIGHT_DATABASE": address}
        service, process = stack.enter_context(served(workers=None, env=env))
        path = f"{service}/v1/cart-checks"
        scripts = {name: scripted(folder, name, asked) for name, asked in bodies(PARTS).items()}
        calls = {name: (path, process.pid, ("-s", script)) for name, script in scripts.items()}
        calls[PARROT] = (f"{hello}/", hello_process.pid, ("-s", scripts["6 lines, new"]))
        greeting = (f"{hello}/", hello_process.pid, ())
        rounds = {
            name: in_turn(greeting, call) for name, call in sorted(calls.items(), key=lambda each: "cold" in each[0])
        }
        return rounds, grown(path, process.pid, scripts["6 lines, new"])


def in_turn(hello: Call, case: Call) -> list[Pair]:
    """Load hello and a case in turn, once the process knows the parts that the case asks about."""
    for _ in range(WARMING):
        load(*case, CONNECTIONS)
    return [Pair(load(*hello, CONNECTIONS), load(*case, CONNECTIONS)) for _ in range(ROUNDS)]


def grown(path: str, pid: int, script: str) -> float:
    """Give by what share the workers' memory grew over the requests that are watched."""
    before, asked = memory_kib(pid), 0
    while asked < WATCHED:
        asked += load(path, pid, ("-s", script), CONNECTIONS).requests
    return memory_kib(pid) / before - 1


def memory_kib(pid: int) -> int:
    """Give the resident memory of a server's workers."""
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    pages = (Path(f"/proc/{child}/statm").read_text().split()[1] for child in children)
    return sum(int(page) * os.sysconf("SC_PAGE_SIZE") // 1024 for page in pages)


def table(engine: str, rounds: dict[str, list[Pair]], growth: float) -> None:
    """Print the rows of one engine; shares of hello are paired round by round."""
    for name, pairs in rounds.items():
        throughput = statistics.median(pair.case.per_second / pair.hello.per_second for pair in pairs)
        p99 = statistics.median(pair.case.p99_ms / pair.hello.p99_ms for pair in pairs)
        cpu = statistics.median(pair.case.cpu_us / pair.hello.cpu_us for pair in pairs)
        per_second = statistics.median(pair.case.per_second for pair in pairs)
        print(f"| {engine} | {name} | {per_second:.0f} | {throughput:.2f} | {p99:.1f} | {cpu:.1f} |", flush=True)
    print(f"{engine}: the workers grew by {100 * growth:.1f} % over {WATCHED:,} requests", flush=True)


def addresses(folder: Path, stack: ExitStack) -> Iterator[tuple[str, str]]:
    """Give an empty database of each engine."""
    yield "SQLite", f"sqlite:///{folder}/catalogue.db"
    server = stack.enter_context(postgresql())
    name = "mountwright_checkout"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"'.encode())
        yield "PostgreSQL", make_url(server).set(database=name).render_as_string(hide_password=False)
        connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


def main() -> int:
    """Print the table."""
    if shutil.which("wrk") is None:
        print("wrk is missing: apt-get install wrk", file=sys.stderr)
        return 1
    print("| engine | basket | per s | of hello | p99, hello's | CPU, hello's |")
    print("| --- | --- | --: | --: | --: | --: |", flush=True)
    with tempfile.TemporaryDirectory() as place, ExitStack() as stack:
        folder = Path(place)
        for engine, address in addresses(folder, stack):
            brought_in(address, PARTS, folder)
            table(engine, *measured(address, folder))
    return 0


if __name__ == "__main__":
    sys.exit(main())
