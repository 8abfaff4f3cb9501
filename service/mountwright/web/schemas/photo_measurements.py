"""Measuring from a photo: the request, and the answer as the contract shows it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from marshmallow import Schema, ValidationError, fields, post_load, validate, validates_schema

from mountwright.measure.card_edges import EDGES, CardEdges, Pixel
from mountwright.measure.photo_faults import (
    PhotoFault,
    Place,
    card_faults,
    edge_places,
    mark_places,
    points_outside,
)
from mountwright.measure.photo_places import SOURCES
from mountwright.measure.photo_question import Heel, Known, Mark, Photo
from mountwright.measure.uncertainty import rectangular
from mountwright.messages import Fault
from mountwright.web.faults import Choice, ListOf, ObjectOf, Size, Strict, Text, fault
from mountwright.web.reading import merge
from mountwright.web.schemas.fit_checks import ReceiptSchema
from mountwright.web.schemas.numbers import Number, Whole
from mountwright.web.schemas.ride_answers import NoteSchema

_NAME = Size(min=1, max=60)

#: Most marks in a picture, and most points on an edge of its card: the test of a line knows as many.
MOST_MARKS, MOST_POINTS = 24, 14

#: Largest side of a picture, and largest doubt of a click, pixels; the least is finer than any finger.
_MOST_PX, _DOUBTS_PX = 100_000, (0.05, 200)

_CLICK = "How far a click may be off along each axis, half-width, in pixels of the whole picture."


class PointSchema(Strict):
    """A point of the picture: to the right and down from its upper left corner."""

    x_px = Number(0, _MOST_PX, required=True)
    y_px = Number(0, _MOST_PX, required=True)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Pixel:
        """Give the point."""
        return Pixel(data["x_px"], data["y_px"])


def _edge() -> ListOf:
    points = {"description": "Points on the straight part of this edge, far apart; more than two are checked."}
    return ListOf(ObjectOf(PointSchema), required=True, validate=Size(min=2, max=MOST_POINTS), metadata=points)


class CardSchema(Strict):
    """An ID-1 card (ISO/IEC 7810), its edges in this order around it; which of them is called top does not matter."""

    top = _edge()
    right = _edge()
    bottom = _edge()
    left = _edge()

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> tuple[tuple[Pixel, ...], ...]:
        """Give the points by edge."""
        return tuple(tuple(data[edge]) for edge in EDGES)


class ImageSchema(Strict):
    """The size of the whole picture, not cropped."""

    width_px = Whole(1, _MOST_PX, required=True)
    height_px = Whole(1, _MOST_PX, required=True)


class FocalLengthSchema(Strict):
    """The focal length in pixels of this picture: in mm, times the picture's width in pixels over the sensor's."""

    value = Number(10, 1_000_000, required=True)
    plus_minus = Number(0, 500_000, required=True, metadata={"description": "Half-width; at most half of the value."})

    @validates_schema
    def _known(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if data["plus_minus"] > data["value"] / 2:
            raise ValidationError({"plus_minus": fault("photo.focal_length_unknown", data["plus_minus"])})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Known:
        """Give the focal length with its standard uncertainty (JCGM 100:2008, 4.3.7)."""
        return Known(data["value"], rectangular(data["plus_minus"]))


class HeightSchema(Strict):
    """How far a mark is above the card's plane, toward the camera."""

    value = Number(-100, 100, required=True)
    plus_minus = Number(0, 100, required=True, metadata={"description": "Half-width."})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Known:
        """Give the height with its standard uncertainty (JCGM 100:2008, 4.3.7)."""
        return Known(data["value"], rectangular(data["plus_minus"]))


class _Marked(NamedTuple):
    """A mark whose doubt may be that of all clicks."""

    name: str
    at: Pixel
    plus_minus_px: float | None
    height_mm: Known | None


class MarkSchema(PointSchema):
    """The centre of a hole."""

    name = Text(required=True, validate=_NAME)
    plus_minus_px = Number(*_DOUBTS_PX, metadata={"description": "Half-width; that of every click if left out."})
    height_mm = ObjectOf(HeightSchema, metadata={"description": "Wanted where the heel is raised."})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Any:
        """Give the mark."""
        at = Pixel(data["x_px"], data["y_px"])
        return _Marked(data["name"], at, data.get("plus_minus_px"), data.get("height_mm"))


