"""What a shop does with a basket: as the service says, and with the parcel held where it said nothing of use."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any, Literal, get_args

from mountwright.errors import NoAnswer, ServiceProblem

Json = dict[str, Any]

Decision = Literal["clear", "confirm", "stop"]

#: Codes of a checkout that the service did not decide: no usable answer, and a basket that it refused to read.
NO_ANSWER, BAD_REQUEST = "client.no_answer", "client.bad_request"

log = logging.getLogger("mountwright.client")


@dataclass(frozen=True)
class Checkout:
    """What the shop does with a basket.

    Parameters
    ----------
    decision : str
        ``clear``, ``confirm`` or ``stop``; ``confirm`` where the service did not decide.
    hold : bool
        Whether the parcel waits: as the answer says, and always where the service did not decide.
    code : str
        Of the reason that decides, or ``client.no_answer`` or ``client.bad_request``.
    reason : str
        The same as a sentence.
    question : str or None
        What to ask the customer, where there is something to ask.
    answer : dict or None
        The whole answer; None where the service did not decide.
    problem : ServiceProblem or None
        What the service said instead of an answer.
    """

    decision: Decision
    hold: bool
    code: str
    reason: str
    question: str | None = None
    answer: Json | None = None
    problem: ServiceProblem | None = None


def decided(answer: Json) -> Checkout:
    """Give what an answer about a basket says.

    Raises
    ------
    NoAnswer
        When it does not say whether to send.
    """
    said, hold, question = answer.get("decision"), answer.get("blocking"), answer.get("question")
    decision: Decision | None = next((known for known in get_args(Decision) if known == said), None)
    if decision is None or not isinstance(hold, bool):
        raise NoAnswer(f"an answer that does not decide: decision {said!r}, blocking {hold!r}")
    asked = str(question.get("message", "")) if isinstance(question, dict) else None
    return Checkout(decision, hold, str(answer.get("code", "")), str(answer.get("message", "")), asked or None, answer)


def problematic(problem: ServiceProblem) -> Checkout:
    """Give what to do where the service said what is wrong instead of an answer."""
    is_passing = problem.status >= HTTPStatus.INTERNAL_SERVER_ERROR or problem.status == HTTPStatus.TOO_MANY_REQUESTS
    return (unanswered if is_passing else refused)(str(problem), problem)


def unanswered(reason: str, problem: ServiceProblem | None = None) -> Checkout:
    """Give what to do without an answer, and log it."""
    log.warning("parcel held, no answer about the basket: %s", reason)
    return Checkout("confirm", True, NO_ANSWER, reason, problem=problem)


def refused(reason: str, problem: ServiceProblem | None = None) -> Checkout:
    """Give what to do where the basket was not read, and log it as an error: the shop has to mend it."""
    log.error("parcel held, the basket was not read: %s", reason)
    return Checkout("confirm", True, BAD_REQUEST, reason, problem=problem)
