"""``POST /v1/flap-trims``: how much of a cuff's or liner's flap may go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.bench.flap_trim import flap_trim
from mountwright.web.answering import receipt
from mountwright.web.answers.trim_answers import flap_json
from mountwright.web.blueprint import Resource
from mountwright.web.parsing import Question
from mountwright.web.schemas.flap_trims import FlapTrimAnswerSchema, FlapTrimRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("flap-trims", __name__, url_prefix="/v1", description="How much of this flap may go?")


@resource.at("/flap-trims", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(FlapTrimAnswerSchema(), "How much may go, how much first, why nothing, or what to measure.")
@resource.takes(FlapTrimRequestSchema())
def trim_flap(question: Question) -> Mapping[str, Any]:
    """Say how much of a flap may go, judged closed with the thickest sock and the knee bent."""
    shop, found = workshop(), flap_trim(question.asked)
    return {**flap_json(found, question.asked.of, shop), "receipt": receipt(question.digest, question.version, shop)}
