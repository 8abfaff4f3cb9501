"""Baskets as a shop meets them at checkout (``baskets.toml``), asked of the demo's catalogue on both engines."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

Json = dict[str, Any]

BASKETS: list[Json] = tomllib.loads(Path(__file__).with_name("baskets.toml").read_text(encoding="utf-8"))["baskets"]


def asked(demo: FlaskClient, basket: Json) -> Json:
    """Ask about a basket."""
    response = demo.post("/v1/cart-checks", json=basket["request"])
    assert 200 == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def reasons(answer: Json) -> list[Json]:
    """Give the reasons of all lines, or the answer's own where it has no lines."""
    return [reason for line in answer["lines"] for reason in line["reasons"]] or [answer]


def test_there_are_thirty_baskets_at_least() -> None:
    """Fewer would leave out something that shops meet."""
    assert 30 <= len(BASKETS)
    assert {"clear", "confirm", "stop"} == {basket["decision"] for basket in BASKETS}


@pytest.mark.parametrize("basket", BASKETS, ids=[basket["title"] for basket in BASKETS])
def test_a_basket_is_answered_as_a_good_fitter_would(demo: FlaskClient, basket: Json) -> None:
    """The decision, the reason that decides, and what is said of each line."""
    answer = asked(demo, basket)

    told = [(line["decision"], [reason["code"] for reason in line["reasons"]]) for line in answer["lines"]]
    assert (basket["decision"], basket["blocking"]) == (answer["decision"], answer["blocking"]), told
    if basket["decision"] == "clear":
        assert basket["code"] in {reason["code"] for reason in reasons(answer)}
    else:
        assert basket["code"] == answer["code"], told
    assert basket["question"] == (answer["question"] is not None)
    assert [line["decision"] for line in basket["lines"]] == [line["decision"] for line in answer["lines"]], told
    for expected, line in zip(basket["lines"], answer["lines"], strict=True):
        found = [reason for reason in line["reasons"] if reason["code"] == expected["code"]]
        assert found, told
        if "against" in expected:
            assert expected["against"] in [whose["sku"] for reason in found for whose in reason["against"]]
        assert set(expected.get("cautions", ())) <= {caution["code"] for caution in line["cautions"]}


@pytest.mark.parametrize("basket", BASKETS, ids=[basket["title"] for basket in BASKETS])
def test_a_basket_is_answered_with_what_it_is_about(demo: FlaskClient, basket: Json) -> None:
    """The check that failed, what goes on instead, and what is missing."""
    answer = asked(demo, basket)

    stops = [reason for reason in reasons(answer) if reason["decision"] == "stop"]
    assert all(reason["check"] is not None for reason in stops)
    if "check" in basket:
        assert basket["check"] in {reason["check"]["code"] for reason in stops}
    if "alternatives" in basket:
        assert basket["alternatives"] == any(line["alternatives"] for line in answer["lines"])
    counts = {count["kind"]: count for count in answer["skates"][0]["counts"]}
    for expected in basket.get("counts", ()):
        assert expected == {name: counts[expected["kind"]][name] for name in expected}
