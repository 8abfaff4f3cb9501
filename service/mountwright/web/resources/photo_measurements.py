"""``POST /v1/photo-measurements``: lengths from clicks on a photo with an ID-1 card in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.measure.photo import measured
from mountwright.web.answering import receipt
from mountwright.web.answers.photo_answers import photo_json
from mountwright.web.blueprint import Resource
from mountwright.web.parsing import Question
from mountwright.web.schemas.photo_measurements import PhotoAnswerSchema, PhotoRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("photo-measurements", __name__, url_prefix="/v1", description="Lengths from clicks on a photo.")


@resource.at("/photo-measurements", "POST")
@resource.refuses(400, 413, 415, 422)
@resource.answers(PhotoAnswerSchema(), "Each length with its doubt, or why it is refused; and what all of it assumes.")
@resource.takes(PhotoRequestSchema())
def measure_from_photo(question: Question) -> Mapping[str, Any]:
    """Say how far marks on a photo are apart, by an ID-1 card that lies in the plane of the holes."""
    shop, found = workshop(), measured(question.asked)
    return {**photo_json(found, shop.messages), "receipt": receipt(question.digest, question.version, shop)}
