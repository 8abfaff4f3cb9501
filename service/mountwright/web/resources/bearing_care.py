"""``POST /v1/bearing-care``: clean the bearings or replace them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.bench.bearing_care import bearing_care
from mountwright.web.answering import receipt
from mountwright.web.answers.bearing_care_answers import care_json
from mountwright.web.blueprint import Resource
from mountwright.web.parsing import Question
from mountwright.web.schemas.bearing_care import BearingCareAnswerSchema, BearingCareRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("bearing-care", __name__, url_prefix="/v1", description="Clean the bearings or replace them?")


@resource.at("/bearing-care", "POST")
@resource.refuses(400, 413, 415, 422)
@resource.answers(BearingCareAnswerSchema(), "Which is cheaper, how sure that is, and from which price on.")
@resource.takes(BearingCareRequestSchema())
def care_for_bearings(question: Question) -> Mapping[str, Any]:
    """Say whether to clean a set of bearings or to replace it, from work, price, fluids, time and success."""
    shop, found = workshop(), bearing_care(question.asked)
    return {**care_json(found, shop.messages), "receipt": receipt(question.digest, question.version, shop)}
