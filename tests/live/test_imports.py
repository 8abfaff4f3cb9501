"""Files sent to a real service: taken in by one copy, told of by any, whole or not at all whatever dies meanwhile."""

from __future__ import annotations

import json
import os
import re
import resource
import shutil
import signal
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import urlsplit

import psycopg
import pytest
import requests
from sqlalchemy import func, select
from sqlalchemy.engine import make_url

from mountwright.catalogue.engines import opened
from mountwright.catalogue.import_jobs import GRACE_S
from mountwright.catalogue.keys import created
from mountwright.catalogue.tables import ARTICLES, IMPORTS

Json = dict[str, Any]
Serving = Callable[..., AbstractContextManager[tuple[str, Any, Path]]]

CSV, JSON_LINES = "text/csv", "application/jsonl"

#: A busy machine may need this long to bring a small file in, seconds.
PATIENCE_S = 60

MEBIBYTE = 1024 * 1024

BOLTS = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
FRAMES = b"sku,kind,name,frame.standard,frame.claimed_by\n" + b"".join(
    f"frame-{number},frame,Frame {number},two-bolt-165,maker\n".encode() for number in range(3)
)


class Shop(NamedTuple):
    """A shop with a key, before one or more copies of a service.

    Parameters
    ----------
    addresses : tuple of str
        Of the copies.
    workers : tuple of int
        The one worker of each.
    database : str
    key : str
        Opens writes.
    uploads : Path
        Where files lie that were sent.
    """

    addresses: tuple[str, ...]
    workers: tuple[int, ...]
    database: str
    key: str
    uploads: Path

    @property
    def headers(self) -> dict[str, str]:
        """Give the header that shows the key."""
        return {"Authorization": f"Bearer {self.key}"}

    def sends(self, body: bytes | Iterator[bytes], media_type: str = CSV, query: str = "") -> requests.Response:
        """Send a file to the first copy."""
        headers = {**self.headers, "Content-Type": media_type}
        return requests.post(f"{self.addresses[0]}/v1/imports{query}", data=body, headers=headers, timeout=PATIENCE_S)

    def sent(self, body: bytes | Iterator[bytes], media_type: str = CSV, query: str = "") -> str:
        """Send a file that is taken; give the path where its import is told of."""
        answer = self.sends(body, media_type, query)
        assert answer.status_code == 202, answer.text
        return answer.headers["Location"]

    def asks(self, path: str, copy: int = 0) -> Json:
        """Ask a copy for an import."""
        answer = requests.get(f"{self.addresses[copy]}{path}", headers=self.headers, timeout=PATIENCE_S)
        assert answer.status_code == 200, answer.text
        found: Json = answer.json()
        return found

    def told(self, path: str, copy: int = 0) -> Json:
        """Wait for the end of an import; give what is told of it."""
        return awaited(lambda: found if (found := self.asks(path, copy))["state"] not in UNDER_WAY else None)

    def version(self, sku: str) -> str | None:
        """Give the version of the catalogue by which a fit check of a part is answered, None for an unknown part."""
        body = {"skate": {"mounts": [BOLTS]}, "parts": [{"sku": sku}]}
        answer = requests.post(f"{self.addresses[0]}/v1/fit-checks", json=body, timeout=PATIENCE_S)
        return answer.json()["receipt"]["catalogue"] if answer.status_code == 200 else None

    def count(self, table: Any) -> int:
        """Give how many rows a table has."""
        engines = opened(self.database)
        with engines.reading() as connection:
            found: int = connection.scalar(select(func.count()).select_from(table))
        engines.close()
        return found

    @property
    def second(self) -> Shop:
        """Give the shop as it stands before the second copy."""
        return self._replace(addresses=self.addresses[1:], workers=self.workers[1:])

    @property
    def left(self) -> list[str]:
        """Give the files that were sent and are still there."""
        return [path.name for path in self.uploads.glob("mountwright-import-*")]


UNDER_WAY = ("waiting", "running")


