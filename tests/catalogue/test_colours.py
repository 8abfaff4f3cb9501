"""Parts by their colour: beside the document since it was written, and found within a box."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from mountwright.bench.colour_box import LabBox, box_around
from mountwright.bench.colours import Lab, lab_of
from mountwright.catalogue.colours import (
    Coloured,
    articles_in_colour,
    colours_within,
    signatures_left,
    skus_of_colour,
    without_colour,
)
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import Report
from mountwright.catalogue.search import Wanted
from mountwright.catalogue.tables import ARTICLES, SIGNATURES
from mountwright.fitting.narrowing import Chance

Json = dict[str, Any]

ANY = Coloured(("frame", "lace", "wheel"), Wanted(skates=False))
TEAL, RUST = "#1a8a86", "#a2472b"
EVERYWHERE = LabBox((0, 100), (-128, 128), (-128, 128))


def part(sku: str, colour: str | None = TEAL, kind: str = "lace", **more: Any) -> Json:
    """Give a part of a colour."""
    coloured = {} if colour is None else {"colour_srgb": colour}
    return {"sku": sku, "kind": kind, "name": sku, **coloured, **more}


def frame(sku: str, standard: str, colour: str = TEAL) -> Json:
    """Give a frame of a colour."""
    mount = {"position": "frame", "standard": standard, "claimed_by": "maker"}
    return part(sku, colour, "frame", mounts=[mount])


@pytest.fixture
def keep(bring_in: Callable[..., Report], file: Callable[..., Path]) -> Callable[..., None]:
    """Give a way to bring articles in."""

    def kept(*records: Json) -> None:
        assert bring_in(file(*records)).is_good

    return kept


def figures(engines: Engines) -> dict[str, tuple[float | None, ...]]:
    """Give the columns of every article's colour."""
    columns = ARTICLES.c
    with engines.reading() as connection:
        rows = connection.execute(select(columns.sku, columns.lab_l, columns.lab_a, columns.lab_b))
        return {sku: tuple(lab) for sku, *lab in rows}


def numbers(engines: Engines) -> dict[str, int]:
    """Give the number of every article's set of mounts."""
    with engines.reading() as connection:
        return {sku: int(number) for sku, number in connection.execute(select(ARTICLES.c.sku, ARTICLES.c.signature_id))}


class TestAColour:
    """The colour of an article ..."""

    def test_stands_beside_its_document(self, engines: Engines, keep: Callable[..., None]) -> None:
        """... is kept as figures where it has one, a skate's too, and as nothing where it has none."""
        keep(part("a"), part("b", None), {"sku": "skate", "kind": "skate", "name": "S", "colour_srgb": RUST})
        teal, rust = lab_of(TEAL), lab_of(RUST)

        assert {
            "a": (teal.lightness, teal.a, teal.b),
            "b": (None, None, None),
            "skate": (rust.lightness, rust.a, rust.b),
        } == figures(engines)

    def test_changes_with_the_article(self, engines: Engines, keep: Callable[..., None]) -> None:
        """... is another, or gone, once the article is."""
        keep(part("a"), part("b"))
        keep(part("a", RUST), part("b", None))

        assert (lab_of(RUST).lightness, None) == (figures(engines)["a"][0], figures(engines)["b"][0])


