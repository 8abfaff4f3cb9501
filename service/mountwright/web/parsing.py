"""Reads a JSON body: type, size and depth first, then the schema; what is wrong is said once, with every place."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from http import HTTPStatus
from typing import Any, NamedTuple, Protocol

import orjson
from flask import current_app, g, request
from marshmallow import Schema, ValidationError
from marshmallow.experimental.context import Context
from werkzeug.exceptions import RequestEntityTooLarge

from mountwright.catalogue.versions import Version
from mountwright.web.memory import Answered
from mountwright.web.problems import MAX_BODY_BYTES, Problem, invalid
from mountwright.web.shelved import Model, Named
from mountwright.web.workshop import Desk, Workshop, workshop

#: Most parts that one request may ask about.
MOST_PARTS = 64

#: Nesting that is still written; a request of the contract needs seven levels.
DEEPEST = 250


class Seeing(Protocol):
    """What was read of the catalogue, all of one version."""

    @property
    def version(self) -> Version:
        """Give the version."""


class Question(NamedTuple):
    """What is asked.

    Parameters
    ----------
    asked : Any
        What a schema made of the body.
    digest : str
        Of the body.
    seen : Seeing or None
        What was read of the catalogue for it, if it names anything there.
    skus : tuple of (str or None)
        Of its parts, in their order.
    """

    asked: Any
    digest: str
    seen: Seeing | None
    skus: tuple[str | None, ...]

    @property
    def version(self) -> Version | None:
        """Give the version of the catalogue that was read, if any was."""
        return None if self.seen is None else self.seen.version

    @property
    def answered(self) -> Answered:
        """Give what its answer is remembered by."""
        return self.digest, None if self.version is None else self.version.label


#: Loads a parsed body through a schema.
Reader = Callable[[Any, Schema, Workshop], Question]


def loaded(schema: Schema, reader: Reader | None = None) -> Question:
    """Load the body of the current request.

    Parameters
    ----------
    schema : Schema
    reader : Reader or None
        Loads a parsed body; :func:`read` where there is none.

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
    question = (reader or read)(parsed(text), schema, workshop())
    g.stale_s = 0.0 if question.seen is None else workshop().shelf.stale_s
    return question


def read(body: Any, schema: Schema, shop: Workshop) -> Question:
    """Load a parsed body through a schema, with the installed standards and what it names of the catalogue at hand.

    Raises
    ------
    Problem
        400 for what is nested too deep, 422 with every fault.
    CatalogueAwayError
        When it names something of the catalogue and that is away.
    """
    found, named = digest(body), named_in(body)
    seen = shop.shelf.seen(named) if named is not None else None
    try:
        with Context(Desk(shop, seen)):
            asked = schema.load(body)
    except ValidationError as error:
        raise invalid(error, shop.messages) from error
    return Question(asked, found, seen, tuple(sku_in(part) for part in _entries(body.get("parts"))))


def named_in(body: Any) -> Named | None:
    """Give what a body names of the catalogue, None if nothing; what is ill-formed there is left to the schema."""
    if type(body) is not dict:
        return None
    skate, parts = body.get("skate"), body.get("parts")
    skus = tuple(sku for part in _entries(parts) if (sku := sku_in(part)) is not None)
    found = Named(sku_in(skate), model_in(skate), skus)
    if (sku := sku_in(body)) is not None:
        found = found._replace(parts=(*found.parts, sku))
    return None if found == Named() else found


def _entries(value: Any) -> list[Any]:
    return value[:MOST_PARTS] if type(value) is list else []


def sku_in(value: Any) -> str | None:
    """Give the SKU that a JSON value names, None where it names none."""
    found = value.get("sku") if type(value) is dict else None
    return found if type(found) is str else None


def model_in(value: Any) -> Model | None:
    """Give the model that a JSON value names in good form, else None."""
    given = value.get("model") if type(value) is dict else None
    if type(given) is not dict or not _MODEL_FIELDS.keys() >= given.keys() or "name" not in given:
        return None
    right = all(type(given[name]) in _MODEL_FIELDS[name] for name in given)
    return Model(**given) if right else None


_MODEL_FIELDS = {"name": (str,), "maker": (str,), "eu_size": (int, float), "made": (int,)}


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
