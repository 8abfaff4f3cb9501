"""The basket at checkout: the request."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from marshmallow import ValidationError, fields, post_load, validates_schema

from mountwright.checkout.article import Article
from mountwright.checkout.basket import BenchWork, Counts, Policy, Unknown
from mountwright.mounts.kinds import kinds
from mountwright.web.carts.cart import (
    EU_SIZES,
    FEET_MM,
    MOST_LINES,
    MOST_PACKS,
    MOST_SKATES,
    NO_WISHES,
    Cart,
    CartLine,
    Wishes,
    cart_of,
)
from mountwright.web.carts.lines import NO_PART, fitted_given, line_given
from mountwright.web.carts.owned import OwnedSkate, owned_given
from mountwright.web.carts.plain import plain_cart
from mountwright.web.faults import Choice, ListOf, ObjectOf, Size, Strict, Text, fault
from mountwright.web.schemas.articles import COLOUR, order_faults, specs_faults
from mountwright.web.schemas.mounts import ModelSchema, MountSchema, desk_in_use
from mountwright.web.schemas.numbers import Number, Whole

_NAME, _SHORT = Size(min=1, max=120), Size(min=1, max=60)


class _DescribedSchema(Strict):
    """A part, by SKU or as it is described."""

    sku = Text(validate=_SHORT)
    kind = Text(validate=Choice([*sorted(kinds()), NO_PART]))
    name = Text(validate=_NAME)
    mounts = ListOf(ObjectOf(MountSchema), validate=Size(min=1, max=24))
    specs = fields.Dict(validate=Size(max=60), metadata={"description": "Figures of its kind, by name."})
    colour = Text(validate=_SHORT)
    colour_srgb = Text(validate=COLOUR)
    side = Text(validate=Choice(["left", "right"]))
    units_per_pack = Whole(1, 10_000)
    sold_as = Text(validate=Choice(["piece", "pair", "set"]))
    eu_size_from = Number(*EU_SIZES)
    eu_size_to = Number(*EU_SIZES)

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _whole(self, data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if not isinstance(given, dict):
            return
        if not given.keys() & {"sku", "kind"}:
            raise ValidationError({"kind": fault("request.required")})
        if faults := {**specs_faults(data), **order_faults(data)}:
            raise ValidationError(faults)


class FittedSchema(_DescribedSchema):
    """A part that stands on the skate instead of what it was sold with."""

    @post_load(pass_original=True)
    def build(self, data: dict[str, Any], given: Any, **_kwargs: Any) -> Article:
        """Give the part.

        Raises
        ------
        ValidationError
            For what the catalogue or the installed standards have to say against it.
        """
        return fitted_given(data, given, desk_in_use())


class LineSchema(_DescribedSchema):
    """A line of the basket."""

    quantity = Whole(1, MOST_PACKS, metadata={"description": "Packs, as the shop counts them; 1 if left out."})
    for_ = Whole(0, MOST_SKATES - 1, data_key="for", metadata={"description": "Index of the skate that it is for."})

    @post_load(pass_original=True)
    def build(self, data: dict[str, Any], given: Any, **_kwargs: Any) -> CartLine:
        """Give the line.

        Raises
        ------
        ValidationError
            For what the catalogue or the installed standards have to say against it.
        """
        return line_given(data, given, desk_in_use())


class FeetSchema(Strict):
    """How long both feet are; the longer decides."""

    left = Number(*FEET_MM, required=True)
    right = Number(*FEET_MM, required=True)


class OwnedSchema(Strict):
    """A customer's skate: by SKU, by model, or by its mounts."""

    sku = Text(validate=_SHORT)
    model = ObjectOf(ModelSchema)
    name = Text(validate=_NAME)
    mounts = ListOf(
        ObjectOf(MountSchema),
        validate=Size(min=1, max=24),
        metadata={"description": "With a SKU or a model: what was measured on the one in hand."},
    )
    specs = fields.Dict(validate=Size(max=60), metadata={"description": "Figures of a skate without a SKU."})
    eu_size = Number(*EU_SIZES, metadata={"description": "Which size of it the customer has."})
    foot_lengths_mm = ObjectOf(FeetSchema)
    fitted = ListOf(
        ObjectOf(FittedSchema),
        validate=Size(max=40),
        metadata={"description": "What stands on it now: a kind that is named here replaces what it was sold with."},
    )

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _named_once(self, data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if not isinstance(given, dict):
            return
        if "sku" in data and "model" in data:
            raise ValidationError({"model": fault("request.sku_or_model")})
        if not given.keys() & {"sku", "model", "mounts"}:
            raise ValidationError({"mounts": fault("request.nothing_named")})
        if faults := specs_faults({**data, "kind": "skate"}):
            raise ValidationError(faults)

    @post_load(pass_original=True)
    def build(self, data: dict[str, Any], given: Any, **_kwargs: Any) -> OwnedSkate:
        """Give the skate with what stands on it.

        Raises
        ------
        ValidationError
            For what the catalogue or the installed standards have to say against it.
        """
        return owned_given(data, given, desk_in_use())


class PolicySchema(Strict):
    """What the shop decides for itself."""

    on_unknown = Text(
        data_key="unknown",
        validate=Choice([each.value for each in Unknown]),
        metadata={"description": "lenient: what nobody knows asks, but does not hold up the parcel."},
    )
    unlisted = Text(
        validate=Choice(["confirm", "not_a_part"]),
        metadata={"description": "What a SKU is that the catalogue does not have."},
    )
    counts = Text(validate=Choice([each.value for each in Counts]), metadata={"description": "What is counted for."})
    fits_at_least = Number(0.5, 1, metadata={"description": "Probability from which a part fits."})
    does_not_fit_at_most = Number(0, 0.5, metadata={"description": "Probability up to which it does not."})
    bench_work = Text(
        validate=Choice([each.value for each in BenchWork]),
        metadata={"description": "in_basket: a part that takes work is clear with one of workshop_skus in the basket."},
    )
    workshop_skus = ListOf(Text(validate=_SHORT), validate=Size(max=100))

    @validates_schema
    def _apart(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        low, high = data.get("does_not_fit_at_most"), data.get("fits_at_least")
        if low is not None and low == high:
            raise ValidationError({"does_not_fit_at_most": fault("request.setting_order", low=low, high=high)})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Wishes:
        """Give the policy."""
        policy = Policy(
            unknown=Unknown(data.get("on_unknown", Unknown.STRICT)),
            counts=Counts(data.get("counts", Counts.PAIR)),
            bench_work=BenchWork(data.get("bench_work", BenchWork.ASK)),
            fits_at_least=data.get("fits_at_least"),
            does_not_fit_at_most=data.get("does_not_fit_at_most"),
        )
        return Wishes(policy, data.get("unlisted") == "not_a_part", frozenset(data.get("workshop_skus", ())))


class CartRequestSchema(Strict):
    """A basket, and the skate or skates that it is for."""

    skate = ObjectOf(OwnedSchema)
    skates = ListOf(ObjectOf(OwnedSchema), validate=Size(min=1, max=MOST_SKATES))
    lines = ListOf(ObjectOf(LineSchema), required=True, validate=Size(max=MOST_LINES))
    policy = ObjectOf(PolicySchema)

    def load(self, data: Any, **kwargs: Any) -> Any:
        """Give the basket; one of plain SKUs takes the short way."""
        return plain_cart(data, desk_in_use()) or super().load(data, **kwargs)

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _skates_once(self, _data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if not isinstance(given, dict):
            return
        if "skate" in given and "skates" in given:
            raise ValidationError({"skates": fault("request.skate_or_skates")})
        if not given.keys() & {"skate", "skates"}:
            raise ValidationError({"skate": fault("request.required")})
        if faults := dict(_for_nobody(given)):
            raise ValidationError({"lines": faults})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Cart:
        """Give the basket."""
        owned: list[OwnedSkate] = data["skates"] if "skates" in data else [data["skate"]]
        basket = desk_in_use().basket
        return cart_of(
            [each.owned for each in owned],
            [each.sku for each in owned],
            data["lines"],
            data.get("policy", NO_WISHES),
            () if basket is None else basket.paused,
        )


def _for_nobody(given: Mapping[str, Any]) -> Iterator[tuple[int, Any]]:
    """Give the lines that are for a skate which is not there."""
    skates = given.get("skates")
    count = len(skates) if isinstance(skates, list) else 1
    lines = given.get("lines")
    for index, line in enumerate(lines if isinstance(lines, list) else ()):
        found = line.get("for") if isinstance(line, dict) else None
        if type(found) is int and not 0 <= found < count:
            yield index, {"for": fault("request.bounds", found, low=0, high=count - 1)}
