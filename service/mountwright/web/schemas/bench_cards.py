"""Bench cards: the request."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import ValidationError, fields, post_load, validates_schema

from mountwright.bench.bench_card import Side
from mountwright.measure.instruments import instruments
from mountwright.mounts.kinds import kinds
from mountwright.web.cards.asked import (
    LONGEST_NOTE,
    MOST_JOBS,
    MOST_LINES,
    MOST_PARTS,
    CardAsked,
    CardLine,
    FramePlace,
)
from mountwright.web.cards.composing import card_given
from mountwright.web.cards.lettering import composed, letter_faults
from mountwright.web.carts.cart import EU_SIZES
from mountwright.web.faults import Choice, ListOf, ObjectOf, Size, Strict, Text, fault
from mountwright.web.quick import MOST_DOUBT
from mountwright.web.rides.picture_link import LONGEST
from mountwright.web.schemas.articles import specs_faults
from mountwright.web.schemas.mounts import MountSchema, desk_in_use
from mountwright.web.schemas.numbers import Number, Whole
from mountwright.web.schemas.set_ups import SetUpSchema
from mountwright.web.schemas.wheel_lines import LoadSchema

_SHORT, _NAME = Size(min=1, max=60), Size(min=1, max=120)

#: How far a frame may stand from the middle, millimetres either way.
_OFF_MM = 60

_LENGTHS = sorted(name for name, each in instruments().items() if "mm" in each.half_widths)

#: The forms of a card, as an address may ask for one.
FORMS = ("json", "html", "pdf")


class Printed(Text):
    """A line that is printed: blanks are one each, and a letter that the card's typeface lacks is refused."""

    def _deserialize(self, value: Any, *place: Any, **kwargs: Any) -> Any:
        text = self._laid_out(composed(super()._deserialize(value, *place, **kwargs)))
        if wrong := letter_faults(text):
            raise ValidationError(wrong)
        return text

    def _laid_out(self, text: str) -> str:
        return " ".join(text.split())


class PrintedLines(Printed):
    """A text of several lines that is printed."""

    def _laid_out(self, text: str) -> str:
        lines = [" ".join(line.split()) for line in text.splitlines()]
        if len(lines) > MOST_LINES:
            raise ValidationError(fault("card.lines", len(lines), most=MOST_LINES))
        return "\n".join(lines)


class CardSkateSchema(Strict):
    """The skate on the bench: by SKU, or as it is called."""

    sku = Text(validate=_SHORT)
    name = Printed(validate=_NAME)
    eu_size = Number(*EU_SIZES)
    mounts = ListOf(
        ObjectOf(MountSchema),
        validate=Size(min=1, max=24),
        metadata={"description": "Their standards stand on the card."},
    )

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _named(self, _data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if isinstance(given, dict) and not given.keys() & {"sku", "name"}:
            raise ValidationError({"name": fault("request.required")})


class CardPartSchema(Strict):
    """A part that lies on the bench: by SKU, or by its kind."""

    sku = Text(validate=_SHORT)
    kind = Text(validate=Choice(sorted(set(kinds()) - {"skate"})))
    name = Printed(validate=_NAME)
    place = Printed(validate=_SHORT, metadata={"description": "Where it goes, in the fitter's words."})
    pieces = Whole(1, 1000)
    specs = fields.Dict(
        validate=Size(max=60), metadata={"description": "Figures of its kind; torque_n_m stands on the card."}
    )

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _whole(self, data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if isinstance(given, dict) and not given.keys() & {"sku", "kind"}:
            raise ValidationError({"kind": fault("request.required")})
        if faults := specs_faults(data):
            raise ValidationError(faults)


class CardJobSchema(Strict):
    """A job that is asked for; those that it needs are added."""

    job = Text(required=True, validate=_NAME, metadata={"description": "Its key: shorten_strap, swap_frame …"})
    parts = ListOf(
        Whole(0, MOST_PARTS - 1),
        validate=Size(min=1, max=MOST_PARTS),
        metadata={"description": "Places in parts of what it is done with; a torque is taken from these alone."},
    )
    place = Printed(validate=_SHORT, metadata={"description": "Where on the skate, in the fitter's words."})
    side = Text(validate=Choice([each.value for each in Side]), metadata={"description": "both if left out."})


class FramePlaceSchema(Strict):
    """Where the middle of the frame stands before the work, from the middle of the boot's holes."""

    along_mm = Number(-_OFF_MM, _OFF_MM, required=True, metadata={"description": "Forward."})
    across_mm = Number(-_OFF_MM, _OFF_MM, required=True, metadata={"description": "Toward the inside of the foot."})
    instrument = Text(validate=Choice(_LENGTHS))
    plus_minus = Number(0.001, MOST_DOUBT, metadata={"description": "Half-width, instead of an instrument."})

    @validates_schema
    def _doubted(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if not data.keys() & {"instrument", "plus_minus"}:
            raise ValidationError({"instrument": fault("request.no_doubt")})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> FramePlace:
        """Give the place with its half-width."""
        read_by = instruments()[data["instrument"]].half_widths["mm"] / 1000 if "instrument" in data else 0.0
        return FramePlace(data["along_mm"], data["across_mm"], data.get("plus_minus", read_by))


class OldFramePlaceSchema(Strict):
    """Where the frames stand before the work; left out, the card leaves room to write it down."""

    left = ObjectOf(FramePlaceSchema)
    right = ObjectOf(FramePlaceSchema)


class CardLineSchema(Strict):
    """The wheel line that is drawn on the card, as for ``POST /v1/wheel-lines``."""

    set_up = ObjectOf(SetUpSchema, required=True)
    load_ = ObjectOf(LoadSchema, required=True, data_key="load")
    gap_factor = Number(1, 20, metadata={"description": "By which the gaps are exaggerated, and labelled so."})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> CardLine:
        """Give the wheel line.

        Raises
        ------
        ValidationError
            For a name in letters that the card's typeface lacks.
        """
        if wrong := letter_faults(data["set_up"].name):
            raise ValidationError({"set_up": {"name": wrong}})
        return CardLine(data["set_up"], data["load_"], data.get("gap_factor", 1.0))


class BenchCardRequestSchema(Strict):
    """A skate on the bench, the parts that lie beside it, and what is to be done."""

    reference = Printed(
        required=True, validate=_SHORT, metadata={"description": "The customer's, or the ticket's: printed on top."}
    )
    skate = ObjectOf(CardSkateSchema, required=True)
    parts = ListOf(ObjectOf(CardPartSchema), validate=Size(max=MOST_PARTS))
    jobs = ListOf(
        ObjectOf(CardJobSchema),
        validate=Size(max=MOST_JOBS),
        metadata={"description": "Left out, each part has the job that puts it on."},
    )
    wheel_line = ObjectOf(CardLineSchema)
    old_frame_place = ObjectOf(OldFramePlaceSchema)
    notes = PrintedLines(
        validate=Size(max=LONGEST_NOTE),
        metadata={"description": f"In {MOST_LINES} lines at most; all of it is printed."},
    )

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> CardAsked:
        """Give the card.

        Raises
        ------
        ValidationError
            For what the catalogue, the jobs or the typeface have to say against it.
        """
        return card_given(data, desk_in_use())


class CardQuerySchema(Strict):
    """The address of a card."""

    q = Text(
        required=True,
        validate=Size(min=1, max=LONGEST),
        metadata={"description": "The request, as it stands in an answer: deflated canonical JSON in base64url."},
    )
    as_ = Text(
        data_key="as", validate=Choice(FORMS), metadata={"description": "The form; left out, as the caller accepts."}
    )
