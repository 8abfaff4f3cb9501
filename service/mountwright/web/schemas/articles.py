"""Skates, parts and families as the catalogue keeps them: what a record may say."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from iso4217 import Currency
from marshmallow import ValidationError, fields, post_load, validates_schema
from stdnum import ean

from mountwright.catalogue.documents import FAMILY, SKATE
from mountwright.messages import Fault
from mountwright.mounts.kinds import kinds, spec_faults
from mountwright.web.faults import Choice, ListOf, Matching, ObjectOf, Size, Strict, Text, fault
from mountwright.web.reading import mount_read, part_built
from mountwright.web.schemas.days import Day
from mountwright.web.schemas.mounts import MountSchema, registry_in_use
from mountwright.web.schemas.numbers import Number, Whole

_NAME, _SHORT, _LONG = Size(min=1, max=120), Size(min=1, max=60), Size(min=1, max=500)

#: Letters, digits, dot, hyphen and underscore: safe in a path and in a cell.
SKU = Matching(r"[A-Za-z0-9][A-Za-z0-9._-]{0,59}", "letters, digits, dot, hyphen and underscore, 60 at most")
_ADDRESS = Matching(r"https?://[^\s]{1,480}", "an http or https address")
COLOUR = Matching(r"#[0-9a-f]{6}", "# and six lower-case hexadecimal digits")

#: Largest number of anything that a shop counts.
_MOST = 10**12


class CataloguedMountSchema(MountSchema):
    """A mount of the catalogue: a standard that is not installed is kept."""

    source = Text(validate=_LONG, metadata={"description": "Where its figures come from."})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Any:
        """Give the data as it was, once the installed standards have no fault to find with it.

        Raises
        ------
        ValidationError
            With every fault that only the installed standards can tell.
        """
        faults = self._judged(data)
        if faults:
            raise ValidationError(faults)
        return data

    def _judged(self, data: Mapping[str, Any]) -> Any:
        return mount_read(data, registry_in_use(), kept=True)[1]


class SpanSchema(Strict):
    """A run of sizes and of years of production, both ends inclusive; an end that is left out is open."""

    eu_size_from = Number(15, 60)
    eu_size_to = Number(15, 60)
    made_from = Whole(1950, 2100)
    made_to = Whole(1950, 2100)

    @validates_schema(skip_on_field_errors=False)
    def _ordered(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if faults := order_faults(data):
            raise ValidationError(faults)

    @validates_schema
    def _apart(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        registry = registry_in_use()
        kind = "" if data["kind"] in (SKATE, FAMILY) else data["kind"]
        mounts = [mount_read(mount, registry, kept=True)[0] for mount in data.get("mounts", ())]
        if faults := part_built(kind, mounts, "", registry)[1]:
            raise ValidationError({"mounts": faults})


class FamilySchema(SpanSchema):
    """A family's mounts, for one run of sizes and years."""

    kind = Text(required=True, validate=Choice([FAMILY]))
    family = Text(required=True, validate=SKU)
    parent = Text(validate=SKU, metadata={"description": "The family that it inherits from."})
    mounts = ListOf(ObjectOf(CataloguedMountSchema), validate=Size(max=24))


class ContentSchema(Strict):
    """A part that a skate comes with."""

    sku = Text(required=True, validate=SKU)
    count = Whole(1, 1000, required=True, metadata={"description": "For the pair of skates."})


