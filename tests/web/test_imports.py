"""Files sent to the service: what is taken, what is refused, and that both are as the contract says."""

from __future__ import annotations

import io
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from flask import Flask
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator
from sqlalchemy import select
from werkzeug.test import TestResponse

from mountwright.bootstrap import create_app
from mountwright.catalogue.engines import Engines, opened
from mountwright.catalogue.import_job import Finding, JobReport
from mountwright.catalogue.import_jobs import admitted, begun, failed
from mountwright.catalogue.import_lock import importing_alone
from mountwright.catalogue.keys import created
from mountwright.catalogue.tables import IMPORTS
from mountwright.settings import Settings

Json = dict[str, Any]

POST, GET = ("/v1/imports", "post"), ("/v1/imports/{job_id}", "get")

#: The largest file, bytes, inclusive.
LARGEST = 100_000

#: A busy machine may need this long to bring a small file in, seconds.
PATIENCE_S = 60


class Counter(NamedTuple):
    """A service with its catalogue, and ways to come with a key of the scope to write."""

    app: Flask
    engines: Engines
    key: str
    contract: Json

    @property
    def client(self) -> FlaskClient:
        """Give a client."""
        return self.app.test_client()

    def send(self, body: bytes = b"sku,kind,name\n", media_type: str = "text/csv", query: str = "") -> TestResponse:
        """Send a file."""
        headers = {"Authorization": f"Bearer {self.key}"}
        return self.client.post(f"/v1/imports{query}", data=body, content_type=media_type, headers=headers)

    def ask(self, job_id: str, key: str | None = None) -> TestResponse:
        """Ask for an import."""
        return self.client.get(f"/v1/imports/{job_id}", headers={"Authorization": f"Bearer {key or self.key}"})

    def held(self, place: tuple[str, str], answer: TestResponse) -> Json:
        """Give an answer that keeps to the contract."""
        path, method = place
        content = self.contract["paths"][path][method]["responses"][str(answer.status_code)]["content"]
        schema = {**content[answer.content_type]["schema"], "components": self.contract["components"]}
        found: Json = answer.get_json()
        Draft202012Validator(schema).validate(found)
        return found

    def told(self, job: Json) -> Json:
        """Wait for the end of an import; give what is told of it."""
        deadline = time.monotonic() + PATIENCE_S
        while (found := self.held(GET, self.ask(job["id"])))["state"] in ("waiting", "running"):
            assert time.monotonic() < deadline
            time.sleep(0.1)
        return found

    def refused(self, place: tuple[str, str], answer: TestResponse) -> tuple[int, str]:
        """Give status and code of a refusal that keeps to the contract."""
        return answer.status_code, self.held(place, answer)["code"]


@pytest.fixture
def counter(sqlite_database: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Counter]:
    """Give a service with an empty catalogue; what is sent to it lies in a folder of its own."""
    (tmp_path / "uploads").mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "uploads"))
    engines = opened(sqlite_database)
    key = created(engines, "bell", ["write"], None, datetime.now(UTC))
    app = create_app(Settings(database=sqlite_database, max_import_bytes=LARGEST))
    yield Counter(app, engines, key, app.test_client().get("/openapi.json").get_json())
    engines.close()
    app.extensions["mountwright"].engines.close()


@pytest.fixture
def nothing_left(counter: Counter, tmp_path: Path) -> Callable[[], bool]:
    """Give what tells whether there is neither an import nor a file."""

    def look() -> bool:
        with counter.engines.reading() as connection:
            return not connection.execute(select(IMPORTS)).all() and not list((tmp_path / "uploads").iterdir())

    return look


def test_a_file_is_taken_and_told_of(counter: Counter) -> None:
    """It waits, and where to ask is said; in the end it is done."""
    answer = counter.send(b"sku,kind,name\nframe-1,frame,Frame\n")
    job = counter.held(POST, answer)
    assert (202, "waiting", f"/v1/imports/{job['id']}") == (
        answer.status_code,
        job["state"],
        answer.headers["Location"],
    )

    found = counter.told(job)
    assert ("done", 1) == (found["state"], found["changed"])


def test_faults_are_told_in_sentences(counter: Counter) -> None:
    """Codes and params are kept; the sentence is made when somebody asks."""
    job = admitted(counter.engines, "bell", datetime.now(UTC))
    twice = Finding(3, "sku", "import.twice", {"found": "'f-1'", "file": "the file", "line": 2})
    failed(counter.engines, job.id, JobReport(fault_count=1, faults=(twice,)), datetime.now(UTC))
    found = counter.held(GET, counter.ask(job.id))

    sentence = "Found 'f-1' again, first in the file, row 2: expected once."
    assert [{**twice._asdict(), "detail": sentence}] == found["faults"]


