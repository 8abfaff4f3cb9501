"""A bench card in the form that is wanted: JSON with receipt, a page to print, or a PDF."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import orjson
from flask import Response, request

from mountwright.drawing.card_html import card_html
from mountwright.drawing.card_pdf import card_pdf
from mountwright.drawing.card_scene import CardScene
from mountwright.web.answering import receipt
from mountwright.web.answers.bench_card_answers import card_json
from mountwright.web.blueprint import HTML, PDF
from mountwright.web.cards.asked import CardAsked
from mountwright.web.cards.drawn import card_scene
from mountwright.web.parsing import Question
from mountwright.web.workshop import Workshop

_JSON = "application/json"

#: Forms by the word that an address asks for them with.
_FORMS = {"json": _JSON, "html": HTML, "pdf": PDF}


def card_told(question: Question, workshop: Workshop, form: str | None = None) -> Response:
    """Give a card in a form, where none is named in the one that the caller accepts."""
    wanted = _FORMS[form] if form else request.accept_mimetypes.best_match(_FORMS.values(), default=_JSON)
    answer = _WRITTEN[wanted](question, workshop, workshop.settings.address or request.host_url.rstrip("/"))
    answer.vary.add("Accept")
    # It names a customer, and what cannot be undone was agreed to.
    answer.headers["Cache-Control"] = "no-store"
    return answer


def card_answered(question: Question, workshop: Workshop) -> Mapping[str, Any]:
    """Give all there is to say on a card."""
    asked: CardAsked = question.asked
    told = card_json(asked, workshop.messages)
    return {**told, "receipt": receipt(question.digest, question.version, workshop)}


def card_page(question: Question, workshop: Workshop, address: str) -> str:
    """Give a card as a page; the address of the service, empty where nobody knows it, is in its QR code."""
    return card_html(_scene(question, workshop, address))


def card_sheet(question: Question, workshop: Workshop, address: str) -> bytes:
    """Give a card as a PDF, likewise."""
    return card_pdf(_scene(question, workshop, address))


def _scene(question: Question, workshop: Workshop, address: str) -> CardScene:
    return card_scene(question.asked, card_answered(question, workshop), address, workshop.messages)


def _json(question: Question, workshop: Workshop, _address: str) -> Response:
    return Response(orjson.dumps(card_answered(question, workshop)), mimetype=_JSON)


def _html(question: Question, workshop: Workshop, address: str) -> Response:
    answer = Response(card_page(question, workshop, address), mimetype=HTML)
    # Whatever stands on a card, nothing in it may run or fetch anything.
    answer.headers["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
    return answer


def _pdf(question: Question, workshop: Workshop, address: str) -> Response:
    answer = Response(card_sheet(question, workshop, address), mimetype=PDF)
    answer.headers["Content-Disposition"] = 'inline; filename="bench-card.pdf"'
    return answer


_WRITTEN = {_JSON: _json, HTML: _html, PDF: _pdf}
