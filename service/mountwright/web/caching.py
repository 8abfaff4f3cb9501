"""Answers that may be kept for a moment, and asked for again by their tag (RFC 9110, RFC 9111)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from flask import Response, request
from werkzeug.http import generate_etag, quote_etag

from mountwright.catalogue.versions import Version
from mountwright.settings import Reads

#: How long an answer may be given again without asking, seconds.
KEPT_S: Final = 30

#: Version of the catalogue that an answer was read from.
VERSION_HEADER: Final = "Catalogue-Version"

VERSION_SAID: Final[Mapping[str, str]] = {VERSION_HEADER: "Version of the catalogue that was read."}

TAGGED_SAID: Final[Mapping[str, str]] = {
    "ETag": "Of the body; strong.",
    "Cache-Control": f"May be given again for {KEPT_S} s, by a shared cache only where reads are open.",
}

CACHED_SAID: Final[Mapping[str, str]] = {
    **VERSION_SAID,
    **TAGGED_SAID,
    "Catalogue-Age": "While the database is away: for how long the version is unconfirmed, seconds.",
}

ASKED_AGAIN: Final[Mapping[str, str]] = {"If-None-Match": "ETag of what is at hand; 304 where it is still the same."}


def tag_of(body: bytes) -> str:
    """Give the tag of a body, without quotation marks."""
    return generate_etag(body)


def unkept(body: bytes) -> Response:
    """Give JSON as an answer that nobody may keep (RFC 9111, 5.2.2.5)."""
    response = Response(body, mimetype="application/json")
    response.headers["Cache-Control"] = "no-store"
    return response


def cacheable(body: bytes, version: Version, reads: Reads, more: Mapping[str, str] | None = None) -> Response:
    """Give JSON as an answer that may be kept; 304 and no body where the caller has it already.

    Parameters
    ----------
    body : bytes
    version : Version
        That it was read from.
    reads : Reads
        Where reads need a key, no shared cache may keep the answer.
    more : Mapping[str, str] or None
        Further headers.
    """
    answer = Response(body, mimetype="application/json")
    answer.headers.update(more or {})
    answer.headers[VERSION_HEADER] = version.label
    return tagged(answer, reads)


def tagged(answer: Response, reads: Reads) -> Response:
    """Give an answer as one that may be kept; 304 and no body where the caller has it already.

    Parameters
    ----------
    answer : Response
        Whole.
    reads : Reads
        Where reads need a key, no shared cache may keep it.
    """
    answer.headers["ETag"] = quote_etag(tag_of(answer.get_data()))
    answer.headers["Cache-Control"] = f"{'public' if reads is Reads.OPEN else 'private'}, max-age={KEPT_S}"
    if reads is Reads.KEYED:
        answer.vary.add("Authorization")
    answer.make_conditional(request)
    return answer