@pytest.mark.parametrize("media_type", ["application/json", "text/plain", "multipart/form-data", ""])
def test_what_is_no_such_file_is_refused(counter: Counter, nothing_left: Callable[[], bool], media_type: str) -> None:
    """CSV and JSON Lines are told apart by the media type, and there is no third."""
    assert (415, "no_file") == counter.refused(POST, counter.send(media_type=media_type))
    assert nothing_left()


@pytest.mark.parametrize("media_type", ["text/csv; charset=utf-8", "application/jsonl", "application/x-ndjson"])
def test_csv_and_json_lines_are_taken(counter: Counter, media_type: str) -> None:
    """By any of their media types."""
    answer = counter.send(b"", media_type, "?dry_run=true")

    assert 202 == answer.status_code
    assert ["import.empty_file"] == [fault["code"] for fault in counter.told(answer.get_json())["faults"]]


@pytest.mark.parametrize(
    ("query", "pointers"),
    [
        ("?dry_run=yes", ["/query/dry_run"]),
        ("?dry_run=", ["/query/dry_run"]),
        ("?dry_run=true&dry_run=false", ["/query/dry_run"]),
        ("?dryrun=true", ["/query/dryrun"]),
        ("?decimal_comma=1&dry_run=TRUE", ["/query/decimal_comma", "/query/dry_run"]),
    ],
)
def test_a_query_that_says_something_else_is_refused(
    counter: Counter, nothing_left: Callable[[], bool], query: str, pointers: list[str]
) -> None:
    """A dry run that is misspelt never turns into a wet one."""
    answer = counter.held(POST, counter.send(query=query))

    assert pointers == [fault["pointer"] for fault in answer["errors"]]
    assert nothing_left()


def test_a_file_over_the_limit_is_refused(counter: Counter, nothing_left: Callable[[], bool]) -> None:
    """By the limit of files, which other bodies do not have."""
    answer = counter.send(bytes(LARGEST + 1))

    assert (413, "too_large") == counter.refused(POST, answer)
    assert {"limit": LARGEST} == answer.get_json()["params"]
    assert nothing_left()


def test_a_body_that_is_shorter_than_it_says_is_refused(counter: Counter, nothing_left: Callable[[], bool]) -> None:
    """A server that ends the stream by itself gives what came until the sender went away."""
    cut = {
        "wsgi.input": io.BytesIO(b"sku,kind,name\nframe-1,fra"),
        "wsgi.input_terminated": True,
        "CONTENT_LENGTH": "1000",
        "CONTENT_TYPE": "text/csv",
        "HTTP_AUTHORIZATION": f"Bearer {counter.key}",
    }
    answer = counter.client.post("/v1/imports", environ_overrides=cut)

    assert (400, "cut_short") == counter.refused(POST, answer)
    assert nothing_left()


def test_a_file_beside_another_import_is_refused_at_once(counter: Counter, nothing_left: Callable[[], bool]) -> None:
    """That of the command line counts as well; when to try again is said."""
    with importing_alone(counter.engines):
        answer = counter.send()
    assert (409, "import_runs") == counter.refused(POST, answer)
    assert 0 < int(answer.headers["Retry-After"])
    assert nothing_left()


def test_a_folder_that_takes_no_file_is_told(counter: Counter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the system's own words, with when to try again."""
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "nowhere"))
    answer = counter.send()

    assert (503, "no_room") == counter.refused(POST, answer)
    assert ({"reason": "No such file or directory"}, True) == (
        answer.get_json()["params"],
        "Retry-After" in answer.headers,
    )


@pytest.mark.parametrize("scopes", [["read"], None], ids=["a key to read", "no key"])
def test_only_a_key_to_write_sends_and_asks(counter: Counter, scopes: list[str] | None) -> None:
    """Reports show what a shop has."""
    key = created(counter.engines, "horn", scopes, None, datetime.now(UTC)) if scopes else "none"
    refusals = [(POST, counter._replace(key=key).send()), (GET, counter.ask("0123456789abcdef", key))]

    expected = (403, "no_scope") if scopes else (401, "bad_key")
    assert [expected] * 2 == [counter.refused(place, answer) for place, answer in refusals]


def test_another_shop_is_not_told(counter: Counter) -> None:
    """Its own keys are all good, the same shop's second one too."""
    job = admitted(counter.engines, "bell", datetime.now(UTC))
    begun(counter.engines, job.id, JobReport(), datetime.now(UTC))
    keys = [created(counter.engines, shop, ["write"], None, datetime.now(UTC)) for shop in ("bell", "horn")]

    assert [200, 404] == [counter.ask(job.id, key).status_code for key in keys]
    assert (404, "no_such_import") == counter.refused(GET, counter.ask(job.id, keys[1]))


def test_an_import_that_nobody_sent_is_not_found(counter: Counter) -> None:
    """Whatever the path holds."""
    assert (404, "no_such_import") == counter.refused(GET, counter.ask("0123456789abcdef"))
