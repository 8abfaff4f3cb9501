"""How gunicorn is started, and why so."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

import requests

from mountwright.errors import MountwrightError

APPLICATION = "mountwright.bootstrap:create_app()"

#: Longest wait for a service to come up or to go down.
_WAIT_S = 30


def gunicorn_arguments(host: str, port: int, workers: int | None = None, application: str = APPLICATION) -> list[str]:
    """Give the command line that serves the application.

    Parameters
    ----------
    host : str
    port : int
        0 takes a free one.
    workers : int or None
        None for one a core: the work is bound by the processor, not by waiting.
    application : str
        What is served.
    """
    return [
        sys.executable,
        "-m",
        "gunicorn",
        "--bind",
        f"{host}:{port}",
        "--workers",
        str(workers or os.cpu_count() or 1),
        # Two threads let a worker read the next request while one is computed; more only fight for the interpreter.
        "--worker-class",
        "gthread",
        "--threads",
        "2",
        "--keep-alive",
        "15",
        "--timeout",
        "30",
        "--graceful-timeout",
        "20",
        # The control socket is written to the user's home, which a read-only container does not have.
        "--no-control-socket",
        application,
    ]


def free_port() -> int:
    """Give a port on loopback that nobody listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def served(
    port: int = 0,
    workers: int | None = 1,
    env: Mapping[str, str] | None = None,
    application: str = APPLICATION,
) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """Serve on loopback while the block runs; gives the address and the process.

    Parameters
    ----------
    port : int
        0 takes a free one.
    workers : int or None
        None for one a core.
    env : Mapping or None
        Instead of this process's environment.
    application : str
        What is served.

    Raises
    ------
    MountwrightError
        When the service does not come up.
    """
    port = port or free_port()
    command = [*gunicorn_arguments("127.0.0.1", port, workers, application), "--log-level", "warning"]
    process = subprocess.Popen(command, env=dict(os.environ if env is None else env))  # noqa: S603  # our own command
    try:
        _await(f"http://127.0.0.1:{port}", process)
        yield f"http://127.0.0.1:{port}", process
    finally:
        process.terminate()
        process.wait(timeout=_WAIT_S)


def _await(address: str, process: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + _WAIT_S
    while time.monotonic() < deadline:
        if process.poll() is not None:
            raise MountwrightError(f"the service ended with code {process.returncode} before it answered")
        try:
            requests.get(f"{address}/healthz", timeout=1)
            return
        except requests.RequestException:
            time.sleep(0.05)
    raise MountwrightError(f"the service did not answer at {address} within {_WAIT_S} s")
