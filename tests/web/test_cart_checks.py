"""``POST /v1/cart-checks``: what a request may say, what is refused and where, and what every answer has."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from marshmallow.experimental.context import Context

from mountwright.bootstrap import create_app, create_workshop
from mountwright.demo.loading import load_demo
from mountwright.settings import Settings
from mountwright.web.carts.asking import cart_read, named_in_cart
from mountwright.web.carts.cart import Cart
from mountwright.web.carts.plain import plain_cart
from mountwright.web.schemas.cart_answers import CartAnswerSchema
from mountwright.web.schemas.cart_checks import CartRequestSchema
from mountwright.web.shelved import Seen
from mountwright.web.workshop import EXTENSION, Desk, Workshop

Json = dict[str, Any]

LOCK = {"sku": "marrowby-lock-2"}


def demo_skus(file: str) -> list[str]:
    """Give the SKUs of one of the invented shop's files."""
    text = resources.files("mountwright.demo").joinpath(file).read_text(encoding="utf-8")
    return [sku for line in text.splitlines()[1:] if (sku := line.partition(",")[0])]


SKATES, PARTS = demo_skus("skates.csv"), demo_skus("parts.csv")


def asked(client: FlaskClient, body: Any, status: int = 200) -> Json:
    """Ask, and give the body of an answer with a status."""
    response = client.post("/v1/cart-checks", json=body)
    assert status == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def faults(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the codes of what is refused, by place."""
    return {each["pointer"]: each["code"] for each in asked(client, body, 422)["errors"]}


def test_an_answer_is_not_to_be_kept(demo: FlaskClient) -> None:
    """It is for one basket at one moment (RFC 9111, 5.2.2.5)."""
    response = demo.post("/v1/cart-checks", json={"skate": LOCK, "lines": []})

    assert "no-store" == response.headers["Cache-Control"]
    assert "application/json" == response.content_type


def test_an_empty_basket_is_clear(demo: FlaskClient) -> None:
    """Nothing stands in the way."""
    answer = asked(demo, {"skate": LOCK, "lines": []})

    assert ("clear", False, "cart.empty", None, []) == (
        answer["decision"],
        answer["blocking"],
        answer["code"],
        answer["question"],
        answer["lines"],
    )


def test_an_answer_is_as_the_contract_shows_it(demo: FlaskClient) -> None:
    """A basket with a stop, a question and a part that is clear."""
    lines = [{"sku": "frame-hollin-beam-4x90-black"}, {"sku": "bearing-bellrush-608-x8"}, {"sku": "no-such-sku"}]
    answer = asked(demo, {"skate": {**LOCK, "eu_size": 42}, "lines": lines})

    assert {} == CartAnswerSchema().validate(answer)
    assert {"stop", "confirm"} == {line["decision"] for line in answer["lines"]}


def test_the_same_basket_is_answered_with_the_same_bytes(demo: FlaskClient) -> None:
    """Also when it is worked out anew, by another process."""
    body = {"skate": LOCK, "lines": [{"sku": "frame-hollin-beam-4x90-black"}]}
    known: Workshop = demo.application.extensions[EXTENSION]
    other = create_workshop(known.settings)

    first = demo.post("/v1/cart-checks", json=body).data
    again = demo.post("/v1/cart-checks", json=body).data
    known.memory.__init__()  # type: ignore[misc]  # forgets everything
    anew = demo.post("/v1/cart-checks", json=body).data
    other.engines.close()

    assert first == again == anew


def test_a_basket_of_two_hundred_lines_is_served_line_by_line(demo: FlaskClient) -> None:
    """Each under the caller's own index."""
    lines = [{"sku": PARTS[number]} for number in range(200)]
    answer = asked(demo, {"skate": LOCK, "lines": lines})

    assert [(number, lines[number]["sku"]) for number in range(200)] == [
        (line["index"], line["sku"]) for line in answer["lines"]
    ]


def test_identical_lines_are_answered_alike_under_their_own_index(demo: FlaskClient) -> None:
    """Two packs of eight are sixteen, on whichever line they stand."""
    first, second = asked(demo, {"skate": LOCK, "lines": [{"sku": "bearing-bellrush-608-x8"}] * 2})["lines"]

    assert (0, 1) == (first.pop("index"), second.pop("index"))
    assert first == second
    assert "clear" == first["decision"]


def test_lines_of_one_article_for_two_skates_are_told_apart(demo: FlaskClient) -> None:
    """Each question is about its own line, and what is in the basket for one skate is not in it for the other."""
    wheel, bearings = "wheel-bellrush-peal-80-85a-white", {"sku": "bearing-bellrush-608-x8"}
    lines = [{"sku": wheel, "quantity": 8, "for": 1}, {**bearings, "quantity": 2, "for": 1}, {**bearings, "for": 0}]
    answer = asked(demo, {"skates": [LOCK, {"sku": "marrowby-lock-1"}], "lines": lines})
    against = {
        line["index"]: {(whose["what"], whose["line"]) for reason in line["reasons"] for whose in reason["against"]}
        for line in answer["lines"]
    }

    assert (2, 0) == (answer["lines"][2]["question"]["line"], answer["lines"][2]["question"]["skate"])
    assert ("line", 0) in against[1]
    assert {("fitted", None)} == against[2]


def test_an_answer_without_the_alternatives_is_not_remembered(sqlite_database: str, tmp_path: Path) -> None:
    """The database was away for a moment: next time they are looked for again."""
    app = create_app(Settings(database=sqlite_database))
    shop: Workshop = app.extensions[EXTENSION]
    load_demo(shop)
    client, refused = app.test_client(), "frame-hollin-beam-4x90-black"
    asked(client, {"skate": LOCK, "lines": [{"sku": refused}]})
    shop.engines.close()
    hidden = (tmp_path / "catalogue.db").rename(tmp_path / "hidden.db")
    away = asked(client, {"skate": LOCK, "lines": [{"sku": refused, "quantity": 3}]})
    hidden.rename(tmp_path / "catalogue.db")
    back = asked(client, {"skate": LOCK, "lines": [{"sku": refused, "quantity": 3}]})
    shop.engines.close()

    assert ("stop", []) == (away["decision"], away["lines"][0]["alternatives"])
    assert ("stop", 3) == (back["decision"], len(back["lines"][0]["alternatives"]))


def test_a_t_shirt_passes(demo: FlaskClient) -> None:
    """Whether the shop says so or its policy does."""
    said = asked(demo, {"skate": LOCK, "lines": [{"sku": "t-shirt", "kind": "not_a_part"}]})
    policy = asked(demo, {"skate": LOCK, "lines": [{"sku": "t-shirt"}], "policy": {"unlisted": "not_a_part"}})

    assert ["not_a_part", "not_a_part"] == [answer["lines"][0]["status"] for answer in (said, policy)]
    assert ["clear", "clear"] == [answer["decision"] for answer in (said, policy)]


def test_a_line_may_say_more_of_an_article_than_the_catalogue(demo: FlaskClient) -> None:
    """A pack of another size, as this shop sells it."""
    line = {"sku": "bearing-bellrush-608-x8", "units_per_pack": 16, "sold_as": "set"}
    answer = asked(demo, {"skate": LOCK, "lines": [line]})

    assert [16] == [count["in_basket"] for count in answer["skates"][0]["counts"]]
    assert "clear" == answer["decision"]


def test_what_stands_on_the_skate_now_replaces_what_it_was_sold_with(demo: FlaskClient) -> None:
    """The owner has changed the axles for 6 mm; bearings of 8 mm bore no longer go on them."""
    six = {"kind": "axle", "mounts": [{"position": "axle", "standard": "axle-6", "claimed_by": "bench"}]}
    lines = [{"sku": "bearing-bellrush-608-x16"}]

    assert "clear" == asked(demo, {"skate": LOCK, "lines": lines})["decision"]
    assert "clear" != asked(demo, {"skate": {**LOCK, "fitted": [six]}, "lines": lines})["decision"]


def test_what_was_measured_on_the_skate_in_hand_counts(demo: FlaskClient) -> None:
    """Sold as 165, and 195.2 by the caliper: nothing is certain any more."""
    found = {"position": "frame", "dimensions": {"hole_spacing_mm": {"value": 195.2, "instrument": "caliper"}}}
    lines = [{"sku": "frame-quillfen-4x80-silver"}]

    assert "clear" == asked(demo, {"skate": LOCK, "lines": lines})["decision"]
    assert "clear" != asked(demo, {"skate": {**LOCK, "mounts": [found]}, "lines": lines})["decision"]


def test_thresholds_are_the_shops(demo: FlaskClient) -> None:
    """Who wants to be surer is asked more often."""
    body = {"skate": LOCK, "lines": [{"sku": "frame-quillfen-4x80-silver"}]}

    assert "clear" == asked(demo, body)["decision"]
    assert "confirm" == asked(demo, {**body, "policy": {"fits_at_least": 1}})["decision"]


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ({"lines": []}, {"/skate": "request.required"}),
        ({"skate": LOCK}, {"/lines": "request.required"}),
        ({"skate": LOCK, "skates": [LOCK], "lines": []}, {"/skates": "request.skate_or_skates"}),
        ({"skates": [], "lines": []}, {"/skates": "request.size"}),
        ({"skates": [LOCK] * 9, "lines": []}, {"/skates": "request.size"}),
        ({"skate": {"eu_size": 42}, "lines": []}, {"/skate/mounts": "request.nothing_named"}),
        ({"skate": {"sku": "no-such-skate"}, "lines": []}, {"/skate/sku": "request.unknown_sku"}),
        ({"skate": {"sku": "bearing-bellrush-608-x8"}, "lines": []}, {"/skate/sku": "request.not_a_skate"}),
        ({"skate": {**LOCK, "eu_size": 4}, "lines": []}, {"/skate/eu_size": "request.bounds"}),
        (
            {"skate": {**LOCK, "foot_lengths_mm": {"left": 26}}, "lines": []},
            {"/skate/foot_lengths_mm/left": "request.bounds", "/skate/foot_lengths_mm/right": "request.required"},
        ),
        (
            {"skate": {**LOCK, "fitted": [{"sku": "nothing"}]}, "lines": []},
            {"/skate/fitted/0/sku": "request.unknown_sku"},
        ),
        ({"skate": LOCK, "lines": [{"sku": "a"}] * 401}, {"/lines": "request.size"}),
        (
            {"skate": LOCK, "lines": [{"sku": "a", "quantity": 0}, {"quantity": 1.5}, {"sku": "a", "quantity": 10001}]},
            {
                "/lines/0/quantity": "request.bounds",
                "/lines/1/quantity": "request.not_whole",
                "/lines/1/kind": "request.required",
                "/lines/2/quantity": "request.bounds",
            },
        ),
        ({"skate": LOCK, "lines": [{"sku": "a", "for": 1}]}, {"/lines/0/for": "request.bounds"}),
        ({"skate": LOCK, "lines": [{"kind": "hat"}]}, {"/lines/0/kind": "request.choice"}),
        ({"skate": LOCK, "lines": [{"sku": "a", "colour": 7}]}, {"/lines/0/colour": "request.not_text"}),
        (
            {"skate": LOCK, "lines": [{"kind": "wheel", "specs": {"diameter_mm": 9000}}]},
            {"/lines/0/specs/diameter_mm": "request.bounds"},
        ),
        (
            {"skate": LOCK, "lines": [{"kind": "liner", "eu_size_from": 44, "eu_size_to": 40}]},
            {"/lines/0/eu_size_from": "request.setting_order"},
        ),
        (
            {"skate": LOCK, "lines": [{"sku": "bearing-bellrush-608-x8", "kind": "wheel"}]},
            {"/lines/0/kind": "request.other_kind"},
        ),
        ({"skate": LOCK, "lines": [], "policy": {"unknown": "maybe"}}, {"/policy/unknown": "request.choice"}),
        ({"skate": LOCK, "lines": [], "policy": {"fits_at_least": 0.2}}, {"/policy/fits_at_least": "request.bounds"}),
        (
            {"skate": LOCK, "lines": [], "policy": {"fits_at_least": 0.5, "does_not_fit_at_most": 0.5}},
            {"/policy/does_not_fit_at_most": "request.setting_order"},
        ),
        ({"skate": LOCK, "lines": [], "hurry": True}, {"/hurry": "request.unknown_field"}),
        ([], {"": "request.not_object"}),
    ],
)
def test_what_is_wrong_is_said_at_its_place(demo: FlaskClient, body: Any, expected: dict[str, str]) -> None:
    """Every fault at once."""
    assert expected == faults(demo, body)


