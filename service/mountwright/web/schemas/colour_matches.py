"""Colour matches: the request, and the answer as the contract shows it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, post_load, validate, validates_schema

from mountwright.bench.colours import FARTHEST, Lab, Likeness, edges, lab_of
from mountwright.catalogue.colours import Coloured
from mountwright.catalogue.search import Wanted
from mountwright.web.colours.asked import AskedSkate, ColourGiven, ColoursAsked, Search
from mountwright.web.colours.asking import MOST_TOGETHER
from mountwright.web.faults import Choice, Flag, ListOf, ObjectOf, Size, Strict, Text, fault
from mountwright.web.naming import Left, unknown_sku
from mountwright.web.schemas.articles import COLOUR
from mountwright.web.schemas.candidates import OfferedPartSchema
from mountwright.web.schemas.catalogue_queries import LARGEST_LIMIT, USUAL_LIMIT
from mountwright.web.schemas.fit_checks import VERDICTS, NeedSchema, NextStepSchema, ReceiptSchema
from mountwright.web.schemas.money import MOST_MINOR, CurrencyCode
from mountwright.web.schemas.mounts import SkateField, SkateSchema, desk_in_use
from mountwright.web.schemas.numbers import Number, Whole
from mountwright.web.schemas.ride_answers import NoteSchema
from mountwright.web.sorts import Sort

#: Greatest difference that is searched to: beyond, colours are no longer alike.
FARTHEST_WITHIN = edges()[Likeness.SIMILAR].below

_LIKENESSES = [each.value for each in Likeness]
_WAYS = ("srgb", "lab", "like")


class LabSchema(Strict):
    """A colour of CIELAB under the light D65."""

    lightness = Number(0, 100, required=True, metadata={"description": "L*."})
    a = Number(-FARTHEST, FARTHEST, required=True, metadata={"description": "a*: green below 0, red above."})
    b = Number(-FARTHEST, FARTHEST, required=True, metadata={"description": "b*: blue below 0, yellow above."})

    @post_load
    def build(self, data: dict[str, float], **_kwargs: Any) -> Lab:
        """Give the colour."""
        return Lab(**data)


class LikeSchema(Strict):
    """An article whose own colour is meant."""

    sku = Text(required=True, validate=Size(min=1, max=60))

    @post_load
    def build(self, data: dict[str, str], **_kwargs: Any) -> ColourGiven:
        """Give the article's colour.

        Raises
        ------
        ValidationError
            When there is no such article.
        """
        seen, sku = desk_in_use().seen, data["sku"]
        shelved = seen.articles.get(sku) if seen is not None else None
        if shelved is None:
            raise ValidationError({"sku": [unknown_sku(sku, desk_in_use())]})
        srgb = shelved.record.get("colour_srgb")
        return ColourGiven(None if srgb is None else lab_of(srgb), srgb, sku)


class ColourSchema(Strict):
    """A colour, in one of three ways."""

    srgb = Text(validate=COLOUR, metadata={"description": "A screen's colour, #rrggbb."})
    lab = ObjectOf(LabSchema, metadata={"description": "As a colorimeter gives it."})
    like = ObjectOf(LikeSchema, metadata={"description": "The colour of a skate or part of the catalogue."})

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _given_once(self, _data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if isinstance(given, dict) and len(given.keys() & {*_WAYS}) != 1:
            raise ValidationError([*fault("colours.one_way", known=", ".join(_WAYS))])

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> ColourGiven:
        """Give the colour."""
        if "like" in data:
            found: ColourGiven = data["like"]
            return found
        return ColourGiven(data["lab"]) if "lab" in data else ColourGiven(lab_of(data["srgb"]), data["srgb"])


class ColourMatchesRequestSchema(Strict):
    """Parts near a wanted colour for a skate, colours beside each other, or both."""

    skate = SkateField(SkateSchema, metadata={"description": "Wanted with a colour to look for."})
    wanted = ObjectOf(ColourSchema, metadata={"description": "The colour to look for."})
    kinds = ListOf(
        Text(validate=Choice(Sort.PARTS.kinds)),
        validate=Size(min=1, max=len(Sort.PARTS.kinds)),
        metadata={"description": "Of parts; all if left out."},
    )
    in_stock = Flag(metadata={"description": "false finds what is known to be out of stock."})
    price_from_minor = Whole(0, MOST_MINOR, metadata={"description": "Inclusive; with currency."})
    price_to_minor = Whole(0, MOST_MINOR, metadata={"description": "Inclusive; with currency."})
    currency = CurrencyCode(metadata={"description": "ISO 4217, three letters."})
    within = Number(
        0,
        FARTHEST_WITHIN,
        load_default=FARTHEST_WITHIN,
        metadata={"description": "Greatest difference, CIEDE2000, inclusive.", "default": FARTHEST_WITHIN},
    )
    limit = Whole(
        1, LARGEST_LIMIT, load_default=USUAL_LIMIT, metadata={"description": "Most parts.", "default": USUAL_LIMIT}
    )
    together = ListOf(
        ObjectOf(ColourSchema),
        validate=Size(min=2, max=MOST_TOGETHER),
        metadata={"description": "Colours to compare with each other, as of the parts in a basket."},
    )

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _whole(self, data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if not isinstance(given, dict):
            return
        if missing := [name for name in _missing(given.keys()) if name not in given]:
            raise ValidationError({name: fault("request.required") for name in missing})
        wanted = data.get("wanted")
        if isinstance(wanted, ColourGiven) and wanted.lab is None:
            raise ValidationError({"wanted": {"like": {"sku": fault("colours.none_catalogued", wanted.sku)}}})

    @validates_schema
    def _priced(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        low, high = data.get("price_from_minor"), data.get("price_to_minor")
        if "currency" not in data and (low is not None or high is not None):
            raise ValidationError({"currency": fault("request.no_currency")})
        if low is not None and high is not None and low > high:
            raise ValidationError({"price_from_minor": fault("request.setting_order", low=low, high=high)})

    @post_load(pass_original=True)
    def build(self, data: dict[str, Any], given: Any, **_kwargs: Any) -> ColoursAsked:
        """Give what is asked."""
        search = _search(data, given["skate"].get("sku", "")) if "wanted" in data else None
        return ColoursAsked(search, tuple(data.get("together", ())))


def _missing(given: Any) -> tuple[str, ...]:
    """Give what a question has to have beside what it has."""
    if given & {"together"} and not given & {"skate", "wanted"}:
        return ()
    return ("skate", "wanted")


def _search(data: Mapping[str, Any], sku: str) -> Search:
    skate, wanted = data["skate"], data["wanted"]
    names = ("in_stock", "price_from_minor", "price_to_minor", "currency")
    asked = Wanted(skates=False, **{name: data[name] for name in names if name in data})
    kinds = tuple(sorted(set(data.get("kinds", Sort.PARTS.kinds))))
    skates = tuple(map(_version, skate)) if isinstance(skate, tuple) else (AskedSkate(sku, "", "", skate),)
    return Search(skates, wanted, wanted.lab, Coloured(kinds, asked), data["within"], data["limit"])


def _version(left: Left) -> AskedSkate:
    record = left.shelved.record
    return AskedSkate(left.shelved.sku, record.get("version", ""), record.get("mark", ""), left.skate)


class LabAnswerSchema(Schema):
    """A colour of CIELAB under the light D65."""

    lightness = fields.Float(required=True)
    a = fields.Float(required=True)
    b = fields.Float(required=True)


class ColourAnswerSchema(Schema):
    """A colour as it was understood."""

    lab = fields.Nested(LabAnswerSchema, required=True, allow_none=True)
    srgb = fields.String(required=True, allow_none=True)
    sku = fields.String(required=True, allow_none=True, metadata={"description": "Whose colour it is."})


class ColouredPartSchema(OfferedPartSchema, NoteSchema):
    """A part near the wanted colour, and how it goes on."""

    colour_srgb = fields.String(required=True)
    difference = fields.Float(required=True, metadata={"description": "CIEDE2000 from the wanted colour."})
    band = fields.String(required=True, validate=validate.OneOf(_LIKENESSES))
    verdict = fields.String(required=True, validate=validate.OneOf(VERDICTS))
    probability = fields.Float(required=True)
    needs = fields.List(fields.Nested(NeedSchema), required=True)
    next_step = fields.Nested(NextStepSchema, required=True, allow_none=True)


class ColourPairSchema(Schema):
    """Two of the colours, by their places in the request."""

    one = fields.Integer(required=True)
    other = fields.Integer(required=True)
    difference = fields.Float(required=True)
    band = fields.String(required=True, validate=validate.OneOf(_LIKENESSES))


class TogetherSchema(NoteSchema):
    """How colours go together: as their most different pair does."""

    band = fields.String(
        required=True,
        allow_none=True,
        validate=validate.OneOf(_LIKENESSES),
        metadata={"description": "Null where a colour that nobody gave may make it worse."},
    )
    colours = fields.List(fields.Nested(ColourAnswerSchema), required=True)
    pairs = fields.List(fields.Nested(ColourPairSchema), required=True, metadata={"description": "By place."})
    without_colour = fields.List(fields.Integer(), required=True, metadata={"description": "Places."})


class BandEdgeSchema(Schema):
    """Up to where a difference has a name."""

    band = fields.String(required=True, validate=validate.OneOf(_LIKENESSES))
    below = fields.Float(required=True, allow_none=True, metadata={"description": "Exclusive; the last has no end."})
    low = fields.Float(required=True, allow_none=True, metadata={"description": "It may as well be drawn from here …"})
    high = fields.Float(required=True, allow_none=True, metadata={"description": "… to here."})
    standing = fields.String(required=True, allow_none=True)


class ColourMatchesAnswerSchema(Schema):
    """Parts near a colour that go on the skate, nearest first, and how colours go together."""

    wanted = fields.Nested(ColourAnswerSchema, required=True, allow_none=True)
    parts = fields.List(
        fields.Nested(ColouredPartSchema), required=True, metadata={"description": "By difference, then by SKU."}
    )
    more = fields.Boolean(required=True, metadata={"description": "Whether there are more than the limit."})
    judged = fields.Integer(required=True, metadata={"description": "Distinct sets of mounts that were judged."})
    complete = fields.Boolean(
        required=True,
        metadata={"description": "false where there are more than are judged: name kinds, or say more of the skate."},
    )
    without_colour = fields.Integer(
        required=True, metadata={"description": "Parts that are asked for and have no colour in the catalogue."}
    )
    together = fields.Nested(TogetherSchema, required=True, allow_none=True)
    bands = fields.List(fields.Nested(BandEdgeSchema), required=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True)
    receipt = fields.Nested(ReceiptSchema, required=True)
