"""The way of an upgrade path: what was read in, JSON with receipt or a picture out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from mountwright.checkout.basket import Basket
from mountwright.checkout.till import till_for
from mountwright.drawing.path import path_svg
from mountwright.drawing.words import PICTURE
from mountwright.upgrading.options import Terms
from mountwright.upgrading.path import Path, Wanted, path_of
from mountwright.upgrading.staging import POLICY
from mountwright.web.answering import receipt
from mountwright.web.answers.path_answers import path_json
from mountwright.web.parsing import Question
from mountwright.web.paths.asked import PathAsked
from mountwright.web.paths.drawn import path_scene
from mountwright.web.picturing import picture_answer, told_or_drawn
from mountwright.web.workshop import Workshop


def path_told(question: Question, workshop: Workshop) -> Response:
    """Give the answer in the form that the caller accepts: JSON, or the picture alone."""
    return told_or_drawn(lambda: path_answered(question, workshop), lambda: path_picture(question, workshop))


def path_answered(question: Question, workshop: Workshop) -> Mapping[str, Any]:
    """Give the path, with the reason for every step."""
    asked: PathAsked = question.asked
    return {
        **path_json(asked, _found(asked, workshop), workshop.messages),
        "receipt": receipt(question.digest, question.version, workshop),
    }


def path_drawn(question: Question, workshop: Workshop) -> Response:
    """Give the picture of the path as an answer."""
    return picture_answer(path_picture(question, workshop))


def path_picture(question: Question, workshop: Workshop) -> str:
    """Give the picture of the path, as SVG."""
    asked: PathAsked = question.asked
    messages = workshop.messages
    return path_svg(path_scene(asked, _found(asked, workshop), messages), words=messages.group(PICTURE))


def _found(asked: PathAsked, workshop: Workshop) -> Path:
    basket = Basket((asked.customer.owned,), (), POLICY)
    till = till_for(basket, workshop.registry, workshop.estimates, workshop.memory.joints)
    return path_of(asked.customer, _wanted(asked, workshop), till)


def _wanted(asked: PathAsked, workshop: Workshop) -> Wanted:
    for_sale = asked.for_sale
    return Wanted(
        for_sale.candidates,
        [each.article for each in for_sale.skates],
        asked.trade_in_minor or 0,
        Terms(in_stock_only=asked.in_stock_only, jobs=workshop.jobs),
        asked.most_alternatives,
    )
