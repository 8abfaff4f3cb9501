"""A stage on which a server plays any fault, and the invented shop behind a real one."""

from __future__ import annotations

import json
import os
import socket
import socketserver
import struct
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from http import HTTPStatus
from threading import Event, Thread
from typing import Any

import pytest

from mountwright.bootstrap import create_workshop, ready_catalogue
from mountwright.demo.loading import load_demo
from mountwright.serving import served
from mountwright.settings import Settings

#: Plays one answer, whatever it is, on a connection; the event ends what would go on.
Act = Callable[[socket.socket, Event], None]

#: No act goes on for longer, should nobody end it, seconds.
_CURTAIN_S = 120.0


class Stage(socketserver.ThreadingTCPServer):
    """Plays one act a connection, the last one again and again, and keeps what it heard."""

    daemon_threads = True
    request_queue_size = 256

    def __init__(self, acts: tuple[Act, ...]) -> None:
        self.acts, self.heard, self.over = acts, list[str](), Event()
        super().__init__(("127.0.0.1", 0), _Player)

    @property
    def address(self) -> str:
        """Where it listens."""
        return f"http://127.0.0.1:{self.server_address[1]}"


class _Player(socketserver.StreamRequestHandler):
    def handle(self) -> None:
        stage = self.server
        assert isinstance(stage, Stage)
        head = b"".join(iter(self.rfile.readline, b"\r\n")).decode()
        lengths = [
            int(line.partition(":")[2]) for line in head.splitlines() if line.lower().startswith("content-length:")
        ]
        stage.heard.append(head + "\n" + self.rfile.read(sum(lengths)).decode())
        stage.acts[min(len(stage.heard), len(stage.acts)) - 1](self.request, stage.over)


class Acts:
    """What a server may do with a question."""

    @staticmethod
    def text(status: int, content: str, media_type: str = "application/json", **headers: str) -> bytes:
        """Give a whole answer as it goes over the wire."""
        told = {"Content-Type": media_type, "Content-Length": len(content.encode()), "Connection": "close", **headers}
        lines = [f"HTTP/1.1 {status} {HTTPStatus(status).phrase}", *(f"{name}: {told[name]}" for name in told)]
        return ("\r\n".join(lines) + "\r\n\r\n" + content).encode()

    @classmethod
    def says(cls, body: Any, status: int = 200, **more: str) -> Act:
        """Answer with JSON."""
        return cls.sends(cls.text(status, json.dumps(body), **more))

    @staticmethod
    def sends(whole: bytes) -> Act:
        """Answer with these bytes, and close."""
        return lambda line, _over: line.sendall(whole)

    @staticmethod
    def slowly(whole: bytes, at_once: int = 0) -> Act:
        """Answer with some bytes at once and then with one every 50 ms."""

        def act(line: socket.socket, over: Event) -> None:
            line.sendall(whole[:at_once])
            for each in whole[at_once:]:
                if over.wait(0.05):
                    return
                line.sendall(bytes([each]))

        return act

    @staticmethod
    def stalls(part: bytes) -> Act:
        """Answer with these bytes, and keep the connection."""

        def act(line: socket.socket, over: Event) -> None:
            line.sendall(part)
            over.wait(_CURTAIN_S)

        return act

    @staticmethod
    def silent(_line: socket.socket, over: Event) -> None:
        """Say nothing, and keep the connection."""
        over.wait(_CURTAIN_S)

    @staticmethod
    def hangs_up(_line: socket.socket, _over: Event) -> None:
        """Close the connection without an answer."""

    @staticmethod
    def resets(line: socket.socket, _over: Event) -> None:
        """Reset the connection without an answer."""
        line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        line.close()


@contextmanager
def _playing(acts: tuple[Act, ...]) -> Iterator[Stage]:
    with Stage(acts) as stage:
        Thread(target=stage.serve_forever, args=(0.01,), daemon=True).start()
        try:
            yield stage
        finally:
            stage.over.set()
            stage.shutdown()


@pytest.fixture(scope="session")
def acts() -> type[Acts]:
    """Give what a server may do."""
    return Acts


@pytest.fixture
def play() -> Iterator[Callable[..., Stage]]:
    """Give what starts a server that plays these acts, one a connection."""
    with ExitStack() as stages:
        yield lambda *acts: stages.enter_context(_playing(acts))


@pytest.fixture(scope="session")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Give the address of a real service with the invented shop's catalogue."""
    settings = replace(Settings.from_env(), database=f"sqlite:///{tmp_path_factory.mktemp('shop') / 'catalogue.db'}")
    workshop = create_workshop(settings)
    ready_catalogue(workshop.engines)
    load_demo(workshop)
    workshop.engines.close()
    with served(env={**os.environ, "MOUNTWRIGHT_DATABASE": settings.database}) as (address, _):
        yield address
