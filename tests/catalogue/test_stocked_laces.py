"""Laces that are in stock, found by their length."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from mountwright.catalogue.engines import Engines
from mountwright.catalogue.stocked_laces import StockedLace, laces_in_stock

Json = dict[str, Any]


def lace(sku: str, length_mm: float | None, **more: Any) -> Json:
    """Give a lace of which five packs are in stock."""
    specs = {} if length_mm is None else {"length_mm": length_mm}
    return {"sku": sku, "kind": "lace", "name": sku.upper(), "stock": 5, "specs": specs, **more}


@pytest.fixture(autouse=True)
def stocked(file: Callable[..., Path], bring_in: Callable[..., Any]) -> None:
    """Keep laces of several lengths, some of them sold out or of no known stock or length, and what is no lace."""
    sold_out, unknown = lace("d-1500", 1500, stock=0), lace("e-1500", 1500)
    del unknown["stock"]
    slider = {"sku": "slider", "kind": "slider", "name": "Slider", "stock": 3, "specs": {"length_mm": 390}}
    priced = lace("c-1500", 1500, price_minor=490, currency="EUR")
    kept = (lace("b-1800", 1800), priced, lace("a-1500", 1500), sold_out, unknown, lace("f", None), slider)
    assert bring_in(file(*kept, lace("g-300", 300))).is_good


class TestLacesInStock:
    """Laces in stock ..."""

    def test_come_shortest_first_and_then_by_sku(self, engines: Engines) -> None:
        """... come shortest first, of one length by SKU, without those that are sold out, or may be."""
        with engines.reading() as connection:
            found = laces_in_stock(connection, 400, 10)
        assert ["a-1500", "c-1500", "b-1800"] == [each.sku for each in found]
        assert StockedLace(1500, "c-1500", "C-1500", 490, "EUR", 5) == found[1]

    def test_are_as_long_as_wanted(self, engines: Engines) -> None:
        """... are as long as wanted or longer, the wanted length included."""
        with engines.reading() as connection:
            found = [laces_in_stock(connection, least, 10) for least in (1500, 1500.1, 1800.1)]
        assert [3, 1, 0] == [len(each) for each in found]

    def test_are_no_more_than_asked_for(self, engines: Engines) -> None:
        """... are cut off behind the shortest."""
        with engines.reading() as connection:
            assert ["g-300", "a-1500"] == [each.sku for each in laces_in_stock(connection, 0, 2)]
