"""How much of a bare Flask hello the service answers: ``python tests/bench/throughput.py``.

Both run on one server configuration (gunicorn gthread, a worker a core, two threads, no
control socket), in turn within one run, under the same load generator (Debian's wrk: one
thread, 16 connections kept alive). Read the ratios; absolute figures belong to the machine.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import NamedTuple

from bodies import asked_before, never_asked

from mountwright.serving import served

ROUNDS = 5
SECONDS = 3
DISTINCT = 3000
HERE = Path(__file__).parent

SCRIPT = """
local bodies = {}
for line in io.lines("%s") do bodies[#bodies + 1] = line end
math.randomseed(os.time())
local at = math.random(#bodies)
wrk.method = "POST"
wrk.headers["Content-Type"] = "application/json"
request = function()
  at = at %% #bodies + 1
  return wrk.format(nil, nil, nil, bodies[at])
end
"""


class Round(NamedTuple):
    """One case under load for some seconds."""

    requests: int
    per_second: float
    p50_ms: float
    p99_ms: float
    cpu_us: float


def main() -> int:
    """Measure, print the table, give 1 where an answer was no success or wrk is missing."""
    if shutil.which("wrk") is None:
        print("wrk is missing: apt-get install wrk", file=sys.stderr)
        return 1
    with tempfile.TemporaryDirectory() as folder, ExitStack() as stack:
        environment = {**os.environ, "PYTHONPATH": f"{HERE}{os.pathsep}{os.environ.get('PYTHONPATH', '')}"}
        hello, hello_process = stack.enter_context(
            served(workers=None, env=environment, application="hello:create_app()")
        )
        service, process = stack.enter_context(served(workers=None, env=environment))
        path = f"{service}/v1/fit-checks"
        before = scripted(Path(folder), "asked_before", asked_before(DISTINCT))
        never = scripted(Path(folder), "never_asked", never_asked(DISTINCT))
        cases: dict[str, Callable[[], Round]] = {
            "hello": lambda: load(f"{hello}/", hello_process.pid, ()),
            "fit check, asked before": lambda: load(path, process.pid, ("-s", before)),
            "fit check, never asked": lambda: load(path, process.pid, ("-s", never)),
        }
        rounds: dict[str, list[Round]] = {name: [] for name in cases}
        for number in range(ROUNDS + 1):
            for name, measure in cases.items():
                found = measure()
                # The first round warms up and is not counted.
                rounds[name] += [found] if number else []
    _table(rounds)
    return 0


def scripted(folder: Path, name: str, bodies: list[dict[str, object]]) -> str:
    """Write a script by which the load generator sends bodies one after the other; give its path."""
    lines, script = (folder / f"{name.replace(' ', '-')}.{ending}" for ending in ("jsonl", "lua"))
    lines.write_text("\n".join(json.dumps(body) for body in bodies))
    script.write_text(SCRIPT % lines)
    return str(script)


def load(url: str, pid: int, script: tuple[str, ...], connections: int = 16) -> Round:
    """Load a server for some seconds.

    Parameters
    ----------
    url : str
    pid : int
        Of the server.
    script : tuple of str
        Arguments for a script, if any.
    connections : int
        Kept alive.
    """
    before = _cpu_s(pid)
    command = ["wrk", "-t1", f"-c{connections}", f"-d{SECONDS}s", "--latency", *script, url]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stdout  # our own command
    cpu = _cpu_s(pid) - before
    if "Non-2xx" in told or "Socket errors" in told:
        raise SystemExit(f"not every request was answered:\n{told}")
    requests = int(re.search(r"(\d+) requests in", told)[1])  # type: ignore[index]  # wrk always says so
    per_second = float(re.search(r"Requests/sec:\s+([\d.]+)", told)[1])  # type: ignore[index]
    return Round(requests, per_second, _latency(told, "50%"), _latency(told, "99%"), cpu / requests * 1e6)


def _latency(told: str, share: str) -> float:
    value, unit = re.search(rf"{share}\s+([\d.]+)(us|ms|s)", told).groups()  # type: ignore[union-attr]
    return float(value) * {"us": 1e-3, "ms": 1.0, "s": 1e3}[unit]


def _cpu_s(pid: int) -> float:
    """Give the processor time of a process and its children, seconds."""
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    ticks = 0
    for each in [str(pid), *children]:
        fields = Path(f"/proc/{each}/stat").read_text().rpartition(")")[2].split()
        ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def _table(rounds: dict[str, list[Round]]) -> None:
    base = rounds["hello"]
    print(f"{ROUNDS} rounds of {SECONDS} s each, {os.cpu_count()} workers of 2 threads; medians")
    print(f"{'case':<26}{'per s':>8}{'p50 ms':>8}{'p99 ms':>8}{'CPU us':>8}{'throughput':>12}{'CPU':>8}")
    for name, found in rounds.items():
        throughput = statistics.median(
            each.per_second / other.per_second for each, other in zip(found, base, strict=True)
        )
        cpu = statistics.median(other.cpu_us / each.cpu_us for each, other in zip(found, base, strict=True))
        row = [statistics.median(column) for column in zip(*found, strict=True)][1:]
        print(f"{name:<26}{row[0]:>8.0f}{row[1]:>8.1f}{row[2]:>8.1f}{row[3]:>8.0f}{throughput:>12.2f}{cpu:>8.2f}")
    print("throughput and CPU are shares of hello's, paired round by round: 1.00 would cost no more than hello")


if __name__ == "__main__":
    sys.exit(main())