def awaited(look: Callable[[], Any], seconds: float = PATIENCE_S) -> Any:
    """Wait until a look gives something, and give it."""
    deadline = time.monotonic() + seconds
    while not (found := look()):
        assert time.monotonic() < deadline, "waited in vain"
        time.sleep(0.05)
    return found


def importer_of(path: str) -> int:
    """Wait for the process that brings a file in; give its id."""
    return awaited(lambda: next(_processes_of(path.rpartition("/")[2].encode()), None))


def _processes_of(word: bytes) -> Iterator[int]:
    for process in Path("/proc").glob("[0-9]*"):
        try:
            words = process.joinpath("cmdline").read_bytes().split(b"\0")
        except OSError:
            continue
        if b"run-import" in words and word in words:
            yield int(process.name)


def is_gone(process: int) -> bool:
    """Tell whether a process has ended, waited for or not."""
    try:
        return "(zombie)" in Path(f"/proc/{process}/status").read_text(encoding="utf-8")
    except OSError:
        return True


@contextmanager
def held_still(process: int) -> Iterator[None]:
    """Stop a process for a while."""
    os.kill(process, signal.SIGSTOP)
    try:
        yield
    finally:
        os.kill(process, signal.SIGCONT)


def most_resident(process: int) -> int:
    """Give the most memory that a process has had at a time, bytes."""
    status = Path(f"/proc/{process}/status").read_text(encoding="utf-8")
    return int(re.findall(r"VmHWM:\s*(\d+) kB", status)[0]) * 1024


def parts(count: int, name: str = "Frame") -> bytes:
    """Give so many frames as JSON Lines."""
    rows = ({"sku": f"f-{number}", "kind": "frame", "name": name, "mounts": [BOLTS]} for number in range(count))
    return b"".join(json.dumps(row).encode() + b"\n" for row in rows)


def blocks(body: bytes) -> Iterator[bytes]:
    """Give a body in pieces, so that it is sent in chunks."""
    yield from (body[start : start + 8192] for start in range(0, len(body), 8192))


@contextmanager
def opened_shop(serving: Serving, database: str, uploads: Path, copies: int = 1, **settings: str) -> Iterator[Shop]:
    """Give a shop before so many copies of the service."""
    settings = {"MOUNTWRIGHT_DATABASE": database, "TMPDIR": str(uploads), **settings}
    engines = opened(database)
    key = created(engines, "bell", ["write"], None, datetime.now(UTC))
    engines.close()
    with ExitStack() as running:
        services = [running.enter_context(serving(**settings)) for _ in range(copies)]
        pids = [re.findall(r"Booting worker with pid: (\d+)", log.read_text(encoding="utf-8")) for *_, log in services]
        yield Shop(tuple(at for at, *_ in services), tuple(int(pid[0]) for pid in pids), database, key, uploads)


