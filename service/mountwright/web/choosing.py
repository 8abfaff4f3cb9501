"""The answer that lists what goes on a skate."""

from __future__ import annotations

from http import HTTPStatus

import orjson
from flask import Response, request
from sqlalchemy import Connection

from mountwright.catalogue.reading import articles_of
from mountwright.catalogue.spelling import near
from mountwright.web.answering import receipt
from mountwright.web.answers.candidate_answers import groups_json
from mountwright.web.caching import cacheable
from mountwright.web.candidates import Asked, Candidates, candidates_of
from mountwright.web.paging import links_to
from mountwright.web.parsing import digest
from mountwright.web.problems import Problem
from mountwright.web.showing import missing, require_sku
from mountwright.web.sorts import Sort
from mountwright.web.workshop import Workshop


def candidates_shown(sku: str, asked: Asked, workshop: Workshop) -> Response:
    """Give the answer that lists what goes on a skate.

    Raises
    ------
    Problem
        404 for no such skate.
    CatalogueAwayError
        When the database is away.
    """
    require_sku(sku)
    version, found = workshop.shelf.read(lambda connection: _found(connection, sku, asked, workshop))
    if not isinstance(found, Candidates):
        raise found
    token = None if found.next_after is None else found.next_after.token
    links = links_to(request.script_root + request.path, request.args, token)
    question = {"skate": sku, "query": request.args.to_dict()}
    body = {
        "skate": sku,
        "position": asked.position,
        "groups": groups_json(found.page),
        "next": links.next,
        "judged": found.judged,
        "complete": found.complete,
        "receipt": receipt(digest(question), version, workshop),
    }
    return cacheable(orjson.dumps(body), version, workshop.settings.reads, {"Link": links.header})


def _found(connection: Connection, sku: str, asked: Asked, workshop: Workshop) -> Candidates | Problem:
    """Give the candidates, or why there are none."""
    kept = articles_of(connection, [sku]).get(sku)
    if kept is None:
        return missing(sku, near(connection, sku))
    if kept.signature.of_part:
        return Problem(HTTPStatus.NOT_FOUND, "article_elsewhere", {"sku": sku, "place": Sort.PARTS.place(sku)})
    return candidates_of(connection, workshop.shelf.shelved(kept), asked, workshop)
