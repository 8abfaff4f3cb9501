"""Every failure as ``application/problem+json`` (RFC 9457), each fault with its place (RFC 6901)."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from http import HTTPStatus
from typing import Any

import orjson
from flask import Flask, Response, current_app, request
from marshmallow import ValidationError
from werkzeug.exceptions import HTTPException, MethodNotAllowed, RequestEntityTooLarge

from mountwright.errors import CatalogueAwayError
from mountwright.messages import Fault, Messages

MEDIA_TYPE = "application/problem+json"

#: Name in the app's configuration of the largest request body, bytes, inclusive.
MAX_BODY_BYTES = "MOUNTWRIGHT_MAX_BODY_BYTES"

#: When to ask again while the catalogue is away, seconds.
RETRY_AFTER_S = 5

#: More faults than this are counted, not listed: an answer must not outgrow its request.
MOST_FAULTS = 200

log = logging.getLogger(__name__)


class Problem(HTTPException):
    """A refusal with its own code.

    Parameters
    ----------
    status : HTTPStatus
    problem_code : str
        Message code without the group.
    params : Mapping[str, object] or None
    errors : list of dict or None
        Faults, each with ``pointer``, ``code``, ``params`` and ``detail``.
    """

    def __init__(
        self,
        status: HTTPStatus,
        problem_code: str,
        params: Mapping[str, object] | None = None,
        errors: list[dict[str, Any]] | None = None,
    ) -> None:
        super().__init__()
        self.code, self.problem_code = status, problem_code
        self.params, self.errors = dict(params or {}), errors


def invalid(error: ValidationError, messages: Messages) -> Problem:
    """Give the refusal for a body whose faults marshmallow found."""
    return refused(((pointer, code, params) for pointer, (code, params) in pointed(error.messages)), messages)


def refused(faults: Iterable[tuple[str, str, Mapping[str, Any]]], messages: Messages) -> Problem:
    """Give the refusal for what has faults: place, code and params of each."""
    found = list(faults)
    return Problem(HTTPStatus.UNPROCESSABLE_ENTITY, "invalid", {"count": len(found)}, listed(found, messages))


def listed(faults: Sequence[tuple[str, str, Mapping[str, Any]]], messages: Messages) -> list[dict[str, Any]]:
    """Give faults as a problem document lists them, the first of them where there are very many."""
    return [
        {"pointer": pointer, "code": code, "params": dict(params), "detail": messages.text(code, params)}
        for pointer, code, params in faults[:MOST_FAULTS]
    ]


def pointed(found: Any, place: str = "") -> Iterator[tuple[str, Fault]]:
    """Give marshmallow's nested messages as pairs of JSON pointer and fault, in document order.

    A message that is no fault of ours is marshmallow's own text, and stands for its own code.
    """
    if isinstance(found, Mapping):
        for key, below in found.items():
            step = "" if key == "_schema" else "/" + str(key).replace("~", "~0").replace("/", "~1")
            yield from pointed(below, place + step)
    elif isinstance(found, Fault):
        yield place, found
    elif isinstance(found, str):
        yield place, Fault(found)
    else:
        for below in found:
            yield from pointed(below, place)


def register_problems(app: Flask, messages: Callable[[], Messages]) -> None:
    """Answer every failure of an app with a problem document.

    Parameters
    ----------
    app : Flask
    messages : callable
        Gives those of the language that is wanted.
    """

    def told(error: HTTPException) -> Response:
        return _response(error, messages())

    def failed(error: Exception) -> Response:
        log.error("%s %s failed", request.method, request.path, exc_info=error)
        return _response(Problem(HTTPStatus.INTERNAL_SERVER_ERROR, "internal"), messages())

    def away(error: CatalogueAwayError) -> Response:
        log.warning("%s %s: %s", request.method, request.path, error)
        answer = _response(Problem(HTTPStatus.SERVICE_UNAVAILABLE, "catalogue_away"), messages())
        answer.headers["Retry-After"] = str(RETRY_AFTER_S)
        return answer

    app.register_error_handler(HTTPException, told)
    app.register_error_handler(CatalogueAwayError, away)
    app.register_error_handler(Exception, failed)


def _response(error: HTTPException, messages: Messages) -> Response:
    status = HTTPStatus(error.code or HTTPStatus.INTERNAL_SERVER_ERROR)
    code, params = _told(error)
    document: dict[str, Any] = {
        "title": status.phrase,
        "status": int(status),
        "code": code,
        "params": params,
        "detail": messages.text(f"problem.{code}", params),
    }
    if isinstance(error, Problem) and error.errors is not None:
        document["errors"] = error.errors
    answer = Response(orjson.dumps(document), status, content_type=MEDIA_TYPE)
    for name, value in error.get_headers():
        if name.lower() not in ("content-type", "content-length"):
            answer.headers[name] = value
    return answer


def _told(error: HTTPException) -> tuple[str, dict[str, object]]:
    if isinstance(error, Problem):
        return error.problem_code, error.params
    if isinstance(error, MethodNotAllowed):
        return "method", {"method": request.method, "allowed": ", ".join(sorted(error.valid_methods or ()))}
    if isinstance(error, RequestEntityTooLarge):
        return "too_large", {"limit": current_app.config[MAX_BODY_BYTES]}
    if error.code == HTTPStatus.NOT_FOUND:
        return "not_found", {}
    if error.code == HTTPStatus.INTERNAL_SERVER_ERROR:
        return "internal", {}
    return "refused", {"detail": error.description}