class PhotoRequestSchema(Strict):
    """A picture with an ID-1 card in the plane of the holes, as pixel coordinates; the picture itself is never sent."""

    image = ObjectOf(ImageSchema, required=True)
    focal_length_px = ObjectOf(FocalLengthSchema, required=True)
    click_plus_minus_px = Number(*_DOUBTS_PX, required=True, metadata={"description": _CLICK})
    card = ObjectOf(CardSchema, required=True)
    marks = ListOf(ObjectOf(MarkSchema), required=True, validate=Size(min=2, max=MOST_MARKS))
    pairs = ListOf(
        ListOf(Text(validate=_NAME), validate=Size(min=2, max=2)),
        validate=Size(min=1, max=MOST_MARKS * (MOST_MARKS - 1) // 2),
        metadata={"description": "Names of two marks each, whose distance is wanted; every pair if left out."},
    )
    heel = Text(
        validate=Choice([each.value for each in Heel]),
        metadata={
            "description": "The platforms that the holes are in. Raised, each mark needs its height; left out, marks "
            "without one are in doubt by the height of a heel."
        },
    )

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _possible(self, data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        faults = _name_faults(given) if isinstance(given, dict) else {}
        for found in _click_faults(data, given):
            merge(faults, _nested(found.place, Fault(found.code, dict(found.params))))
        if faults:
            raise ValidationError(faults)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Photo:
        """Give what is told of the picture."""
        return _photo(data)


def _photo(data: Mapping[str, Any]) -> Photo:
    click = data["click_plus_minus_px"]
    return Photo(
        data["image"]["width_px"],
        data["image"]["height_px"],
        data["focal_length_px"],
        CardEdges(data["card"], rectangular(click)),
        tuple(
            Mark(mark.name, mark.at, rectangular(mark.plus_minus_px or click), mark.height_mm) for mark in data["marks"]
        ),
        tuple((first, second) for first, second in data.get("pairs", ())),
        Heel(data["heel"]) if "heel" in data else None,
    )


def _click_faults(data: Mapping[str, Any], given: Any) -> Iterator[PhotoFault]:
    """Give what speaks against the clicks, as far as they are well-formed."""
    image, card, marks = data.get("image", {}), data.get("card"), data.get("marks", [])
    points: dict[Place, Pixel] = {}
    if isinstance(card, tuple):
        points |= edge_places(card)
        if "click_plus_minus_px" in data:
            yield from card_faults(CardEdges(card, rectangular(data["click_plus_minus_px"])))
    # Lists close up where an entry was ill-formed, so what is left would be filed under wrong indices.
    if all(isinstance(mark, _Marked) for mark in marks) and marks and len(marks) == len(given["marks"]):
        points |= mark_places(mark.at for mark in marks)
    if image.keys() == {"width_px", "height_px"}:
        yield from points_outside(points, image["width_px"], image["height_px"])


def _nested(place: Place, found: Fault) -> dict[Any, Any]:
    *above, last = place
    nested: dict[Any, Any] = {last: [found]}
    for step in reversed(above):
        nested = {step: nested}
    return nested


def _name_faults(given: Mapping[str, Any]) -> dict[str, Any]:
    """Give what speaks against the names of marks and the pairs of them, as far as both are well-formed."""
    marks = given.get("marks")
    listed = marks[:MOST_MARKS] if isinstance(marks, list) else []
    names = [mark.get("name") if isinstance(mark, dict) else None for mark in listed]
    twice = {
        index: {"name": fault("request.given_again", names.count(name))}
        for index, name in enumerate(names)
        if isinstance(name, str) and name in names[:index]
    }
    wrong = dict(_pair_faults(given.get("pairs"), [name for name in names if isinstance(name, str)]))
    return {place: faults for place, faults in (("marks", twice), ("pairs", wrong)) if faults}


def _pair_faults(pairs: Any, names: Sequence[str]) -> Iterator[tuple[int, Any]]:
    known, seen = ", ".join(sorted(set(names))), set()
    for index, pair in enumerate(pairs if isinstance(pairs, list) else ()):
        if not (isinstance(pair, list) and len(pair) == 2 and all(isinstance(name, str) for name in pair)):
            continue
        unknown = {
            end: fault("request.choice", name, known=known) for end, name in enumerate(pair) if name not in names
        }
        if unknown:
            yield index, unknown
        elif pair[0] == pair[1]:
            yield index, fault("photo.pair_of_one", pair[0])
        elif frozenset(pair) in seen:
            yield index, fault("photo.pair_twice", " and ".join(pair))
        seen.add(frozenset(pair))


class PhotoReadingSchema(Schema):
    """A measurement as fit checks and identifications take it for a dimension of a mount."""

    value = fields.Float(required=True)
    plus_minus = fields.Float(required=True, metadata={"description": "Half-width, mm."})
    instrument = fields.String(required=True, validate=validate.Equal("photo"))


def _share() -> fields.Float:
    return fields.Float(required=True, metadata={"description": "Of the square of the standard uncertainty."})


#: Where the doubt of a length comes from.
DoubtSchema = Schema.from_dict({source: _share() for source in SOURCES}, name="PhotoDoubtSchema")


class PhotoLengthSchema(NoteSchema):
    """The distance of two marks along the card's plane, or why it is refused."""

    between = fields.List(fields.String(), required=True)
    outcome = fields.String(required=True, validate=validate.OneOf(["measured", "refused"]))
    length_mm = fields.Float(required=True, allow_none=True)
    standard_uncertainty_mm = fields.Float(
        required=True, allow_none=True, metadata={"description": "As propagated; null where it was not worked out."}
    )
    measurement = fields.Nested(
        PhotoReadingSchema,
        required=True,
        allow_none=True,
        metadata={"description": "Put this in for a dimension of a mount, hole_spacing_mm say; null where refused."},
    )
    doubt_from = fields.Nested(DoubtSchema, required=True, allow_none=True)
    next_step = fields.Nested(NoteSchema, required=True, allow_none=True)


class CardSeenSchema(Schema):
    """How the card lies before the camera."""

    lies = fields.String(
        required=True,
        validate=validate.OneOf(["lengthwise", "upright"]),
        metadata={"description": "Upright: its long edges are those that were called left and right."},
    )
    tilt_deg = fields.Float(
        required=True, metadata={"description": "Between the line of sight to the card and its normal."}
    )
    distance_mm = fields.Float(required=True, metadata={"description": "From the camera."})
    px_per_mm = fields.Float(required=True)
    residual_px = fields.Float(
        required=True,
        allow_none=True,
        metadata={"description": "Of the points about the edges; null where no edge has more than two."},
    )


class PhotoAnswerSchema(Schema):
    """Lengths read off a photo, and what they rest on."""

    lengths = fields.List(fields.Nested(PhotoLengthSchema), required=True)
    card = fields.Nested(CardSeenSchema, required=True)
    assumes = fields.List(
        fields.Nested(NoteSchema), required=True, metadata={"description": "What nobody can see in the clicks."}
    )
    receipt = fields.Nested(ReceiptSchema, required=True)
