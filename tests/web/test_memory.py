"""What is remembered between requests changes no answer."""

from __future__ import annotations

from pathlib import Path

import pytest
from flask.testing import FlaskClient

from mountwright.bootstrap import create_app
from mountwright.fitting.estimates import Stake
from mountwright.fitting.verdict import Verdict
from mountwright.mounts.mount import Part
from mountwright.settings import Settings
from mountwright.web.memory import LARGEST_ANSWER_BYTES, Given, Memory, Role

SKATE = {"mounts": [{"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}]}
FITS = {"kind": "frame", "mounts": [{"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}]}
FLAT = {"kind": "frame", "mounts": [{"position": "frame", "standard": "flat-167", "claimed_by": "maker"}]}
SEEN = {"kind": "frame", "mounts": [{"position": "frame", "seen": {"heel": "raised"}}]}


@pytest.fixture
def fresh(tmp_path: Path) -> FlaskClient:
    """Give a client of an application that remembers nothing yet."""
    return create_app(Settings(database=f"sqlite:///{tmp_path / 'catalogue.db'}")).test_client()


def asked(client: FlaskClient, *parts: object, **more: object) -> bytes:
    """Give the bytes of an answer."""
    answer = client.post("/v1/fit-checks", json={"skate": SKATE, "parts": parts, **more})
    assert answer.status_code == 200
    return answer.data


@pytest.mark.parametrize("parts", [(FITS,), (FITS, FLAT, FITS), (SEEN, FITS)])
def test_the_second_answer_is_the_first_to_the_byte(fresh: FlaskClient, parts: tuple[object, ...]) -> None:
    """Whichever way a part was read, and however often it stands in a request."""
    first = asked(fresh, *parts)

    assert first == asked(fresh, *parts)


def test_a_part_keeps_the_place_that_it_has_in_this_request(fresh: FlaskClient) -> None:
    """An answer that is remembered from another place in another request is numbered anew."""
    asked(fresh, FITS)
    told = fresh.post("/v1/fit-checks", json={"skate": SKATE, "parts": [FLAT, FITS]}).json

    assert [(0, "does_not_fit"), (1, "fits")] == [(part["index"], part["verdict"]) for part in told["parts"]]


def test_another_stake_is_another_question(fresh: FlaskClient) -> None:
    """What is sure enough to send is not sure enough to cut, remembered or not."""
    shipped = asked(fresh, FITS)

    assert shipped != asked(fresh, FITS, stake="irreversible")
    assert shipped == asked(fresh, FITS)


def test_the_longest_unused_is_forgotten_first() -> None:
    """The memory has an end, and what was used of late outlives it."""
    memory = Memory(most=2)
    one, two, three = (Part("frame", ()) for _ in range(3))
    memory.keep_part((Role.PART, b"1"), one)
    memory.keep_part((Role.PART, b"2"), two)
    memory.part((Role.PART, b"1"))
    memory.keep_part((Role.PART, b"3"), three)

    assert [memory.part((Role.PART, text)) for text in (b"1", b"2", b"3")] == [one, None, three]


def test_an_answer_is_known_by_skate_part_and_stake() -> None:
    """Two parts that merely look alike are two."""
    memory, skate, part = Memory(), Part("", ()), Part("frame", ())
    given = Given(Verdict.FITS, 1.0, (), b"{}")
    memory.keep_given((skate, part, Stake.SHIPPING), given)

    assert given is memory.given((skate, part, Stake.SHIPPING))
    assert memory.given((skate, Part("frame", ()), Stake.SHIPPING)) is None


@pytest.mark.parametrize(
    ("body", "place"),
    [
        ({"skate": SKATE, "parts": [SKATE]}, "/parts/0/kind"),
        ({"skate": FITS, "parts": [FITS]}, "/skate/kind"),
    ],
    ids=["skate as part", "part as skate"],
)
def test_what_was_read_in_one_role_is_not_taken_in_the_other(
    fresh: FlaskClient, body: dict[str, object], place: str
) -> None:
    """A skate is no part and a part no skate, also once both are remembered."""
    before = fresh.post("/v1/fit-checks", json=body)
    asked(fresh, FITS)
    after = fresh.post("/v1/fit-checks", json=body)

    assert (422, before.data) == (after.status_code, after.data)
    assert place in {fault["pointer"] for fault in after.json["errors"]}


def test_an_answer_to_a_basket_is_known_by_its_digest_and_version() -> None:
    """Another state of the catalogue may answer otherwise."""
    memory = Memory()
    memory.keep_answer(("sha256:a", "1-x"), b"{}")

    assert b"{}" == memory.answer(("sha256:a", "1-x"))
    assert memory.answer(("sha256:a", "2-y")) is None
    assert memory.answer(("sha256:a", None)) is None


def test_a_large_answer_takes_no_others_place() -> None:
    """One of two hundred lines is worked out anew."""
    memory = Memory()
    memory.keep_answer(("sha256:large", None), b"x" * (LARGEST_ANSWER_BYTES + 1))
    memory.keep_answer(("sha256:small", None), b"x" * LARGEST_ANSWER_BYTES)

    assert memory.answer(("sha256:large", None)) is None
    assert memory.answer(("sha256:small", None)) is not None
