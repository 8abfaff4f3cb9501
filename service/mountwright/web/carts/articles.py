"""From a record of the catalogue, or one that a request brings, to the article that a basket is judged by."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.checkout.article import ANY_SIZE, Article, Hand, Price, SizeRun
from mountwright.mounts.mount import Part


def article_recorded(record: Mapping[str, Any], part: Part) -> Article:
    """Give the article that a record describes.

    Parameters
    ----------
    record : Mapping
        Well-formed, with its kind.
    part : Part
        Its mounts.
    """
    price = record.get("price_minor")
    return Article(
        kind=record["kind"],
        part=part,
        sku=record.get("sku", ""),
        name=record.get("name", ""),
        specs=record.get("specs", {}),
        sizes=_run(record),
        hand=Hand(record["side"]) if "side" in record else None,
        units_per_pack=record.get("units_per_pack"),
        sold_as=record.get("sold_as", ""),
        colour=record.get("colour", ""),
        colour_srgb=record.get("colour_srgb", ""),
        price=None if price is None else Price(price, record["currency"]),
    )


def _run(record: Mapping[str, Any]) -> SizeRun:
    low, high = record.get("eu_size_from"), record.get("eu_size_to")
    return ANY_SIZE if low is None and high is None else SizeRun(low, high)
