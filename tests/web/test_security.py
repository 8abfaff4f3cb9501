"""Who may ask: which calls need a key, which keys open them, and what a refusal tells."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from flask import Flask, g
from flask.testing import FlaskClient
from marshmallow import Schema
from openapi_spec_validator import validate
from werkzeug.test import TestResponse

from mountwright.catalogue.engines import Engines, opened
from mountwright.catalogue.keys import Scope, created, revoked
from mountwright.errors import CatalogueAwayError
from mountwright.messages import catalogue
from mountwright.settings import Reads
from mountwright.web.blueprint import Contract, Resource
from mountwright.web.problems import register_problems
from mountwright.web.security import Keyring, register_security

Json = dict[str, Any]

NOON = datetime(2031, 5, 4, 12, 0, 0, tzinfo=UTC)

#: Of the form of a key, and of nobody's.
UNKNOWN = "mw_abcdefgh_" + "x" * 43

bells = Resource("bells", __name__, url_prefix="/v1")
health = Resource("health", __name__)


@bells.at("/bells")
@bells.answers(Schema(), "Bells.")
def list_bells() -> Json:
    """List the bells."""
    return {"shop": g.key.shop if g.key else None}


@bells.at("/bells/<string:name>", "PUT")
@bells.keyed("write")
@bells.answers(Schema(), "A bell.")
def hang_bell(name: str) -> Json:
    """Hang a bell."""
    return {"name": name, "shop": g.key.shop}


@bells.at("/cracks", "POST")
@bells.keyed(Scope.READ)
@bells.takes(Schema())
def judge_crack(_: Json) -> Json:
    """Fail, as what is not thought of does."""
    raise ZeroDivisionError


@health.at("/healthz")
@health.answers(Schema(), "The process answers.")
def show_health() -> Json:
    """Say that the process answers."""
    return {"status": "ok"}


class Clock:
    """A clock that stands until it is set on."""

    def __init__(self) -> None:
        self.at_s = 0.0

    def seconds(self) -> float:
        """Give the seconds since it was started."""
        return self.at_s

    def now(self) -> datetime:
        """Give the time of day."""
        return NOON + timedelta(seconds=self.at_s)


class Door(NamedTuple):
    """A service with its catalogue and its clock, and a way to come with a key or without."""

    client: FlaskClient
    engines: Engines
    clock: Clock
    contract: Json

    def read(self, key: str | None = None, path: str = "/v1/bells") -> TestResponse:
        """Ask for what is there."""
        return self.client.get(path, headers=shown(key))

    def write(self, key: str | None = None) -> TestResponse:
        """Put something there."""
        return self.client.put("/v1/bells/great", headers=shown(key))

    def statuses_at(self, key: str, *seconds: float) -> list[int]:
        """Give how reads with a key are answered at some seconds."""
        statuses = []
        for second in seconds:
            self.clock.at_s = second
            statuses.append(self.read(key).status_code)
        return statuses


def shown(key: str | None) -> dict[str, str]:
    """Give the header that shows a key."""
    return {} if key is None else {"Authorization": f"Bearer {key}"}


def built(engines: Engines, clock: Clock, reads: Reads) -> Door:
    """Build a service with one view of each sort."""
    app = Flask("bells", static_folder=None)
    app.config.update(
        API_TITLE="Bells",
        API_VERSION="v1",
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX="/",
        OPENAPI_JSON_PATH="openapi.json",
    )
    register_problems(app, lambda: catalogue({}))
    register_security(app, Keyring(engines, clock=clock.seconds, now=clock.now), reads)
    contract = Contract(app)
    for resource in (bells, health):
        contract.register_blueprint(resource)
    client = app.test_client()
    return Door(client, engines, clock, client.get("/openapi.json").get_json())


@pytest.fixture
def engines(sqlite_database: str) -> Iterator[Engines]:
    """Give an empty catalogue."""
    found = opened(sqlite_database)
    yield found
    found.close()


@pytest.fixture
def door(engines: Engines) -> Door:
    """Give a service that everybody may read from."""
    return built(engines, Clock(), Reads.OPEN)


@pytest.fixture
def keyed_door(engines: Engines) -> Door:
    """Give a service that only holders of a key may read from."""
    return built(engines, Clock(), Reads.KEYED)


@pytest.fixture
def reader(engines: Engines) -> str:
    """Give a key that opens reads."""
    return created(engines, "bell", ["read"], None, NOON)


@pytest.fixture
def writer(engines: Engines) -> str:
    """Give a key that opens writes."""
    return created(engines, "horn", ["write"], None, NOON)


@pytest.fixture
def take_away(engines: Engines) -> Iterator[Callable[[], None]]:
    """Give a way to take the database away; afterwards it is brought back."""
    file = Path(str(engines.file))
    hidden = file.with_suffix(".hidden")

    def take() -> None:
        engines.close()
        file.rename(hidden)

    yield take
    if hidden.exists():
        hidden.rename(file)


def bring_back(engines: Engines) -> None:
    """Bring the database back."""
    file = Path(str(engines.file))
    file.with_suffix(".hidden").rename(file)


def told(answer: TestResponse) -> tuple[int, str, str | None]:
    """Give the status, the code and the challenge of a refusal."""
    assert "application/problem+json" == answer.content_type
    return answer.status_code, answer.get_json()["code"], answer.headers.get("WWW-Authenticate")


NO_KEY = (401, "no_key", "Bearer")
BAD_KEY = (401, "bad_key", 'Bearer error="invalid_token"')


class TestWrites:
    """A call that writes ..."""

    def test_is_opened_by_a_key_to_write(self, door: Door, writer: str) -> None:
        """... is opened by a key to write, and knows whose it is."""
        assert {"name": "great", "shop": "horn"} == door.write(writer).get_json()

    def test_is_not_opened_without_a_key(self, door: Door) -> None:
        """... asks for a key."""
        assert NO_KEY == told(door.write())

    def test_is_not_opened_by_a_key_to_read(self, door: Door, reader: str) -> None:
        """... needs the scope, and says which."""
        answer = door.write(reader)

        assert (403, "no_scope", 'Bearer error="insufficient_scope", scope="write"') == told(answer)
        assert {"scope": "write"} == answer.get_json()["params"]

    @pytest.mark.parametrize("header", ["", "Bearer", "Bearer ", "Basic aG9ybjpob3Ju", "{}", "Bearer{}", "Token {}"])
    def test_takes_a_key_in_the_one_form_only(self, door: Door, writer: str, header: str) -> None:
        """... looks for a bearer's key and for nothing else."""
        answer = door.client.put("/v1/bells/great", headers={"Authorization": header.format(writer)})

        assert NO_KEY == told(answer)

    @pytest.mark.parametrize("header", ["bearer {}", "BEARER {}", "Bearer   {}"])
    def test_takes_the_schemes_name_in_any_case(self, door: Door, writer: str, header: str) -> None:
        """... takes the scheme in capitals or not, as RFC 9110 section 11.1 has it."""
        answer = door.client.put("/v1/bells/great", headers={"Authorization": header.format(writer)})

        assert 200 == answer.status_code

    def test_takes_no_key_from_the_address(self, door: Door, writer: str) -> None:
        """... takes no key from the query, which is logged and passed on."""
        assert NO_KEY == told(door.client.put(f"/v1/bells/great?access_token={writer}"))

    @pytest.mark.parametrize("garbage", ["garbage", "mw_", UNKNOWN, UNKNOWN + " " + UNKNOWN, "é", "a=b"])
    def test_is_not_opened_by_garbage(self, door: Door, garbage: str) -> None:
        """... is not opened by what is no key of ours."""
        assert BAD_KEY == told(door.write(garbage))


