"""The service as a process: workers that agree, bodies that are too large, and a clean end."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import pytest
import requests

Serving = Callable[..., AbstractContextManager[tuple[str, subprocess.Popen[bytes], Path]]]

JSON = {"Content-Type": "application/json"}

#: The largest body, bytes, inclusive.
LARGEST = 256 * 1024

BOLTS = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
READ = {**BOLTS, "dimensions": {"hole_spacing_mm": {"value": 164.6, "instrument": "steel_rule"}}}
BODY = json.dumps({"skate": {"mounts": [READ]}, "parts": [{"kind": "frame", "mounts": [BOLTS]}]}).encode()


def posted(address: str, body: bytes | Iterator[bytes]) -> requests.Response:
    """Give the answer to a fit check; an iterator is sent in chunks, its length not said beforehand."""
    return requests.post(f"{address}/v1/fit-checks", data=body, headers=JSON, timeout=30)


def padded(length: int) -> bytes:
    """Give the question, made longer by white space that JSON does not care about."""
    return BODY.ljust(length)


def chunks(body: bytes) -> Iterator[bytes]:
    """Give a body in pieces of 8 KiB."""
    yield from (body[start : start + 8192] for start in range(0, len(body), 8192))


@contextmanager
def held_still(worker: int) -> Iterator[None]:
    """Stop a worker for a while, so that another one has to answer."""
    os.kill(worker, signal.SIGSTOP)
    try:
        yield
    finally:
        os.kill(worker, signal.SIGCONT)


def answers_without(worker: int, address: str, count: int) -> list[bytes]:
    """Give the answers of whoever is left while one worker is held still."""
    with held_still(worker):
        return [posted(address, BODY).content for _ in range(count)]


def test_the_same_request_gives_the_same_bytes_from_either_worker(serving: Serving) -> None:
    """Each of two workers answers twenty times while the other one is held still: one body in all."""
    with serving(workers=2) as (address, _, log):
        workers = [int(pid) for pid in re.findall(r"Booting worker with pid: (\d+)", log.read_text(encoding="utf-8"))]
        bodies = [body for worker in workers for body in answers_without(worker, address, 20)]
    assert (2, 40) == (len(set(workers)), len(bodies))
    assert 1 == len(set(bodies))


@pytest.mark.parametrize("sent", [bytes, chunks], ids=["at_once", "in_chunks"])
def test_a_body_of_just_256_kib_is_answered(address: str, sent: Callable[[bytes], bytes | Iterator[bytes]]) -> None:
    """The limit is inclusive."""
    assert "fits" == posted(address, sent(padded(LARGEST))).json()["verdict"]


@pytest.mark.parametrize("sent", [bytes, chunks], ids=["at_once", "in_chunks"])
@pytest.mark.parametrize("length", [LARGEST + 1, 8 * LARGEST])
def test_a_body_over_256_kib_is_refused_as_a_problem(
    address: str, sent: Callable[[bytes], bytes | Iterator[bytes]], length: int
) -> None:
    """The refusal is a problem document with the limit in it, also where the length was not said beforehand."""
    answer = posted(address, sent(padded(length)))
    assert (413, "application/problem+json") == (answer.status_code, answer.headers["Content-Type"])
    assert ("too_large", {"limit": LARGEST}) == (answer.json()["code"], answer.json()["params"])


def test_sigterm_ends_the_service_without_a_complaint(serving: Serving) -> None:
    """The process ends by itself with code 0, and the log shows no error."""
    with serving() as (_, process, log):
        process.terminate()
        assert 0 == process.wait(timeout=30)
        assert not re.search(r"\[(ERROR|CRITICAL)\]|Traceback", log.read_text(encoding="utf-8"))


def test_sigterm_lets_a_request_that_is_under_way_be_answered(serving: Serving) -> None:
    """The body arrives after the signal; the worker had said that it waits for it."""
    with serving() as (address, process, _):
        where = urlsplit(address)
        with socket.create_connection((where.hostname, where.port), timeout=30) as line, line.makefile("rb") as answer:
            line.sendall(
                b"POST /v1/fit-checks HTTP/1.1\r\nHost: mountwright\r\nContent-Type: application/json\r\n"
                b"Expect: 100-continue\r\nContent-Length: %d\r\n\r\n" % len(BODY)
            )
            assert b"HTTP/1.1 100 Continue\r\n" == answer.readline()
            process.terminate()
            line.sendall(BODY)
            assert b"\r\n" == answer.readline()
            assert b"HTTP/1.1 200 OK\r\n" == answer.readline()
        assert 0 == process.wait(timeout=30)
