"""A picture's address: the whole question in it, so that no copy of the service has to remember anything."""

from __future__ import annotations

import base64
import binascii
import zlib
from http import HTTPStatus
from typing import Any

import orjson
from marshmallow import Schema

from mountwright.web.parsing import Question, Reader, parsed
from mountwright.web.problems import Problem
from mountwright.web.rides.asked import WheelLineAsked
from mountwright.web.rides.asking import ride_read
from mountwright.web.workshop import Workshop, workshop

#: Longest question that an address carries, packed: gunicorn takes request lines of 4,094 bytes.
LONGEST = 3_600

#: Most that a question may grow to when it is unpacked, bytes.
_MOST_UNPACKED = 64 * 1024


def wheel_line_read(body: Any, schema: Schema, shop: Workshop) -> Question:
    """Load a parsed question about a wheel line, with what an address would carry of it.

    Raises
    ------
    Problem
        400 for what is nested too deep, 422 with every fault.
    CatalogueAwayError
        When it names something of the catalogue and that is away.
    """
    question = ride_read(body, schema, shop)
    asked: WheelLineAsked = question.asked
    return question._replace(asked=asked._replace(packed=packed_body(body)))


def question_of(packed: str, schema: Schema, reader: Reader = ride_read) -> Question:
    """Give the question that an address carries.

    Parameters
    ----------
    packed : str
    schema : Schema
    reader : Reader
        Loads the question.

    Raises
    ------
    Problem
        400 for a text that this service never gave, 422 with every fault of the question in it.
    CatalogueAwayError
        When it names something of the catalogue and that is away.
    """
    return reader(parsed(unpacked_text(packed)), schema, workshop())


def packed_body(body: Any) -> str | None:
    """Give a parsed question as an address carries it, None where it is too long for one."""
    return packed_text(orjson.dumps(body, option=orjson.OPT_SORT_KEYS))


def packed_text(text: bytes) -> str | None:
    """Give a text as an address carries it, None where it is too long for one."""
    found = base64.urlsafe_b64encode(zlib.compress(text, 9)).rstrip(b"=").decode()
    return found if len(found) <= LONGEST else None


def unpacked_text(packed: str) -> bytes:
    """Give the text that an address carries.

    Raises
    ------
    Problem
        400 for one that was not packed like this, or grows too large.
    """
    try:
        raw = base64.b64decode(packed.encode() + b"=" * (-len(packed) % 4), altchars=b"-_", validate=True)
        reader = zlib.decompressobj()
        text = reader.decompress(raw, _MOST_UNPACKED)
    except (ValueError, binascii.Error, zlib.error) as error:
        raise Problem(HTTPStatus.BAD_REQUEST, "bad_picture") from error
    if not reader.eof:
        raise Problem(HTTPStatus.BAD_REQUEST, "bad_picture")
    return text
