"""A bench card in the form that is wanted: JSON with receipt, a page to print, or a PDF."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import orjson
from flask import Response, request

from mountwright.web.answering import receipt
from mountwright.web.answers.bench_card_answers import card_json
from mountwright.web.blueprint import HTML, PDF
from mountwright.web.cards.asked import CardAsked
from mountwright.web.parsing import Question
from mountwright.web.workshop import Workshop

_JSON = "application/json"

#: Forms by the word that an address asks for them with.
_FORMS = {"json": _JSON, "html": HTML, "pdf": PDF}


def card_told(question: Question, workshop: Workshop, form: str | None = None) -> Response:
    """Give a card in a form, where none is named in the one that the caller accepts."""
    wanted = _FORMS[form] if form else request.accept_mimetypes.best_match(_FORMS.values(), default=_JSON)
    return Response(orjson.dumps(card_answered(question, workshop)), mimetype=_JSON)


def card_answered(question: Question, workshop: Workshop) -> Mapping[str, Any]:
    """Give all there is to say on a card."""
    asked: CardAsked = question.asked
    told = card_json(asked, workshop.messages)
    return {**told, "receipt": receipt(question.digest, question.version, workshop)}