def test_a_sku_that_is_nearly_one_is_no_fault_in_a_line(demo: FlaskClient) -> None:
    """A webshop sells more than the catalogue has; the question is asked instead."""
    (line,) = asked(demo, {"skate": LOCK, "lines": [{"sku": "bearing-bellrush-608-x9"}]})["lines"]

    assert ("unlisted", "confirm", "cart.unlisted") == (line["status"], line["decision"], line["reasons"][0]["code"])


PLAIN_LINES = st.lists(
    st.fixed_dictionaries(
        {"sku": st.one_of(st.sampled_from(PARTS + SKATES), st.sampled_from(["né", "a b", 'q"\\', "x"]))},
        optional={"quantity": st.integers(1, 10_000)},
    ),
    max_size=6,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    skate=st.fixed_dictionaries(
        {"sku": st.sampled_from(SKATES)},
        optional={
            "eu_size": st.integers(15, 60) | st.floats(15, 60),
            "foot_lengths_mm": st.fixed_dictionaries({"left": st.integers(80, 400), "right": st.floats(80, 400)}),
        },
    ),
    lines=PLAIN_LINES,
)
def test_the_short_way_reads_what_the_long_way_reads(demo: FlaskClient, skate: Json, lines: list[Json]) -> None:
    """Whatever the short way takes."""
    body = {"skate": skate, "lines": lines}
    shop: Workshop = demo.application.extensions[EXTENSION]
    seen = shop.shelf.basket(named_in_cart(body))
    desk = Desk(shop, Seen(seen.version, seen.articles, (), seen.tallies), seen)

    short = plain_cart(body, desk)
    with Context(desk):
        long = CartRequestSchema().load({**body, "policy": {}})

    assert short is not None
    assert shown(long) == shown(short)


