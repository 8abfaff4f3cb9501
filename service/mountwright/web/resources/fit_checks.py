"""``POST /v1/fit-checks``: does each part go on this skate."""

from __future__ import annotations

from typing import Any

from mountwright.web.answering import fit_answered
from mountwright.web.blueprint import Resource
from mountwright.web.parsing import Question
from mountwright.web.schemas.fit_checks import FitAnswerSchema, FitRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("fit-checks", __name__, url_prefix="/v1", description="Does each part go on this skate?")


@resource.at("/fit-checks", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(FitAnswerSchema(), "Verdict, probability, checks, what else is needed, and the next step.")
@resource.takes(FitRequestSchema())
def check_fit(question: Question) -> dict[str, Any]:
    """Say whether each part goes on the skate, what it takes, and how sure that is."""
    return fit_answered(question, workshop())
