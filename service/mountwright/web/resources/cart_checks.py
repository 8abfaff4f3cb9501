"""``POST /v1/cart-checks``: may this basket be sent."""

from __future__ import annotations

from flask import Response

from mountwright.web.blueprint import Resource
from mountwright.web.caching import unkept
from mountwright.web.carts.answering import cart_answered
from mountwright.web.carts.asking import cart_read
from mountwright.web.parsing import Question
from mountwright.web.schemas.cart_answers import CartAnswerSchema
from mountwright.web.schemas.cart_checks import CartRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("cart-checks", __name__, url_prefix="/v1", description="May this basket be sent?")


@resource.at("/cart-checks", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(
    CartAnswerSchema(),
    "Send it, ask first, or stop; by line and overall.",
    headers={"Cache-Control": "no-store: an answer is for one basket at one moment."},
)
@resource.takes(CartRequestSchema(), reader=cart_read)
def check_cart(question: Question) -> Response:
    """Say of each line and of the whole basket whether it may be sent, what to ask first, and what will not go on."""
    return unkept(cart_answered(question, workshop()))
