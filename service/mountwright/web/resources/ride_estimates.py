"""``POST /v1/ride-estimates``: how set-ups roll, held against the first of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.web.blueprint import Resource
from mountwright.web.parsing import Question
from mountwright.web.rides.asking import ride_read
from mountwright.web.rides.ride_estimates import rides_answered
from mountwright.web.schemas.ride_answers import RideAnswerSchema
from mountwright.web.schemas.ride_estimates import RideRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("ride-estimates", __name__, url_prefix="/v1", description="How do these set-ups roll?")


@resource.at("/ride-estimates", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(
    RideAnswerSchema(), "How each rolls against the first, what takes the power, and what would tell more."
)
@resource.takes(RideRequestSchema(), reader=ride_read)
def estimate_rides(question: Question) -> Mapping[str, Any]:
    """Say how much easier or harder each set-up rolls than the first, and how sure that is."""
    return rides_answered(question, workshop())
