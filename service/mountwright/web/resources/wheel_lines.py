"""``POST /v1/wheel-lines``: how a skate stands on its wheels; ``GET /v1/wheel-lines/picture``: the same, drawn."""

from __future__ import annotations

from flask import Response

from mountwright.web.blueprint import Resource
from mountwright.web.parsing import Question
from mountwright.web.rides.picture_link import question_of, wheel_line_read
from mountwright.web.rides.wheel_lines import drawn, wheel_line_told
from mountwright.web.schemas.pictures import PictureQuerySchema
from mountwright.web.schemas.wheel_line_answers import WheelLineAnswerSchema
from mountwright.web.schemas.wheel_lines import WheelLineRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("wheel-lines", __name__, url_prefix="/v1", description="How does this skate stand on its wheels?")

_REQUEST = WheelLineRequestSchema()


@resource.at("/wheel-lines", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(WheelLineAnswerSchema(), "Contacts, rocker, loads, room, heights, and the rockers that are offered.")
@resource.draws("The side view, to scale, where the caller accepts that rather than JSON.")
@resource.takes(_REQUEST, reader=wheel_line_read)
def tell_wheel_line(question: Question) -> Response:
    """Say how the skate stands on its wheels, or draw it."""
    return wheel_line_told(question, workshop())


@resource.at("/wheel-lines/picture")
@resource.refuses(400, 422, 503)
@resource.draws("The side view, to scale.")
@resource.asks(PictureQuerySchema())
def show_wheel_line(query: dict[str, str]) -> Response:
    """Draw the wheel line that an address carries; such addresses stand in answers about wheel lines."""
    return drawn(question_of(query["of"], _REQUEST), workshop())
