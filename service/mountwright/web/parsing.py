"""Reads a JSON body: type, size and depth first, then the schema; what is wrong is said once, with every place."""

from __future__ import annotations

import hashlib
from http import HTTPStatus
from typing import Any

import orjson
from flask import current_app, g, request
from marshmallow import Schema, ValidationError
from marshmallow.experimental.context import Context
from werkzeug.exceptions import RequestEntityTooLarge

from mountwright.web.problems import MAX_BODY_BYTES, Problem, invalid
from mountwright.web.workshop import Workshop, workshop

#: Nesting that is still written; a request of the contract needs seven levels.
DEEPEST = 250


def loaded(schema: Schema) -> Any:
    """Load the body of the current request and note its digest.

    Raises
    ------
    Problem
        415 for another media type, 413 for too much, 400 for what is not JSON, 422 with every fault.
    """
    if request.mimetype != "application/json":
        raise Problem(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "not_json")
    text = request.get_data(cache=False)
    if len(text) > current_app.config[MAX_BODY_BYTES]:
        raise RequestEntityTooLarge
    body = parsed(text)
    g.request_digest = digest(body)
    return read(body, schema, workshop())


def read(body: Any, schema: Schema, shop: Workshop) -> Any:
    """Load a parsed body through a schema, with the installed standards at hand.

    Raises
    ------
    Problem
        422 with every fault.
    """
    try:
        with Context(shop):
            return schema.load(body)
    except ValidationError as error:
        raise invalid(error, shop.messages) from error


def parsed(text: bytes) -> Any:
    """Parse JSON; NaN and Infinity are no JSON.

    Raises
    ------
    Problem
        400, with where it broke off.
    """
    try:
        return orjson.loads(text)
    except orjson.JSONDecodeError as error:
        raise Problem(HTTPStatus.BAD_REQUEST, "bad_json", {"detail": str(error)}) from error


def digest(body: Any) -> str:
    """Give the SHA-256 of a body in canonical form: keys sorted, no white space.

    Raises
    ------
    Problem
        400 for a body that is nested deeper than it can be written.
    """
    try:
        canonical = orjson.dumps(body, option=orjson.OPT_SORT_KEYS)
    except orjson.JSONEncodeError as error:
        raise Problem(HTTPStatus.BAD_REQUEST, "too_deep", {"limit": DEEPEST}) from error
    return "sha256:" + hashlib.sha256(canonical).hexdigest()
