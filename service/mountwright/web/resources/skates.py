"""``/v1/skates`` and ``/v1/skates/{sku}``: the skates of the catalogue."""

from __future__ import annotations

from flask import Response

from mountwright.web.blueprint import Resource
from mountwright.web.caching import ASKED_AGAIN, CACHED_SAID, VERSION_SAID
from mountwright.web.paging import LINKS_SAID
from mountwright.web.parsing import Question
from mountwright.web.schemas.catalogue_answers import ShownSkateSchema, SkatePageSchema, SkateRecordSchema
from mountwright.web.schemas.catalogue_queries import PageAsked, SkateQuerySchema
from mountwright.web.showing import article_shown, page_shown
from mountwright.web.sorts import Sort
from mountwright.web.stocking import AS_SEEN, PLACE_SAID, article_removed, article_stocked
from mountwright.web.workshop import workshop

resource = Resource("skates", __name__, url_prefix="/v1", description="The skates of the catalogue.")


@resource.at("/skates")
@resource.refuses(422, 503)
@resource.answers(None, "The page is still the same.", 304)
@resource.answers(SkatePageSchema(), "A page of skates, in order of SKU.", headers={**CACHED_SAID, **LINKS_SAID})
@resource.heeds(ASKED_AGAIN)
@resource.asks(SkateQuerySchema())
def list_skates(asked: PageAsked) -> Response:
    """List the skates that are looked for; a fault of the query has a pointer such as /query/limit."""
    return page_shown(asked, Sort.SKATES, workshop())


@resource.at("/skates/<string:sku>")
@resource.refuses(404, 503)
@resource.answers(None, "The skate is still the same.", 304)
@resource.answers(ShownSkateSchema(), "A skate: its record, its mounts, its parts, its returns.", headers=CACHED_SAID)
@resource.heeds(ASKED_AGAIN)
def show_skate(sku: str) -> Response:
    """Show one skate."""
    return article_shown(sku, Sort.SKATES, workshop())


@resource.at("/skates/<string:sku>", "PUT")
@resource.keyed("write")
@resource.refuses(400, 409, 412, 413, 415, 422, 503)
@resource.answers(ShownSkateSchema(), "The skate is new.", 201, headers=PLACE_SAID)
@resource.answers(ShownSkateSchema(), "The skate is kept, or was so already.", headers=VERSION_SAID)
@resource.heeds(AS_SEEN)
@resource.takes(SkateRecordSchema(), as_given=True)
def put_skate(question: Question, sku: str) -> Response:
    """Keep a skate under its SKU, in the place of what was there."""
    return article_stocked(question, sku, Sort.SKATES, workshop())


@resource.at("/skates/<string:sku>", "DELETE")
@resource.keyed("write")
@resource.refuses(404, 412, 503)
@resource.answers(None, "The skate is gone.", 204, headers=VERSION_SAID)
@resource.heeds(AS_SEEN)
def delete_skate(sku: str) -> Response:
    """Take a skate out of the catalogue; what was told of it stays."""
    return article_removed(sku, Sort.SKATES, workshop())
