"""``POST /v1/bench-cards``: the sheet that goes with the skate; ``GET``: the same card by its address."""

from __future__ import annotations

from flask import Response

from mountwright.web.blueprint import Resource
from mountwright.web.cards.answering import card_told
from mountwright.web.cards.asking import card_read
from mountwright.web.parsing import Question
from mountwright.web.rides.picture_link import question_of
from mountwright.web.schemas.bench_card_answers import BenchCardAnswerSchema
from mountwright.web.schemas.bench_cards import BenchCardRequestSchema, CardQuerySchema
from mountwright.web.workshop import workshop

resource = Resource("bench-cards", __name__, url_prefix="/v1", description="What is done at the bench?")

_REQUEST = BenchCardRequestSchema()
_ANSWER, _TOLD = BenchCardAnswerSchema(), "Jobs in order, tools, torques, cautions, and what has to be signed."
_PAGE, _SHEET = "The card as a page that prints on A4.", "The card as a PDF, A4."


@resource.at("/bench-cards", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.prints(_SHEET)
@resource.shows(_PAGE)
@resource.answers(_ANSWER, _TOLD)
@resource.takes(_REQUEST, reader=card_read)
def write_card(question: Question) -> Response:
    """Write the card that goes to the bench with a skate: as JSON, a page to print, or a PDF."""
    return card_told(question, workshop())


@resource.at("/bench-cards")
@resource.refuses(400, 422, 503)
@resource.prints(_SHEET)
@resource.shows(_PAGE)
@resource.answers(_ANSWER, _TOLD)
@resource.asks(CardQuerySchema())
def show_card(query: dict[str, str]) -> Response:
    """Write the card that an address carries; such addresses stand in answers, and in the QR codes of cards."""
    return card_told(question_of(query["q"], _REQUEST, card_read), workshop(), query.get("as_"))