@pytest.fixture(scope="module")
def shop(serving: Serving, sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """Give a shop before one copy with a file of its own; files to import of 8 MiB at most."""
    place, uploads = tmp_path_factory.mktemp("catalogue") / "catalogue.db", tmp_path_factory.mktemp("uploads")
    shutil.copy(sqlite_template, place)
    limit = str(8 * MEBIBYTE)
    with opened_shop(serving, f"sqlite:///{place}", uploads, MOUNTWRIGHT_MAX_IMPORT_BYTES=limit) as found:
        yield found


@pytest.fixture(scope="module")
def chain(
    serving: Serving, postgresql_server: str, postgresql_template: str, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Shop]:
    """Give a shop before two copies on one PostgreSQL database."""
    name = f"{postgresql_template}_chain"
    database = make_url(postgresql_server).set(database=name).render_as_string(hide_password=False)
    with psycopg.connect(postgresql_server, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}" TEMPLATE "{postgresql_template}"'.encode())
        with opened_shop(serving, database, tmp_path_factory.mktemp("uploads"), copies=2) as found:
            yield found
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


def test_a_file_is_brought_in_and_answered_by(shop: Shop) -> None:
    """The import is told as done, and a second later a question is answered by the version that it names."""
    told = shop.told(shop.sent(FRAMES.replace(b"frame-", b"new-")))
    time.sleep(1)

    assert ("done", {"families": 0, "parts": 3, "skates": 0}, 3) == (told["state"], told["counts"], told["changed"])
    assert told["catalogue"] == shop.version("new-1")
    assert [] == shop.left


def test_a_file_that_is_sent_again_changes_nothing(shop: Shop) -> None:
    """The same rows in other words and in chunks: nothing changes, and the version stays."""
    first = shop.told(shop.sent(parts(5), JSON_LINES))
    again = shop.told(shop.sent(blocks(parts(5)), "application/x-ndjson"))

    assert (5, 0) == (again["counts"]["parts"], again["changed"])
    assert first["catalogue"] == again["catalogue"]


def test_a_dry_run_keeps_nothing(shop: Shop) -> None:
    """It says what would change."""
    told = shop.told(shop.sent(b'{"sku":"dry","kind":"frame","name":"Dry"}\n', JSON_LINES, "?dry_run=true"))

    assert ("done", 1, None) == (told["state"], told["changed"], told["catalogue"])
    assert shop.version("dry") is None


def test_a_decimal_comma_may_be_declared(shop: Shop) -> None:
    """Semicolons stand between the cells then."""
    body = b"sku;kind;name;frame.hole_spacing_mm;frame.instrument\ncomma;frame;Comma;164,6;caliper\n"

    assert "failed" == shop.told(shop.sent(body))["state"]
    assert "done" == shop.told(shop.sent(body, query="?decimal_comma=true"))["state"]


def test_every_fault_is_told_by_row_and_column(shop: Shop) -> None:
    """Nothing of the file is kept, not even its good rows."""
    before = shop.count(ARTICLES)
    rows = b"ok-1,frame,Sound,1\nok-1,frame,Twice,\nno-1,frame,Few,few\nno 2,frame,Apart,\n"
    told = shop.told(shop.sent(b"\xef\xbb\xbfsku,kind,name,stock\n" + rows))
    places = [(fault["row"], fault["column"], fault["code"]) for fault in told["faults"]]

    assert ("failed", 3, None) == (told["state"], told["fault_count"], told["catalogue"])
    assert {(3, "sku", "import.twice"), (4, "stock", "request.not_number"), (5, "sku", "request.form")} == set(places)
    assert "first in the file, row 2" in next(each["detail"] for each in told["faults"] if each["row"] == 3)
    assert before == shop.count(ARTICLES)


def test_only_the_shop_that_sent_a_file_is_told_of_it(shop: Shop) -> None:
    """To another one it is as if there were none."""
    path = shop.sent(FRAMES)
    engines = opened(shop.database)
    other = shop._replace(key=created(engines, "horn", ["write"], None, datetime.now(UTC)))
    engines.close()
    answer = requests.get(f"{shop.addresses[0]}{path}", headers=other.headers, timeout=PATIENCE_S)

    assert (404, "no_such_import") == (answer.status_code, answer.json()["code"])
    assert "done" == shop.told(path)["state"]


def test_of_two_files_at_once_one_is_refused(shop: Shop) -> None:
    """At once, with when to try again."""
    path = shop.sent(FRAMES)
    with held_still(importer_of(path)):
        second = shop.sends(FRAMES)
        assert (409, "import_runs") == (second.status_code, second.json()["code"])
        assert {"Retry-After"} <= set(second.headers)
    assert "done" == shop.told(path)["state"]


@pytest.mark.parametrize("sent", [bytes, blocks], ids=["at_once", "in_chunks"])
def test_a_file_of_just_the_limit_is_taken(shop: Shop, sent: Callable[[bytes], bytes | Iterator[bytes]]) -> None:
    """The limit is inclusive, and far above that of other bodies."""
    record = parts(1)
    empty = [b" " * (MEBIBYTE - 1) + b"\n"] * 7 + [b" " * (MEBIBYTE - 1 - len(record)) + b"\n"]

    assert "done" == shop.told(shop.sent(sent(b"".join([record, *empty])), JSON_LINES))["state"]


@pytest.mark.parametrize("sent", [bytes, blocks], ids=["at_once", "in_chunks"])
@pytest.mark.parametrize("length", [8 * MEBIBYTE + 1, 64 * MEBIBYTE])
def test_a_file_over_the_limit_is_refused_and_never_in_memory(
    shop: Shop, sent: Callable[[bytes], bytes | Iterator[bytes]], length: int
) -> None:
    """The refusal is a problem with the limit in it; nothing is left on the disk. The server itself keeps some MiB."""
    Path(f"/proc/{shop.workers[0]}/clear_refs").write_text("5", encoding="ascii")  # begins to measure the most anew
    before = most_resident(shop.workers[0])
    answer = shop.sends(sent(bytes(length)))

    assert (413, {"limit": 8 * MEBIBYTE}) == (answer.status_code, answer.json()["params"])
    assert [] == shop.left
    assert most_resident(shop.workers[0]) < before + 8 * MEBIBYTE


@pytest.mark.parametrize(
    "body",
    [
        b"Content-Length: 100\r\n\r\nsku,kind,name\n",
        b"Transfer-Encoding: chunked\r\n\r\ne\r\nsku,kind,name\n\r\n",
        b"Transfer-Encoding: chunked\r\n\r\ne\r\nsku,kind,name\n",
        b"Transfer-Encoding: chunked\r\n\r\n64\r\nsku,kind,name\n",
        b"Transfer-Encoding: chunked\r\n\r\ne\r\nsku,kind,name\n\r\n0",
    ],
    ids=["of a length", "after a chunk", "at a chunk", "in a chunk", "at the last chunk"],
)
def test_a_body_that_is_cut_short_leaves_nothing(shop: Shop, body: bytes) -> None:
    """Whoever sent it and still listens is told; there is neither an import nor a file."""
    before, where = shop.count(IMPORTS), urlsplit(shop.addresses[0])
    head = f"POST /v1/imports HTTP/1.1\r\nHost: m\r\nContent-Type: text/csv\r\nAuthorization: Bearer {shop.key}\r\n"
    with socket.create_connection((where.hostname, where.port), timeout=PATIENCE_S) as line:
        line.sendall(head.encode() + body)
        line.shutdown(socket.SHUT_WR)
        answer = line.makefile("rb").read()

    assert (b"HTTP/1.1 400", True) == (answer[:12], b'"code":"cut_short"' in answer)
    assert (before, []) == (shop.count(IMPORTS), shop.left)


def test_a_sender_who_hangs_up_leaves_nothing(shop: Shop) -> None:
    """The connection is gone in the middle of the file."""
    before, where = shop.count(IMPORTS), urlsplit(shop.addresses[0])
    head = f"POST /v1/imports HTTP/1.1\r\nHost: m\r\nContent-Type: text/csv\r\nAuthorization: Bearer {shop.key}\r\n"
    with socket.create_connection((where.hostname, where.port), timeout=PATIENCE_S) as line:
        line.sendall(head.encode() + b"Content-Length: 1000000\r\n\r\n" + bytes(500_000))
        awaited(lambda: shop.left)
    awaited(lambda: not shop.left)
    assert before == shop.count(IMPORTS)


def test_a_full_disk_is_told_and_leaves_nothing(serving: Serving, sqlite_database: str, tmp_path: Path) -> None:
    """A worker that may write no file above 1 MiB refuses a larger one, and takes a smaller one afterwards."""
    with opened_shop(serving, sqlite_database, tmp_path) as shop:
        resource.prlimit(shop.workers[0], resource.RLIMIT_FSIZE, (MEBIBYTE, MEBIBYTE))
        answer = shop.sends(bytes(2 * MEBIBYTE))
        assert (503, "no_room", True) == (answer.status_code, answer.json()["code"], "Retry-After" in answer.headers)
        assert (0, []) == (shop.count(IMPORTS), shop.left)

        # The importer has the same limit: what it sets down while it reads is larger than the file.
        told = shop.told(shop.sent(parts(7000, "F"), JSON_LINES))
        assert ("failed", ["import.broken_off"]) == (told["state"], [fault["code"] for fault in told["faults"]])
        assert "done" == shop.told(shop.sent(FRAMES))["state"]


def test_an_importer_that_is_killed_leaves_the_old_catalogue(shop: Shop) -> None:
    """The import is told as interrupted at once, its file is gone, and the next one is taken."""
    old = shop.told(shop.sent(FRAMES))["catalogue"]
    path = shop.sent(parts(20_000, "Late"), JSON_LINES)
    importer = importer_of(path)
    awaited(lambda: shop.asks(path)["state"] == "running")
    os.kill(importer, signal.SIGKILL)

    assert awaited(lambda: shop.asks(path)["state"] == "interrupted", seconds=GRACE_S - 4)
    assert (old, []) == (shop.version("frame-1"), awaited(lambda: not shop.left) and shop.left)
    assert "done" == shop.told(shop.sent(FRAMES))["state"]


@pytest.mark.parametrize("delay_s", [0.2, 0.8, 1.4, 2.0, 2.6])
def test_what_is_told_of_a_killed_import_is_what_was_kept(shop: Shop, delay_s: float) -> None:
    """Done means all of the rows, interrupted none, at whatever moment the importer was killed."""
    prefix = f"{int(delay_s * 10)}-"
    rows = [{"sku": f"{prefix}{number}", "kind": "frame", "name": "Struck"} for number in range(1000)]
    path = shop.sent(b"".join(json.dumps(row).encode() + b"\n" for row in rows), JSON_LINES)
    before = shop.count(ARTICLES)
    importer = importer_of(path)
    awaited(lambda: shop.asks(path)["state"] != "waiting")
    time.sleep(delay_s - 0.2)
    if not is_gone(importer):
        os.kill(importer, signal.SIGKILL)

    told = shop.told(path)["state"]
    engines = opened(shop.database)
    with engines.reading() as connection:
        kept = connection.scalar(select(func.count()).where(ARTICLES.c.sku.startswith(prefix)))
    engines.close()
    assert {"done": 1000, "interrupted": 0}[told] == kept
    assert before in (shop.count(ARTICLES), shop.count(ARTICLES) - 1000)


def test_the_other_copy_tells_of_an_import(chain: Shop) -> None:
    """One copy takes the file; the other one tells how far it is, what became of it, and that it is under way."""
    path = chain.sent(FRAMES)
    with held_still(importer_of(path)):
        assert "waiting" == chain.asks(path, copy=1)["state"]
        assert 409 == chain.second.sends(FRAMES).status_code
    told = chain.told(path, copy=1)

    assert ("done", told) == (told["state"], chain.asks(path))


def test_the_other_copy_finds_an_importer_gone(chain: Shop) -> None:
    """Its own copy cannot say so any more: the other one tells by the importer's silence, and takes the next file."""
    before = chain.count(ARTICLES)
    path = chain.sent(parts(20_000), JSON_LINES)
    awaited(lambda: chain.asks(path)["state"] == "running")
    with held_still(chain.workers[0]):
        os.kill(importer_of(path), signal.SIGKILL)
        assert "running" == chain.asks(path, copy=1)["state"]
        assert "interrupted" == chain.told(path, copy=1)["state"]
        assert before == chain.count(ARTICLES)
        assert "done" == chain.second.told(chain.second.sent(FRAMES))["state"]


def test_an_import_outlives_the_copy_that_took_it(serving: Serving, chain: Shop, tmp_path: Path) -> None:
    """A copy that is told to go goes; what it has started is done, and another one tells."""
    with opened_shop(serving, chain.database, tmp_path) as going:
        path = going.sent(FRAMES)
        importer = importer_of(path)
        os.kill(importer, signal.SIGSTOP)
    assert importer == os.getsid(importer)  # a key that is pressed at the copy's terminal does not reach it
    os.kill(importer, signal.SIGCONT)

    assert "done" == chain._replace(key=going.key).told(path)["state"]
    assert [] == going.left
