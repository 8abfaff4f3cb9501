"""``POST /v1/colour-matches``: parts near a colour, or colours beside each other."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.web.answering import receipt
from mountwright.web.answers.colour_answers import colours_json
from mountwright.web.blueprint import Resource
from mountwright.web.colours.asking import colours_read
from mountwright.web.parsing import Question
from mountwright.web.schemas.colour_matches import ColourMatchesAnswerSchema, ColourMatchesRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("colour-matches", __name__, url_prefix="/v1", description="Which parts have the colour?")


@resource.at("/colour-matches", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(ColourMatchesAnswerSchema(), "Parts near the colour, nearest first, and how colours go together.")
@resource.takes(ColourMatchesRequestSchema(), reader=colours_read)
def match_colours(question: Question) -> Mapping[str, Any]:
    """Find parts that go on a skate near a colour, and say how alike colours look beside each other."""
    shop = workshop()
    told = colours_json(question.asked, shop.messages)
    return {**told, "receipt": receipt(question.digest, question.version, shop)}