def shown(cart: Cart) -> tuple[Any, ...]:
    """Give all of a basket that an answer depends on; articles of the catalogue by their identity."""
    (owned,) = cart.basket.skates
    (version,) = owned.versions
    lots = [
        (lot.key, lot.article if lot.status is not lot.status.UNLISTED else lot.article.sku, lot.packs, lot.status)
        for lot in cart.basket.lots
    ]
    fitted = [(each.article, each.pieces, each.as_sold) for each in version.fitted]
    known = (version.skate, fitted, version.mark, owned.eu_size, owned.foot_lengths_um, owned.measured)
    return lots, known, cart.basket.policy, cart.lots, cart.skus, cart.skates


def test_what_is_not_plain_goes_the_long_way(demo: FlaskClient) -> None:
    """Anything that the short way does not know."""
    shop: Workshop = demo.application.extensions[EXTENSION]
    for body in (
        {"skate": LOCK, "lines": [{"sku": "x", "quantity": True}]},
        {"skate": LOCK, "lines": [{"sku": "x", "colour": "red"}]},
        {"skate": {**LOCK, "name": "mine"}, "lines": []},
        {"skate": LOCK, "lines": {}},
        {"skate": {"sku": "no-such"}, "lines": []},
    ):
        seen = shop.shelf.basket(named_in_cart(body))
        assert plain_cart(body, Desk(shop, None, seen)) is None


def test_a_basket_that_names_nothing_of_the_catalogue_is_read_without_it(demo: FlaskClient) -> None:
    """Inline from end to end: no version stands on its receipt."""
    frame = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
    body = {"skate": {"mounts": [frame]}, "lines": [{"kind": "frame", "units_per_pack": 2, "mounts": [frame]}]}
    shop: Workshop = demo.application.extensions[EXTENSION]

    assert cart_read(body, CartRequestSchema(), shop).seen is None
    answer = asked(demo, body)
    assert ("clear", None) == (answer["decision"], answer["receipt"]["catalogue"])
