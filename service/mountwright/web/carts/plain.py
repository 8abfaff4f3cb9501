"""The short way for a basket of plain SKUs: what a webshop sends at checkout, without a schema object in between.

Whatever is not plainly right gives None and goes marshmallow's way, which alone says what is wrong. Tests hold the two
ways to give equal baskets for everything that this one takes.
"""

from __future__ import annotations

from typing import Any

from mountwright.checkout.basket import Owned, Version
from mountwright.measure.quantity import thousandths
from mountwright.web.carts.cart import EU_SIZES, FEET_MM, MOST_LINES, MOST_PACKS, NO_WISHES, Cart, CartLine, cart_of
from mountwright.web.carts.lines import key_of
from mountwright.web.carts.owned import version_shelved
from mountwright.web.shelved import SeenBasket
from mountwright.web.workshop import Desk

_PLAIN = frozenset(("skate", "lines"))
_SKATE_FIELDS = frozenset(("sku", "eu_size", "foot_lengths_mm"))
_LINE_FIELDS = frozenset(("sku", "quantity"))
_FEET = frozenset(("left", "right"))
_LONGEST_SKU = 60


def plain_cart(data: Any, desk: Desk) -> Cart | None:
    """Give the basket that a JSON value plainly describes, or None.

    Parameters
    ----------
    data : Any
        As parsed.
    desk : Desk
    """
    seen = desk.basket
    if type(data) is not dict or data.keys() != _PLAIN or seen is None:
        return None
    skate, lines = data["skate"], data["lines"]
    if type(lines) is not list or len(lines) > MOST_LINES:
        return None
    owned = _owned(skate, seen, desk)
    found = [_line(line, seen) for line in lines]
    if owned is None or None in found:
        return None
    return cart_of([owned], [skate["sku"]], [line for line in found if line is not None], NO_WISHES, seen.paused)


def _owned(data: Any, seen: SeenBasket, desk: Desk) -> Owned | None:
    if type(data) is not dict or not data.keys() <= _SKATE_FIELDS or type(data.get("sku")) is not str:
        return None
    shelved = seen.articles.get(data["sku"])
    if shelved is None or shelved.signature.of_part:
        return None
    size, feet = data.get("eu_size"), data.get("foot_lengths_mm")
    if "eu_size" in data and not _is_number(size, *EU_SIZES):
        return None
    if "foot_lengths_mm" in data and not _are_feet(feet):
        return None
    version: Version = version_shelved(shelved, desk)
    return Owned((version,), size, None if feet is None else (thousandths(feet["left"]), thousandths(feet["right"])))


def _are_feet(feet: Any) -> bool:
    return type(feet) is dict and feet.keys() == _FEET and all(_is_number(length, *FEET_MM) for length in feet.values())


def _is_number(value: Any, low: float, high: float) -> bool:
    return (type(value) is int or type(value) is float) and low <= value <= high


def _line(data: Any, seen: SeenBasket) -> CartLine | None:
    if type(data) is not dict or not data.keys() <= _LINE_FIELDS:
        return None
    sku, packs = data.get("sku"), data.get("quantity", 1)
    if (
        type(sku) is not str
        or not 1 <= len(sku) <= _LONGEST_SKU
        or type(packs) is not int
        or not 1 <= packs <= MOST_PACKS
    ):
        return None
    shelved = seen.articles.get(sku)
    article = None if shelved is None else shelved.article
    return CartLine(key_of({"sku": sku}), sku, article, packs, None, False)