def test_a_refusal_does_not_tell_why_a_key_is_not_good(door: Door, writer: str) -> None:
    """Unknown, wrong, expired and revoked keys get the same answer to the byte."""
    expired = created(door.engines, "bell", ["write"], NOON + timedelta(seconds=1), NOON)
    lost = created(door.engines, "bell", ["write"], None, NOON)
    revoked(door.engines, lost.split("_")[1], NOON)
    door.clock.at_s = 1
    answers = [door.write(key) for key in (UNKNOWN, writer[:12] + "x" * 43, expired, lost)]

    assert [BAD_KEY] * 4 == [told(answer) for answer in answers]
    assert 1 == len({answer.data for answer in answers})


class TestOpenReads:
    """Where reads are open, a call that reads ..."""

    @pytest.mark.parametrize("key", [None, "garbage", UNKNOWN])
    def test_needs_no_key(self, door: Door, key: str | None) -> None:
        """... is answered whether a key comes with it or not."""
        assert (200, {"shop": None}) == (door.read(key).status_code, door.read(key).get_json())

    def test_asks_nothing_of_the_database(self, door: Door, writer: str, take_away: Callable[[], None]) -> None:
        """... does not wait for a database that it does not need."""
        take_away()

        assert 200 == door.read(writer).status_code

    def test_that_leads_nowhere_is_not_found(self, door: Door) -> None:
        """... is not found where nothing is."""
        assert (404, "not_found", None) == told(door.read(path="/v1/horns"))


