"""``GET /v1/skates/{sku}/candidates``: what goes on a skate at a position."""

from __future__ import annotations

from flask import Response

from mountwright.web.blueprint import Resource
from mountwright.web.caching import ASKED_AGAIN, CACHED_SAID
from mountwright.web.candidates import Asked
from mountwright.web.choosing import candidates_shown
from mountwright.web.paging import LINKS_SAID
from mountwright.web.schemas.candidates import CandidateQuerySchema, CandidatesSchema
from mountwright.web.workshop import workshop

resource = Resource("candidates", __name__, url_prefix="/v1", description="What goes on a skate of the catalogue.")


@resource.at("/skates/<string:sku>/candidates")
@resource.refuses(404, 422, 503)
@resource.answers(None, "The page is still the same.", 304)
@resource.answers(
    CandidatesSchema(),
    "A page of parts, grouped by verdict and by the work it takes, best first.",
    headers={**CACHED_SAID, **LINKS_SAID},
)
@resource.heeds(ASKED_AGAIN)
@resource.asks(CandidateQuerySchema())
def list_candidates(asked: Asked, sku: str) -> Response:
    """List what goes on a skate at a position; with near=true also what nearly does, and why not."""
    return candidates_shown(sku, asked, workshop())
