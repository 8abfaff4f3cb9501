"""What holds for every basket: neither order nor splitting matters, a stop names its check, and little is read."""

from __future__ import annotations

import csv
from importlib import resources
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from mountwright.bootstrap import create_app
from mountwright.settings import Settings
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]

_FIXTURE = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)


def skus(file: str, kinds: set[str]) -> list[str]:
    """Give SKUs of the invented shop's catalogue."""
    text = resources.files("mountwright.demo").joinpath(file).read_text(encoding="utf-8")
    return [row["sku"] for row in csv.DictReader(text.splitlines()) if row["sku"] and row["kind"] in kinds]


SKATES = skus("skates.csv", {"skate"})
ROLLING = skus("parts.csv", {"frame", "wheel", "bearing", "axle", "spacer", "adapter", "brake", "bolt"})
SOFT = skus("parts.csv", {"liner", "insole", "lace", "cuff", "buckle", "side_guard", "slider", "other"})

LINES = st.lists(
    st.tuples(st.one_of(st.sampled_from(ROLLING), st.sampled_from(SOFT), st.just("no-such-sku")), st.integers(1, 9)),
    max_size=8,
)
OWNED = st.fixed_dictionaries(
    {"sku": st.sampled_from(SKATES)},
    optional={
        "eu_size": st.integers(34, 48),
        "foot_lengths_mm": st.fixed_dictionaries({"left": st.integers(215, 300), "right": st.integers(215, 300)}),
    },
)
POLICIES = st.fixed_dictionaries(
    {},
    optional={
        "unknown": st.sampled_from(["strict", "lenient"]),
        "counts": st.sampled_from(["pair", "one_skate", "spares"]),
        "unlisted": st.sampled_from(["confirm", "not_a_part"]),
    },
)


def asked(demo: FlaskClient, body: Json) -> Json:
    """Ask about a basket."""
    response = demo.post("/v1/cart-checks", json=body)
    assert 200 == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def body(skates: list[Json], lines: list[tuple[str, int]], policy: Json) -> Json:
    """Give a request."""
    owned = {"skate": skates[0]} if len(skates) == 1 else {"skates": skates}
    return {**owned, "policy": policy, "lines": [{"sku": sku, "quantity": packs} for sku, packs in lines]}


def gist(answer: Json) -> tuple[Any, ...]:
    """Give what an answer says, without the places of its lines."""
    lines = {
        line["sku"]: (line["decision"], line["blocking"], [(each["code"], each["params"]) for each in line["reasons"]])
        for line in answer["lines"]
    }
    return answer["decision"], answer["blocking"], answer["code"], lines, answer["skates"]


@_FIXTURE
@given(skates=st.lists(OWNED, min_size=1, max_size=2), lines=LINES, policy=POLICIES, data=st.data())
def test_no_basket_changes_when_its_lines_are_reordered(
    demo: FlaskClient, skates: list[Json], lines: list[tuple[str, int]], policy: Json, data: st.DataObject
) -> None:
    """A basket is a heap."""
    other = data.draw(st.permutations(lines))

    assert gist(asked(demo, body(skates, lines, policy))) == gist(asked(demo, body(skates, other, policy)))


@_FIXTURE
@given(skates=st.lists(OWNED, min_size=1, max_size=2), lines=LINES, policy=POLICIES, data=st.data())
def test_no_basket_changes_when_a_quantity_is_split_over_two_lines(
    demo: FlaskClient, skates: list[Json], lines: list[tuple[str, int]], policy: Json, data: st.DataObject
) -> None:
    """Five and three are eight."""
    split: list[tuple[str, int]] = []
    for sku, packs in lines:
        first = data.draw(st.integers(1, packs))
        split += [(sku, first)] + ([(sku, packs - first)] if first < packs else [])

    assert gist(asked(demo, body(skates, lines, policy))) == gist(asked(demo, body(skates, split, policy)))


@_FIXTURE
@given(skates=st.lists(OWNED, min_size=1, max_size=2), lines=LINES, policy=POLICIES)
def test_the_whole_is_the_worst_of_its_lines_and_a_stop_names_its_check(
    demo: FlaskClient, skates: list[Json], lines: list[tuple[str, int]], policy: Json
) -> None:
    """Of every basket."""
    answer = asked(demo, body(skates, lines, policy))

    order = ["clear", "confirm", "stop"]
    assert answer["decision"] == max((line["decision"] for line in answer["lines"]), key=order.index, default="clear")
    assert answer["blocking"] == any(line["blocking"] for line in answer["lines"])
    for line in answer["lines"]:
        assert line["decision"] == max((each["decision"] for each in line["reasons"]), key=order.index)
        assert all(each["check"] is not None for each in line["reasons"] if each["decision"] == "stop")
        assert (line["question"] is not None) == (line["decision"] == "confirm")
        assert not line["alternatives"] or line["decision"] == "stop"


def statements(demo: FlaskClient, request_body: Json) -> list[str]:
    """Give the statements that a basket takes of a process which has not read anything."""
    known: Workshop = demo.application.extensions[EXTENSION]
    app = create_app(Settings(database=known.engines.url.render_as_string(hide_password=False)))
    workshop: Workshop = app.extensions[EXTENSION]
    told: list[str] = []
    event.listen(workshop.engines.reads, "before_cursor_execute", lambda *given: told.append(given[2]))
    asked(app.test_client(), request_body)
    workshop.engines.close()
    return told


@pytest.mark.parametrize(
    ("lines", "most"),
    [
        ([("frame-quillfen-4x80-silver", 1), ("bearing-bellrush-608-x8", 2), ("no-such-sku", 1)], 1),
        ([("frame-hollin-beam-4x90-black", 1), ("axle-pipit-6x38-nut", 8)], 2),
    ],
    ids=["nothing stops", "two parts stop"],
)
def test_a_basket_takes_one_statement_and_one_more_for_all_alternatives(
    demo: FlaskClient, lines: list[tuple[str, int]], most: int
) -> None:
    """However many lines there are."""
    asked_for = body([{"sku": "marrowby-lock-2", "eu_size": 42}], lines, {"unknown": "strict"})

    assert most == len(statements(demo, asked_for))