class ArticleSchema(SpanSchema):
    """A skate or a part."""

    sku = Text(required=True, validate=SKU)
    kind = Text(required=True, validate=Choice(sorted(kinds())))
    name = Text(validate=_NAME)
    maker = Text(validate=_NAME)
    version = Text(validate=_NAME, metadata={"description": "What tells it from its namesakes, in a word or two."})
    mark = Text(validate=_LONG, metadata={"description": "What one sees that tells this version from its namesakes."})
    family = Text(validate=SKU, metadata={"description": "Where a skate inherits its mounts from."})
    gtin = Text(metadata={"description": "8, 12, 13 or 14 digits; the check digit is verified."})
    price_minor = Whole(0, _MOST, metadata={"description": "In the currency's minor unit."})
    trade_in_minor = Whole(0, _MOST, metadata={"description": "What a complete skate is taken back for."})
    currency = Text(metadata={"description": "ISO 4217, three letters."})
    stock = Whole(0, _MOST)
    checked_on = Day(
        metadata={
            "format": "date",
            "description": "When the row was last held against the goods: returns up to this day no longer count.",
        }
    )
    units_per_pack = Whole(1, 10_000)
    sold_as = Text(validate=Choice(["piece", "pair", "set"]))
    side = Text(validate=Choice(["left", "right"]))
    colour = Text(validate=_SHORT)
    colour_srgb = Text(validate=COLOUR)
    photo_url = Text(validate=_ADDRESS)
    links = ListOf(Text(validate=_ADDRESS), validate=Size(max=20))
    comes_with = ListOf(ObjectOf(ContentSchema), validate=Size(max=40))
    specs = fields.Dict(
        validate=Size(max=60), metadata={"description": "Figures of its kind, by name; the unit is in the name."}
    )
    mounts = ListOf(ObjectOf(CataloguedMountSchema), validate=Size(max=24))

    @validates_schema(skip_on_field_errors=False)
    def _consistent(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        faults: dict[str, Any] = {}
        for judge in _JUDGES:
            faults.update(judge(data))
        if faults:
            raise ValidationError(faults)

    def is_plainly_right(self, record: Mapping[str, Any]) -> bool:
        """Tell whether a record is right without a look at the fields that it does not have.

        The short way of an import; what is not plainly right goes through :meth:`load`, which alone says what is
        wrong. Tests hold that it finds nothing wrong with what is plainly right.
        """
        if not record.keys() >= {"sku", "kind"}:
            return False
        try:
            for name, value in record.items():
                self.load_fields[name].deserialize(value, name, record)
        except (KeyError, ValidationError):
            return False
        return not any(judge(record) for judge in _JUDGES)


def specs_faults(data: Mapping[str, Any]) -> dict[str, Any]:
    """Give what is wrong with the specs of a record, by place, as far as its kind tells."""
    kind = kinds().get(data.get("kind", ""))
    found: dict[str, Any] = {}
    for wrong in spec_faults(kind, data["specs"]) if kind and "specs" in data else ():
        below = found.setdefault("specs", {})
        for step in wrong.place[:-1]:
            below = below.setdefault(step, {})
        below[wrong.place[-1]] = [Fault(wrong.code, wrong.params)]
    return found


def _money(data: Mapping[str, Any]) -> dict[str, Any]:
    currency = data.get("currency")
    if currency is not None and currency not in _currencies():
        return {"currency": fault("request.currency", currency)}
    if currency is None and ("price_minor" in data or "trade_in_minor" in data):
        return {"currency": fault("request.no_currency")}
    return {}


@cache
def _currencies() -> frozenset[str]:
    return frozenset(currency.code for currency in Currency)


def _gtin(data: Mapping[str, Any]) -> dict[str, Any]:
    gtin = data.get("gtin")
    # The check digit is right as it stands; the library also takes spaces and hyphens.
    wrong = gtin is not None and not (gtin.isdecimal() and ean.is_valid(gtin))
    return {"gtin": fault("request.gtin", gtin)} if wrong else {}


_OF_SKATES = ("family", "comes_with", "trade_in_minor")


def _skates_only(data: Mapping[str, Any]) -> dict[str, Any]:
    if data.get("kind", SKATE) == SKATE:
        return {}
    return {name: fault("request.skates_only") for name in _OF_SKATES if name in data}


def order_faults(data: Mapping[str, Any]) -> dict[str, Any]:
    """Give the runs of sizes and years that end before they begin."""
    runs = (("eu_size_from", "eu_size_to"), ("made_from", "made_to"))
    return {
        low: fault("request.setting_order", low=data[low], high=data[high])
        for low, high in runs
        if low in data and high in data and data[low] > data[high]
    }


_JUDGES = (specs_faults, _money, _gtin, _skates_only, order_faults)
