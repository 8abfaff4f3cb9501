"""``POST /v1/size-conversions``: both feet to sizes, shell, liner and insole."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.bench.size_conversion import size_conversion
from mountwright.web.answering import receipt
from mountwright.web.answers.size_answers import sizes_json
from mountwright.web.blueprint import Resource
from mountwright.web.parsing import Question
from mountwright.web.schemas.size_answers import SizeConversionAnswerSchema
from mountwright.web.schemas.size_conversions import SizeConversionRequestSchema
from mountwright.web.sizes.asking import sizes_read
from mountwright.web.workshop import workshop

resource = Resource("size-conversions", __name__, url_prefix="/v1", description="Which size do these feet take?")


@resource.at("/size-conversions", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(SizeConversionAnswerSchema(), "Sizes as bands, padding, what fits best, and who has such feet.")
@resource.takes(SizeConversionRequestSchema(), reader=sizes_read)
def convert_sizes(question: Question) -> Mapping[str, Any]:
    """Say which sizes a pair of feet takes, and which of the shells, liners and insoles offered go with them."""
    shop, found = workshop(), size_conversion(question.asked)
    return {**sizes_json(found, shop.messages), "receipt": receipt(question.digest, question.version, shop)}
