"""``POST /v1/lace-lengths``: how long a lace has to be, and how it holds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.web.blueprint import Resource
from mountwright.web.lacing import lace_told
from mountwright.web.parsing import Question
from mountwright.web.schemas.lace_lengths import LaceLengthAnswerSchema, LaceLengthRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("lace-lengths", __name__, url_prefix="/v1", description="How long a lace, and laced which way?")


@resource.at("/lace-lengths", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(
    LaceLengthAnswerSchema(), "The length with its range, the hold along the foot, the patterns compared."
)
@resource.takes(LaceLengthRequestSchema())
def measure_lace(question: Question) -> Mapping[str, Any]:
    """Say how long a lace has to be, which that is sold reaches, and which pattern is the shortest or the strongest."""
    return lace_told(question, workshop())
