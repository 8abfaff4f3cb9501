"""What a query may ask of the skates and parts: a query has only texts, so here a text stands for a number."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, ClassVar, NamedTuple

from marshmallow import ValidationError, post_load, validates_schema

from mountwright.catalogue.documents import folded, words_of
from mountwright.catalogue.search import Wanted
from mountwright.mounts.registry import Registry
from mountwright.web.faults import Choice, Flag, Matching, Strict, Text, fault
from mountwright.web.paging import sku_of
from mountwright.web.schemas.articles import SKU
from mountwright.web.schemas.mounts import registry_in_use
from mountwright.web.schemas.numbers import Number, Whole
from mountwright.web.sorts import Sort

#: Articles of a page, and the most that may be asked for.
USUAL_LIMIT, LARGEST_LIMIT = 20, 100

#: Largest amount of money, minor units.
_MOST_MINOR = 10**12

_LINE = Matching(r"[^\x00-\x1f\x7f]{1,120}", "1 to 120 characters, none of them a control character")
_GTIN = Matching(r"[0-9]{8}|[0-9]{12,14}", "8, 12, 13 or 14 digits")
_CURRENCY = Matching(r"[A-Z]{3}", "a currency of ISO 4217, three capital letters")

_WHOLE = re.compile(r"-?[0-9]{1,15}", re.ASCII)
_NUMBER = re.compile(r"-?[0-9]{1,9}(\.[0-9]{1,9})?", re.ASCII)


class WrittenWhole(Whole):
    """A whole number, written in digits."""

    def _deserialize(self, value: Any, *place: Any, **options: Any) -> int:
        if not _WHOLE.fullmatch(value):
            raise ValidationError(fault("request.not_whole", value))
        found: int = super()._deserialize(int(value), *place, **options)
        return found


class WrittenNumber(Number):
    """A number, written in digits with a decimal point."""

    def _deserialize(self, value: Any, *place: Any, **options: Any) -> float:
        if not _NUMBER.fullmatch(value):
            raise ValidationError(fault("request.not_number", value))
        found: float = super()._deserialize(float(value), *place, **options)
        return found


class WrittenFlag(Flag):
    """The word true or false."""

    def _deserialize(self, value: Any, *place: Any, **options: Any) -> bool:
        return super()._deserialize({"true": True, "false": False}.get(value, value), *place, **options)


def _holds_a_word(text: str) -> None:
    if not words_of(text):
        raise ValidationError(fault("request.form", text, expected="a letter or digit at least"))


def _is_token(text: str) -> None:
    if sku_of(text) is None:
        raise ValidationError(fault("request.page_token", text))


class PageAsked(NamedTuple):
    """A page that is asked for.

    Parameters
    ----------
    wanted : Wanted
    after : str
        SKU that the page begins after; empty for the first.
    limit : int
        Most articles of the page.
    """

    wanted: Wanted
    after: str
    limit: int


class _PageQuerySchema(Strict):
    """What skates and parts can both be searched by; all that is given holds at once."""

    SORT: ClassVar[Sort]

    name = Text(
        validate=[_LINE, _holds_a_word],
        metadata={"description": "Words, each the beginning of one in name, maker or version."},
    )
    maker = Text(validate=_LINE, metadata={"description": "Whole; case and accents do not matter."})
    gtin = Text(validate=_GTIN)
    position = Text(validate=_LINE, metadata={"description": "Of one of its mounts: frame, strap_instep, axle …"})
    standard = Text(
        validate=_LINE,
        metadata={"description": "That one of its mounts is claimed to follow, at the position if one is given."},
    )
    colour = Text(validate=_LINE, metadata={"description": "Whole; case and accents do not matter."})
    in_stock = WrittenFlag(metadata={"description": "false finds what is known to be out of stock."})
    price_from_minor = WrittenWhole(0, _MOST_MINOR, metadata={"description": "Inclusive; with currency."})
    price_to_minor = WrittenWhole(0, _MOST_MINOR, metadata={"description": "Inclusive; with currency."})
    currency = Text(validate=_CURRENCY, metadata={"description": "ISO 4217."})
    limit = WrittenWhole(
        1,
        LARGEST_LIMIT,
        load_default=USUAL_LIMIT,
        metadata={"description": "Most of a page.", "default": USUAL_LIMIT},
    )
    after = Text(
        load_default="",
        validate=_is_token,
        metadata={"description": "Where the page begins, as the link to it says; not to be made up."},
    )

    @validates_schema
    def _priced(self, data: Mapping[str, Any], **_options: Any) -> None:
        low, high = data.get("price_from_minor"), data.get("price_to_minor")
        if "currency" not in data and (low is not None or high is not None):
            raise ValidationError({"currency": fault("request.no_currency")})
        if low is not None and high is not None and low > high:
            raise ValidationError({"price_from_minor": fault("request.setting_order", low=low, high=high)})

    @post_load
    def build(self, data: dict[str, Any], **_options: Any) -> PageAsked:
        """Give what is asked for."""
        limit, token = data.pop("limit"), data.pop("after")
        if "standard" in data:
            data["standard"] = _keyed(data["standard"], registry_in_use())
        return PageAsked(Wanted(skates=self.SORT is Sort.SKATES, **data), sku_of(token) or "", limit)


class SkateQuerySchema(_PageQuerySchema):
    """What skates can be searched by."""

    SORT = Sort.SKATES

    family = Text(validate=SKU)
    eu_size = WrittenNumber(15, 60, metadata={"description": "That its run of sizes holds."})
    made = WrittenWhole(1950, 2100, metadata={"description": "A year that its run of production holds."})


class PartQuerySchema(_PageQuerySchema):
    """What parts can be searched by."""

    SORT = Sort.PARTS

    kind = Text(validate=Choice(Sort.PARTS.kinds))


def _keyed(name: str, registry: Registry) -> str:
    """Give the key of a standard that goes by another name in the trade; what is not installed is its own."""
    if name in registry.standards:
        return name
    meant = folded(name)
    known = (key for key, each in registry.standards.items() if meant in map(folded, each.also_known_as))
    return next(known, name)
