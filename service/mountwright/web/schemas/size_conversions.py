"""Feet to sizes, shell, liner and insole: the request."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, post_load, validates_schema

from mountwright.bench.feet import PLAUSIBLE_MM, Feet, Foot, Measure
from mountwright.bench.foot_shares import survey_groups
from mountwright.bench.shoe_sizes import Wish
from mountwright.bench.size_conversion import SizeQuestion
from mountwright.measure.instruments import instruments
from mountwright.measure.quantity import Quantity, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.kinds import specs
from mountwright.web.carts.cart import EU_SIZES
from mountwright.web.faults import Choice, ListOf, ObjectOf, Size, Strict, Text, fault
from mountwright.web.schemas.articles import order_faults, specs_faults
from mountwright.web.schemas.mounts import desk_in_use
from mountwright.web.schemas.numbers import Number
from mountwright.web.schemas.set_ups import ReadingSchema
from mountwright.web.sizes.asking import MOST_OFFERED
from mountwright.web.sizes.offered import SHELL_SPECS, insole_offered, liner_offered, shell_offered
from mountwright.web.workshop import Desk

_NAME, _SHORT = Size(min=1, max=120), Size(min=1, max=60)
_OFFERED = Size(min=1, max=MOST_OFFERED)


class _LengthSchema(ReadingSchema):
    """A length that was measured, with the instrument or a half-width, kept in whole micrometres."""

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Quantity:
        """Give the reading with its standard uncertainty (JCGM 100:2008, 4.3.7)."""
        if "plus_minus" in data:
            half_width_um, instrument = data["plus_minus"] * 1000, data.get("instrument", "plus_minus")
        else:
            half_width_um, instrument = instruments()[data["instrument"]].half_widths["mm"], data["instrument"]
        return Quantity(thousandths(data["value"]), rectangular(half_width_um), instrument)


def _length(name: str, low: float, high: float) -> type[Schema]:
    """Give the schema of a length within bounds, both inclusive, mm."""
    return type(f"{name}LengthSchema", (_LengthSchema,), {"value": Number(low, high, required=True)})


def _of_foot(measure: Measure) -> type[Schema]:
    return _length(f"Foot{measure.name.title()}", *PLAUSIBLE_MM[measure])


class FootSchema(Strict):
    """One foot, standing on both, without a sock."""

    length_mm = ObjectOf(
        _of_foot(Measure.LENGTH), required=True, metadata={"description": "Heel at a wall, to the longest toe."}
    )
    breadth_mm = ObjectOf(_of_foot(Measure.BREADTH), metadata={"description": "Across, where it is broadest."})
    instep_height_mm = ObjectOf(
        _of_foot(Measure.INSTEP), metadata={"description": "From the floor to the top of the foot, halfway along."}
    )

    @validates_schema
    def _slender(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        length, breadth = data["length_mm"], data.get("breadth_mm")
        if breadth is not None and breadth.value >= length.value:
            found = fault("sizes.broader_than_long", breadth.value / 1000, length=length.value / 1000)
            raise ValidationError({"breadth_mm": {"value": found}})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Foot:
        """Give the foot."""
        return Foot(**{name.removesuffix("_mm"): reading for name, reading in data.items()})


class _OfferedSchema(Strict):
    """Something that is offered, by SKU or by its figures."""

    kind = ""

    sku = Text(validate=_SHORT)
    name = Text(validate=_NAME)
    specs = fields.Dict(validate=Size(max=60), metadata={"description": "Figures of its kind, by name."})
    eu_size_from = Number(*EU_SIZES, metadata={"description": "The first size that it is made for."})
    eu_size_to = Number(*EU_SIZES, metadata={"description": "The last."})

    @validates_schema(skip_on_field_errors=False)
    def _known(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if faults := {**specs_faults({**data, "kind": self.kind}), **order_faults(data)}:
            raise ValidationError(faults)

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _named(self, _data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if isinstance(given, dict) and not given.keys() & {"sku", "specs", "measured"}:
            raise ValidationError({"specs": fault("request.required")})


def _of_spec(name: str) -> ObjectOf:
    """Give the field of a figure that was measured, within its own bounds."""
    return ObjectOf(_length(name.title().replace("_", ""), specs()[name].low, specs()[name].high))


class MeasuredShellSchema(Strict):
    """What was measured of a shell, inside, without its liner."""

    shell_length_mm = _of_spec(SHELL_SPECS[Measure.LENGTH])
    shell_breadth_mm = _of_spec(SHELL_SPECS[Measure.BREADTH])
    shell_instep_height_mm = _of_spec(SHELL_SPECS[Measure.INSTEP])
    heel_gap_mm = ObjectOf(
        _length("HeelGap", 0, 100),
        metadata={"description": "Behind the longer foot, bare, toes just at the front. Goes before the length."},
    )


class MeasuredLinerSchema(Strict):
    """What was measured of a liner."""

    thickness_mm = _of_spec("thickness_mm")


class ShellSchema(_OfferedSchema):
    """A skate whose shell is to be judged."""

    kind = "skate"

    measured = ObjectOf(MeasuredShellSchema, metadata={"description": "What was measured on the one in hand."})


class LinerSchema(_OfferedSchema):
    """A liner."""

    kind = "liner"

    measured = ObjectOf(MeasuredLinerSchema, metadata={"description": "What was measured on the one in hand."})


class InsoleSchema(_OfferedSchema):
    """An insole."""

    kind = "insole"


_OFFERED_AS: Mapping[str, Callable[[Mapping[str, Any], Desk], Any]] = {
    "skates": shell_offered,
    "liners": liner_offered,
    "insoles": insole_offered,
}


class SizeConversionRequestSchema(Strict):
    """Both feet, and what is offered for them."""

    left = ObjectOf(FootSchema, required=True)
    right = ObjectOf(FootSchema, required=True)
    fit = Text(validate=Choice([each.value for each in Wish]), metadata={"description": "Either if left out."})
    survey_group = Text(validate=Choice(list(survey_groups())), metadata={"description": "All if left out."})
    skates = ListOf(ObjectOf(ShellSchema), validate=_OFFERED, metadata={"description": "Shells to choose from."})
    liners = ListOf(ObjectOf(LinerSchema), validate=_OFFERED, metadata={"description": "For the best of the shells."})
    insoles = ListOf(ObjectOf(InsoleSchema), validate=_OFFERED, metadata={"description": "For the best of the liners."})
    old_insole_thickness_mm = Number(
        0.2, 25, metadata={"description": "Of the insole that is in the skate now: so thick a one goes in."}
    )

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _of_both(self, _data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if faults := dict(_one_sided(given)):
            raise ValidationError(faults)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> SizeQuestion:
        """Give the question.

        Raises
        ------
        ValidationError
            For what the catalogue has to say against what is offered.
        """
        offered = _offered(data)
        old = data.get("old_insole_thickness_mm")
        return SizeQuestion(
            Feet(data["left"], data["right"]),
            Wish(data["fit"]) if "fit" in data else None,
            data.get("survey_group"),
            offered["skates"],
            offered["liners"],
            offered["insoles"],
            None if old is None else thousandths(old),
        )


def _one_sided(given: Any) -> Iterator[tuple[str, Any]]:
    """Give what is told of one foot and not of the other, by the foot that lacks it."""
    feet: dict[str, Any] = {side: given.get(side) for side in _SIDES} if isinstance(given, dict) else {}
    if not all(isinstance(foot, dict) for foot in feet.values()):
        return
    told = {name for foot in feet.values() for name in _OF_BOTH if name in foot}
    for side, foot in feet.items():
        if lacking := sorted(told - foot.keys()):
            yield side, {name: fault("sizes.both_feet", measure=name) for name in lacking}


_SIDES = ("left", "right")

#: What may be told of both feet, or of neither.
_OF_BOTH = ("breadth_mm", "instep_height_mm")


def _offered(data: Mapping[str, Any]) -> dict[str, tuple[Any, ...]]:
    desk, found, faults = desk_in_use(), {}, {}
    for name, built in _OFFERED_AS.items():
        found[name], wrong = _built(data.get(name, ()), built, desk)
        faults.update({name: wrong} if wrong else {})
    if faults:
        raise ValidationError(faults)
    return found


def _built(entries: Any, built: Callable[[Mapping[str, Any], Desk], Any], desk: Desk) -> tuple[tuple[Any, ...], Any]:
    """Give what entries mean, and what is wrong with each, by place."""
    found: list[Any] = []
    faults: dict[int, Any] = {}
    for place, entry in enumerate(entries):
        try:
            found.append(built(entry, desk))
        except ValidationError as error:
            faults[place] = error.messages
    return tuple(found), faults
