"""The way of a basket: what was read in, JSON with receipt out."""

from __future__ import annotations

import orjson

from mountwright.checkout.cart_check import cart_checked
from mountwright.checkout.till import till_for
from mountwright.web.answering import receipt
from mountwright.web.answers.cart_answers import cart_json
from mountwright.web.carts.cart import Cart
from mountwright.web.carts.proposing import proposals
from mountwright.web.parsing import Question
from mountwright.web.workshop import Workshop


def cart_answered(question: Question, workshop: Workshop) -> bytes:
    """Give the answer about a basket; one that was given before is not worked out again."""
    asked: Cart | bytes = question.asked
    if isinstance(asked, bytes):
        return asked
    faults = workshop.registry.faults.total()
    till = till_for(asked.basket, workshop.registry, workshop.estimates, workshop.memory.joints)
    found = cart_checked(asked.basket, till)
    instead = proposals(asked, found, question.seen, till, workshop)
    told = cart_json(asked, found, instead or {}, workshop.messages, workshop.memory)
    answer = orjson.dumps({**told, "receipt": receipt(question.digest, question.version, workshop)})
    # What a plugin's fault spoilt, or the catalogue could not be asked for, is worked out anew next time.
    if instead is not None and workshop.registry.faults.total() == faults:
        workshop.memory.keep_answer(question.answered, answer)
    return answer
