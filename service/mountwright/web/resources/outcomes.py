"""``POST /v1/outcomes``: what became of a part on a skate."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from flask import g

from mountwright.web.blueprint import Resource
from mountwright.web.evidence.telling import told
from mountwright.web.parsing import Question
from mountwright.web.schemas.outcomes import OutcomeAnswerSchema, OutcomeSchema
from mountwright.web.workshop import workshop

resource = Resource("outcomes", __name__, url_prefix="/v1", description="What became of a part on a skate?")


@resource.at("/outcomes", "POST")
@resource.keyed("write")
@resource.refuses(400, 409, 413, 415, 422, 503)
@resource.answers(OutcomeAnswerSchema(), "It had been told before, and still counts once.")
@resource.answers(OutcomeAnswerSchema(), "It is kept.", status=201)
@resource.takes(OutcomeSchema())
def tell_outcome(question: Question) -> tuple[dict[str, Any], HTTPStatus]:
    """Keep what became of a part on a skate; the shop is the one whose key it comes with."""
    return told(question, g.key.shop, workshop())
