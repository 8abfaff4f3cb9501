"""Bearing care: the request, and the answer as the contract shows it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, post_load, validate, validates_schema

from mountwright.bench.bearing_care import CareQuestion, Dirt, Outcome
from mountwright.bench.jobs import COST_CURRENCY
from mountwright.errors import InvalidQuantityError
from mountwright.messages import Fault
from mountwright.riding.band import Band
from mountwright.web.faults import Choice, Flag, ObjectOf, Strict, fault
from mountwright.web.faults import Text as Word
from mountwright.web.schemas.fit_checks import ReceiptSchema
from mountwright.web.schemas.money import MOST_MINOR, MOST_MINOR_PER_HOUR, CurrencyCode
from mountwright.web.schemas.numbers import Number, Whole
from mountwright.web.schemas.ride_answers import BandSchema, NoteSchema

_USUAL = "The usual figure, with its range, if left out."


class _BoundedSchema(Strict):
    """A figure that is known within bounds; what is known exactly has both bounds alike."""

    @validates_schema
    def _ordered(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        low, high = data["low"], data["high"]
        if low > high:
            raise ValidationError({"low": fault("request.setting_order", low=low, high=high)})
        if not low <= data.get("likely", low) <= high:
            raise ValidationError({"likely": fault("request.bounds", data["likely"], low=low, high=high)})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Band:
        """Give the figure, the middle of its bounds taken for the likely value where none is told."""
        low, high = data["low"], data["high"]
        return Band(low, data.get("likely", (low + high) / 2), high)


def _bounded(name: str, low: float, high: float) -> type[Schema]:
    """Give the schema of a figure whose bounds, both inclusive, lie between two numbers, both inclusive."""
    ends = {"low": Number(low, high, required=True), "high": Number(low, high, required=True)}
    return type(f"{name}BandSchema", (_BoundedSchema,), {**ends, "likely": Number(low, high)})


_Minutes = _bounded("Minutes", 0, 1440)
_Share = _bounded("Share", 0.01, 1)


class BearingCareRequestSchema(Strict):
    """A set of bearings, what a new one costs, and who would do the work."""

    set_price_minor = Whole(
        0, MOST_MINOR, required=True, metadata={"description": "Of a new set for the pair of skates."}
    )
    currency = CurrencyCode(required=True, metadata={"description": "ISO 4217, three letters."})
    labour_minor_per_hour = Whole(
        0, MOST_MINOR_PER_HOUR, metadata={"description": "Nothing if left out: whoever does it counts no time."}
    )
    riding_days_a_month = Number(0.1, 31, required=True)
    dirt = Word(validate=Choice([each.value for each in Dirt]), metadata={"description": "How they feel, if known."})
    first_time = Flag(metadata={"description": "Whether whoever cleans them has never done it."})
    can_be_opened = Flag(metadata={"description": "Whether their shields come off; taken for yes if left out."})
    km_a_month = ObjectOf(
        _bounded("Distance", 0.1, 10_000), metadata={"description": "Wanted for the cost of a kilometre."}
    )
    cleaning_minutes = ObjectOf(_Minutes, metadata={"description": f"With the wheels off and on. {_USUAL}"})
    replacing_minutes = ObjectOf(_Minutes, metadata={"description": f"With the wheels off and on. {_USUAL}"})
    fluids_minor = ObjectOf(
        _bounded("Money", 0, MOST_MINOR),
        metadata={"description": f"Cleaner and grease for a set; wanted in any other currency than {COST_CURRENCY}."},
    )
    success = ObjectOf(_Share, metadata={"description": f"How likely a cleaned set runs well. {_USUAL}"})
    new_set_riding_days = ObjectOf(
        _bounded("Days", 0.5, 10_000), metadata={"description": f"How long a new set lasts. {_USUAL}"}
    )
    cleaned_life_share = ObjectOf(_Share, metadata={"description": f"Of that, how much a cleaned one lasts. {_USUAL}"})

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _fluids_priced(self, data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        currency = data.get("currency", COST_CURRENCY)
        if isinstance(given, dict) and currency != COST_CURRENCY and "fluids_minor" not in given:
            found = fault("bearing_care.fluids_currency", currency=currency, known=COST_CURRENCY)
            raise ValidationError({"fluids_minor": found})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> CareQuestion:
        """Give the question.

        Raises
        ------
        ValidationError
            For figures that cannot be.
        """
        taken = {name: data[name] for name in data if name not in ("dirt", "first_time", "labour_minor_per_hour")}
        try:
            return CareQuestion(
                **taken,
                labour_minor_per_hour=data.get("labour_minor_per_hour", 0),
                dirt=Dirt(data["dirt"]) if "dirt" in data else None,
                is_first_time=data.get("first_time", False),
            )
        except InvalidQuantityError as error:
            params = {"found": str(error.found), "expected": error.expected}
            raise ValidationError([Fault("request.impossible", params)]) from error


class MinorRangeSchema(Schema):
    """A sum of money within bounds, whole minor units."""

    least = fields.Integer(required=True)
    usual = fields.Integer(required=True)
    most = fields.Integer(required=True)


class CareCostSchema(Schema):
    """What one way costs."""

    once_minor = fields.Nested(MinorRangeSchema, required=True, metadata={"description": "Work and material, once."})
    a_month_minor = fields.Nested(MinorRangeSchema, required=True)
    a_km_minor = fields.Nested(BandSchema, required=True, allow_none=True)
    lasts_months = fields.Nested(BandSchema, required=True)
    minutes = fields.Nested(BandSchema, required=True)


class BearingCareAnswerSchema(NoteSchema):
    """Clean or replace, what either costs, and the price of a set at which both are equal."""

    outcome = fields.String(required=True, validate=validate.OneOf([each.value for each in Outcome]))
    clean_probability = fields.Float(
        required=True, metadata={"description": "That cleaning is cheaper; 0 where it cannot be done."}
    )
    cleaning = fields.Nested(CareCostSchema, required=True, allow_none=True)
    replacing = fields.Nested(CareCostSchema, required=True)
    break_even_minor = fields.Nested(
        MinorRangeSchema,
        required=True,
        allow_none=True,
        metadata={"description": "Price of a set from which on cleaning is cheaper."},
    )
    currency = fields.String(required=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True)
    receipt = fields.Nested(ReceiptSchema, required=True)