class TestWithin:
    """What lies within a box ..."""

    def test_is_each_colour_with_each_set_of_mounts_once(self, engines: Engines, keep: Callable[..., None]) -> None:
        """... is told by colour and set of mounts, with how many there are and the first SKU."""
        keep(
            *(frame(f"f-{number}", "two-bolt-165") for number in range(3)), frame("g", "two-bolt-195"), part("h", RUST)
        )
        with engines.reading() as connection:
            found = colours_within(connection, EVERYWHERE, ANY, ())
        by_number = numbers(engines)

        assert found == sorted(found)
        assert {
            (lab_of(TEAL), by_number["f-0"], 3, "f-0"),
            (lab_of(TEAL), by_number["g"], 1, "g"),
            (lab_of(RUST), by_number["h"], 1, "h"),
        } == set(found)

    def test_leaves_out_what_lies_beyond_and_what_has_none(self, engines: Engines, keep: Callable[..., None]) -> None:
        """... is near in lightness, a* and b*, each end included, and has a colour."""
        keep(part("teal"), part("rust", RUST), part("none", None))
        teal = lab_of(TEAL)
        point = LabBox((teal.lightness,) * 2, (teal.a,) * 2, (teal.b,) * 2)
        with engines.reading() as connection:
            near, exactly = (
                [each.first for each in colours_within(connection, box, ANY, ())]
                for box in (box_around(teal, 5), point)
            )

        assert (["teal"], ["teal"]) == (near, exactly)

    def test_of_an_empty_box_is_nothing(self, engines: Engines, keep: Callable[..., None]) -> None:
        """... of the box around what no screen shows is nothing."""
        keep(part("teal"))
        with engines.reading() as connection:
            assert [] == colours_within(connection, box_around(Lab(50, 128, 128), 1), ANY, ())

    @pytest.mark.parametrize(
        ("coloured", "expected"),
        [
            (ANY, {"lace", "wheel", "dear", "gone"}),
            (Coloured(("wheel",), Wanted(skates=False)), {"wheel"}),
            (Coloured(ANY.kinds, Wanted(skates=False, in_stock=True)), {"dear"}),
            (Coloured(ANY.kinds, Wanted(skates=False, in_stock=False)), {"gone"}),
            (Coloured(ANY.kinds, Wanted(skates=False, price_to_minor=500, currency="EUR")), {"gone"}),
        ],
        ids=["any", "of a kind", "in stock", "out of stock", "cheap"],
    )
    def test_meets_what_else_is_asked(
        self, engines: Engines, keep: Callable[..., None], coloured: Coloured, expected: set[str]
    ) -> None:
        """... is of a kind, in stock and of a price as it was asked."""
        price: Json = {"currency": "EUR", "price_minor": 500}
        keep(
            part("lace", "#1a8a80"),
            part("wheel", "#1a8a81", "wheel"),
            part("dear", "#1a8a82", stock=2, **{**price, "price_minor": 501}),
            part("gone", "#1a8a83", stock=0, **price),
            {"sku": "skate", "kind": "skate", "name": "S", "colour_srgb": TEAL},
        )
        with engines.reading() as connection:
            found = colours_within(connection, EVERYWHERE, coloured, ())

        assert expected == {each.first for each in found}

    def test_may_be_without_some(self, engines: Engines, keep: Callable[..., None]) -> None:
        """... is counted without articles that stand by themselves."""
        keep(part("a"), part("b"), part("c"))
        with engines.reading() as connection:
            (found,) = colours_within(connection, EVERYWHERE, ANY, ["a", "nobody"])

        assert (2, "b") == (found.there_are, found.first)


class TestArticles:
    """Articles of a colour ..."""

    def test_come_in_order_of_sku(self, engines: Engines, keep: Callable[..., None]) -> None:
        """... are the first by SKU with these mounts, without those that are left out."""
        keep(*(frame(f"f-{number}", "two-bolt-165") for number in range(5)), frame("f-00", "two-bolt-195"))
        number = numbers(engines)["f-0"]
        with engines.reading() as connection:
            found = skus_of_colour(connection, lab_of(TEAL), [number], ANY, ["f-1"], 3)

        assert ["f-0", "f-2", "f-3"] == found

    def test_are_known_by_their_colour(self, engines: Engines, keep: Callable[..., None]) -> None:
        """... that are named are given with it; those without one, and others than are asked for, are not."""
        keep(part("a"), part("b", None), part("c", RUST), part("w", TEAL, "buckle"))
        with engines.reading() as connection:
            found = articles_in_colour(connection, ["c", "b", "a", "w", "x"], ANY)

        assert [(lab_of(TEAL), "a"), (lab_of(RUST), "c")] == [(lab, kept.sku) for lab, kept in found]

    def test_without_one_are_counted(self, engines: Engines, keep: Callable[..., None]) -> None:
        """... that have none are counted by what is asked for."""
        keep(part("a"), part("b", None), part("c", None, "buckle"))
        with engines.reading() as connection:
            assert 1 == without_colour(connection, ANY)


class TestSets:
    """Sets of mounts ..."""

    @pytest.mark.parametrize(
        ("unwanted", "expected"),
        [
            (frozenset(), {"right", "wrong", "bare"}),
            (frozenset({"two-bolt-195"}), {"right", "bare"}),
        ],
    )
    def test_that_have_no_chance_are_left_out(
        self, engines: Engines, keep: Callable[..., None], unwanted: frozenset[str], expected: set[str]
    ) -> None:
        """... are left out where they are refused at a position; those with nothing there are not."""
        keep(frame("right", "two-bolt-165"), frame("wrong", "two-bolt-195"), part("bare"))
        by_sku = numbers(engines)
        with engines.reading() as connection:
            rules = connection.scalar(select(SIGNATURES.c.rules).limit(1))
            chance = Chance(not unwanted, unwanted, frozenset({"maker"}))
            found = signatures_left(connection, by_sku.values(), (("frame", (chance,)),), rules or "")

        assert {by_sku[sku] for sku in expected} == found.keys()
