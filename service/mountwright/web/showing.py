"""Shows articles of the catalogue: one by its SKU, and pages of those that are looked for."""

from __future__ import annotations

from http import HTTPStatus
from typing import NamedTuple

import orjson
from flask import Response, g, request
from sqlalchemy import Connection

from mountwright.catalogue.outcomes import returns_of
from mountwright.catalogue.reading import Kept, articles_of
from mountwright.catalogue.search import page_of
from mountwright.errors import CatalogueAwayError
from mountwright.web.answers.article_answers import Told, article_json, page_json
from mountwright.web.caching import cacheable
from mountwright.web.paging import links_of
from mountwright.web.problems import Problem
from mountwright.web.schemas.catalogue_queries import PageAsked
from mountwright.web.sorts import Sort, is_sku
from mountwright.web.workshop import Workshop


class Shown(NamedTuple):
    """An article as it is shown: its sort and the JSON of the answer."""

    sort: Sort
    body: bytes


def article_shown(sku: str, sort: Sort, workshop: Workshop) -> Response:
    """Give the answer that shows an article; what was read of late is given while the database is away.

    Raises
    ------
    Problem
        404 for none, and for one of the other sort.
    CatalogueAwayError
        When it was not read of late and the database is away.
    """
    require_sku(sku)
    version, found = workshop.shelf.looked_up(("shown", sku), lambda connection: shown_in(connection, sku, workshop))
    g.stale_s = workshop.shelf.stale_s
    if found is None:
        raise _missing(sku, workshop)
    require_sort(found, sku, sort)
    return cacheable(found.body, version, workshop.settings.reads)


def shown_in(connection: Connection, sku: str, workshop: Workshop) -> Shown | None:
    """Give an article as a connection sees it, None where there is none."""
    kept = articles_of(connection, [sku]).get(sku)
    return None if kept is None else shown(kept, connection, workshop)


def shown(kept: Kept, connection: Connection, workshop: Workshop) -> Shown:
    """Give an article with all that the catalogue tells of it."""
    contents = [content["sku"] for content in orjson.loads(kept.document).get("comes_with", ())]
    told = Told(kept, articles_of(connection, contents) if contents else {}, returns_of(connection, kept.sku))
    part = workshop.shelf.part(kept.signature)
    body = orjson.dumps(article_json(told, part, workshop.registry, workshop.messages))
    return Shown(Sort.PARTS if kept.signature.of_part else Sort.SKATES, body)


def page_shown(asked: PageAsked, sort: Sort, workshop: Workshop) -> Response:
    """Give the answer that shows a page of articles.

    Raises
    ------
    CatalogueAwayError
        When the database is away.
    """
    version, page = workshop.shelf.read(lambda connection: page_of(connection, *asked))
    links = links_of(request.script_root + request.path, request.args, page.next_after)
    body = orjson.dumps(page_json(sort, page.articles, links, version))
    return cacheable(body, version, workshop.settings.reads, {"Link": links.header})


def require_sku(sku: str) -> None:
    """Raise for what cannot be a SKU: nothing has it, and no database is asked.

    Raises
    ------
    Problem
    """
    if not is_sku(sku):
        raise Problem(HTTPStatus.NOT_FOUND, "no_such_article", {"sku": sku})


def require_sort(found: Shown, sku: str, sort: Sort) -> None:
    """Raise for an article of the other sort, with where it is.

    Raises
    ------
    Problem
    """
    if found.sort is not sort:
        raise Problem(HTTPStatus.NOT_FOUND, "article_elsewhere", {"sku": sku, "place": found.sort.place(sku)})


def _missing(sku: str, workshop: Workshop) -> Problem:
    """Give the refusal for a SKU that nothing has, with the near spelling if there is one."""
    try:
        near = workshop.shelf.near(sku)
    except CatalogueAwayError:
        near = None
    return missing(sku, near)


def missing(sku: str, near: str | None) -> Problem:
    """Give the refusal for a SKU that nothing has.

    Parameters
    ----------
    sku : str
    near : str or None
        The nearest SKU that there is.
    """
    if near is None:
        return Problem(HTTPStatus.NOT_FOUND, "no_such_article", {"sku": sku})
    return Problem(HTTPStatus.NOT_FOUND, "no_such_article_near", {"sku": sku, "near": near})
