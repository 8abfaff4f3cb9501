"""``/v1/parts`` and ``/v1/parts/{sku}``: the parts of the catalogue."""

from __future__ import annotations

from flask import Response

from mountwright.web.blueprint import Resource
from mountwright.web.caching import ASKED_AGAIN, CACHED_SAID, VERSION_SAID
from mountwright.web.paging import LINKS_SAID
from mountwright.web.parsing import Question
from mountwright.web.schemas.catalogue_answers import PartPageSchema, PartRecordSchema, ShownPartSchema
from mountwright.web.schemas.catalogue_queries import PageAsked, PartQuerySchema
from mountwright.web.showing import article_shown, page_shown
from mountwright.web.sorts import Sort
from mountwright.web.stocking import AS_SEEN, PLACE_SAID, article_removed, article_stocked
from mountwright.web.workshop import workshop

resource = Resource("parts", __name__, url_prefix="/v1", description="The parts of the catalogue.")


@resource.at("/parts")
@resource.refuses(422, 503)
@resource.answers(None, "The page is still the same.", 304)
@resource.answers(PartPageSchema(), "A page of parts, in order of SKU.", headers={**CACHED_SAID, **LINKS_SAID})
@resource.heeds(ASKED_AGAIN)
@resource.asks(PartQuerySchema())
def list_parts(asked: PageAsked) -> Response:
    """List the parts that are looked for; a fault of the query has a pointer such as /query/limit."""
    return page_shown(asked, Sort.PARTS, workshop())


@resource.at("/parts/<string:sku>")
@resource.refuses(404, 503)
@resource.answers(None, "The part is still the same.", 304)
@resource.answers(ShownPartSchema(), "A part: its record, its mounts, its returns.", headers=CACHED_SAID)
@resource.heeds(ASKED_AGAIN)
def show_part(sku: str) -> Response:
    """Show one part."""
    return article_shown(sku, Sort.PARTS, workshop())


@resource.at("/parts/<string:sku>", "PUT")
@resource.keyed("write")
@resource.refuses(400, 409, 412, 413, 415, 422, 503)
@resource.answers(ShownPartSchema(), "The part is new.", 201, headers=PLACE_SAID)
@resource.answers(ShownPartSchema(), "The part is kept, or was so already.", headers=VERSION_SAID)
@resource.heeds(AS_SEEN)
@resource.takes(PartRecordSchema(), as_given=True)
def put_part(question: Question, sku: str) -> Response:
    """Keep a part under its SKU, in the place of what was there."""
    return article_stocked(question, sku, Sort.PARTS, workshop())


@resource.at("/parts/<string:sku>", "DELETE")
@resource.keyed("write")
@resource.refuses(404, 409, 412, 503)
@resource.answers(None, "The part is gone.", 204, headers=VERSION_SAID)
@resource.heeds(AS_SEEN)
def delete_part(sku: str) -> Response:
    """Take a part out of the catalogue, unless a skate comes with it; what was told of it stays."""
    return article_removed(sku, Sort.PARTS, workshop())