class TestKeyedReads:
    """Where reads are keyed, a call that reads ..."""

    def test_needs_a_key(self, keyed_door: Door) -> None:
        """... asks for one."""
        assert NO_KEY == told(keyed_door.read())

    def test_is_not_opened_by_an_unknown_key(self, keyed_door: Door) -> None:
        """... is not opened by just any."""
        assert BAD_KEY == told(keyed_door.read(UNKNOWN))

    def test_is_opened_by_either_scope(self, keyed_door: Door, reader: str, writer: str) -> None:
        """... is opened by a key to read and by one to write."""
        assert ["bell", "horn"] == [keyed_door.read(key).get_json()["shop"] for key in (reader, writer)]

    @pytest.mark.parametrize("path", ["//v1/bells", "///v1/bells", "v1/bells"])
    def test_under_another_spelling_of_its_path_needs_a_key(self, keyed_door: Door, reader: str, path: str) -> None:
        """... needs one under each spelling that leads to it."""
        spelt = {"PATH_INFO": path}

        assert NO_KEY == told(keyed_door.client.get("/", environ_overrides=spelt))
        assert 200 == keyed_door.client.get("/", environ_overrides=spelt, headers=shown(reader)).status_code

    def test_that_leads_nowhere_needs_a_key(self, keyed_door: Door, reader: str) -> None:
        """... tells nobody without a key what there is not."""
        assert NO_KEY == told(keyed_door.read(path="/v1/horns"))
        assert (404, "not_found", None) == told(keyed_door.read(reader, "/v1/horns"))

    @pytest.mark.parametrize("path", ["/healthz", "/openapi.json"])
    def test_outside_the_api_is_open(self, keyed_door: Door, path: str) -> None:
        """... of the service's health or contract stays open."""
        assert 200 == keyed_door.read(path=path).status_code

    def test_does_not_open_writes(self, keyed_door: Door, reader: str) -> None:
        """... takes nothing from what a write needs."""
        assert (403, "no_scope") == told(keyed_door.write(reader))[:2]


class TestRevoking:
    """A key that was in use and is revoked ..."""

    @pytest.mark.parametrize("verb", ["read", "write"])
    def test_stops_within_ten_seconds(self, keyed_door: Door, writer: str, verb: str) -> None:
        """... opens nothing from the tenth second on."""
        ask = getattr(keyed_door, verb)
        assert 200 == ask(writer).status_code
        revoked(keyed_door.engines, writer.split("_")[1], NOON)
        keyed_door.clock.at_s = 10

        assert BAD_KEY == told(ask(writer))

    def test_is_not_kept_alive_by_being_used(self, keyed_door: Door, reader: str) -> None:
        """... stops then, however often it is shown meanwhile."""
        keyed_door.read(reader)
        revoked(keyed_door.engines, reader.split("_")[1], NOON)
        statuses = keyed_door.statuses_at(reader, *range(11))

        assert [200] * 10 + [401] == statuses

    def test_is_forgotten(self, keyed_door: Door, reader: str, take_away: Callable[[], None]) -> None:
        """... opens nothing either when the database goes away after that was noticed."""
        keyed_door.read(reader)
        revoked(keyed_door.engines, reader.split("_")[1], NOON)
        keyed_door.clock.at_s = 10
        keyed_door.read(reader)
        take_away()

        assert 503 == keyed_door.read(reader).status_code


def test_a_key_expires_on_the_second_although_it_was_verified_just_before(keyed_door: Door) -> None:
    """What a process remembers of a key tells it the end."""
    key = created(keyed_door.engines, "bell", ["read"], NOON + timedelta(seconds=5), NOON)
    statuses = keyed_door.statuses_at(key, 0, 4, 5)

    assert [200, 200, 401] == statuses


