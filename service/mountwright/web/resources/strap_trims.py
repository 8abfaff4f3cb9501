"""``POST /v1/strap-trims``: how many teeth of a strap may go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.bench.strap_trim import strap_trim
from mountwright.web.answering import receipt
from mountwright.web.answers.trim_answers import strap_json
from mountwright.web.blueprint import Resource
from mountwright.web.parsing import Question
from mountwright.web.schemas.strap_trims import StrapTrimAnswerSchema, StrapTrimRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("strap-trims", __name__, url_prefix="/v1", description="How much of this strap may go?")


@resource.at("/strap-trims", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(StrapTrimAnswerSchema(), "How many teeth may go, how many first, why none, or what to count.")
@resource.takes(StrapTrimRequestSchema())
def trim_strap(question: Question) -> Mapping[str, Any]:
    """Say how many teeth of a strap may go, judged closed on the foot with the thickest sock."""
    shop, found = workshop(), strap_trim(question.asked)
    return {**strap_json(found, shop), "receipt": receipt(question.digest, question.version, shop)}