class TestWithoutTheDatabase:
    """While the database is away ..."""

    def test_a_key_that_was_verified_opens_reads_for_ten_minutes(
        self, keyed_door: Door, reader: str, take_away: Callable[[], None]
    ) -> None:
        """... a key that was verified opens reads for ten minutes."""
        keyed_door.read(reader)
        take_away()
        statuses = keyed_door.statuses_at(reader, 10, 300, 599, 600)

        assert [200, 200, 200, 503] == statuses

    def test_a_key_that_was_verified_opens_no_writes(
        self, door: Door, writer: str, take_away: Callable[[], None]
    ) -> None:
        """... a write waits until the key can be verified anew."""
        assert 200 == door.write(writer).status_code
        take_away()
        door.clock.at_s = 10

        assert 503 == door.write(writer).status_code

    def test_a_key_that_was_not_seen_before_opens_nothing(
        self, keyed_door: Door, reader: str, take_away: Callable[[], None]
    ) -> None:
        """... a key that nobody can verify is not called bad either."""
        take_away()

        assert 503 == keyed_door.read(reader).status_code

    def test_a_key_that_expired_opens_nothing(self, keyed_door: Door, take_away: Callable[[], None]) -> None:
        """... a key ends when it was to end."""
        key = created(keyed_door.engines, "bell", ["read"], NOON + timedelta(seconds=60), NOON)
        keyed_door.read(key)
        take_away()
        statuses = keyed_door.statuses_at(key, 59, 60)

        assert [200, 503] == statuses

    def test_what_has_not_the_form_of_a_key_is_refused_at_once(
        self, keyed_door: Door, take_away: Callable[[], None]
    ) -> None:
        """... garbage is known as such."""
        take_away()

        assert BAD_KEY == told(keyed_door.read("garbage"))

    def test_it_is_asked_again_after_two_seconds(
        self, keyed_door: Door, reader: str, take_away: Callable[[], None]
    ) -> None:
        """... callers do not wait for it in turn, and find it soon when it is back."""
        take_away()
        keyed_door.read(reader)
        bring_back(keyed_door.engines)
        statuses = keyed_door.statuses_at(reader, 0, 1.9, 2)

        assert [503, 503, 200] == statuses


def test_a_process_remembers_no_more_keys_than_it_was_told_to(engines: Engines, take_away: Callable[[], None]) -> None:
    """The longest unused is forgotten first."""
    keyring = Keyring(engines, most=2, clock=Clock().seconds, now=Clock().now)
    keys = [created(engines, "bell", ["read"], None, NOON) for _ in range(3)]
    for key in keys:
        keyring.key(key, Scope.READ)
    take_away()

    assert ["bell", "bell"] == [found.shop for key in keys[1:] if (found := keyring.key(key, Scope.READ))]
    with pytest.raises(CatalogueAwayError):
        keyring.key(keys[0], Scope.READ)


def test_a_key_is_neither_logged_nor_echoed(
    door: Door, reader: str, take_away: Callable[[], None], caplog: pytest.LogCaptureFixture
) -> None:
    """Not when it is good, wrong, too narrow, shown to what fails, or cannot be verified."""
    caplog.set_level(logging.DEBUG)
    wrong = reader[:-4] + "wxyz"
    answers = [door.write(reader), door.write(wrong), door.read(reader)]
    answers.append(door.client.post("/v1/cracks", json={}, headers=shown(reader)))
    take_away()
    door.clock.at_s = 10
    answers.append(door.write(reader))
    said = caplog.text + "".join(f"{answer.headers}{answer.text}" for answer in answers)

    assert [403, 401, 200, 500, 503] == [answer.status_code for answer in answers]
    assert [] == [secret for secret in (reader[12:], wrong[12:], reader[12:-4]) if secret in said]


def test_the_body_of_a_call_without_a_key_is_not_read(door: Door) -> None:
    """Nobody without a key keeps the service busy with what they send."""
    answer = door.client.post("/v1/cracks", data=b"{", content_type="application/json")

    assert NO_KEY == told(answer)


class TestContract:
    """The contract ..."""

    def test_says_how_a_key_is_shown(self, door: Door) -> None:
        """... has the scheme, and is a valid document with it."""
        validate(door.contract)
        (scheme,) = door.contract["components"]["securitySchemes"].values()

        assert ("http", "bearer") == (scheme["type"], scheme["scheme"])

    def test_says_which_calls_need_which_scope(self, door: Door) -> None:
        """... names the scope at each call that needs a key, and at no other."""
        needed = {
            path: call.get("security")
            for path, calls in door.contract["paths"].items()
            for verb, call in calls.items()
            if verb in ("get", "put", "post")
        }

        assert {
            "/v1/bells": None,
            "/v1/bells/{name}": [{"key": ["write"]}],
            "/v1/cracks": [{"key": ["read"]}],
            "/healthz": None,
        } == needed

    def test_says_how_a_key_is_refused(self, door: Door) -> None:
        """... has both refusals as problem documents."""
        answers = door.contract["paths"]["/v1/bells/{name}"]["put"]["responses"]

        assert [["application/problem+json"]] * 2 == [list(answers[status]["content"]) for status in ("401", "403")]


def test_a_scope_that_there_is_not_is_noticed_when_the_route_is_declared() -> None:
    """A slip of the pen leaves no call open."""
    with pytest.raises(ValueError, match="wirte"):
        bells.keyed("wirte")
