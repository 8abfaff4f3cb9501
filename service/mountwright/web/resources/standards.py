"""``GET /v1/standards``, ``/v1/standards/{key}`` and ``/gauge`` below it: what is installed, how to measure it."""

from __future__ import annotations

from typing import Any

from flask import Response

from mountwright.drawing.sheet import Paper
from mountwright.web.answers.standard_answers import standard_json, standards_json
from mountwright.web.blueprint import Resource
from mountwright.web.caching import ASKED_AGAIN, TAGGED_SAID
from mountwright.web.gauges import gauge_shown, standard_named
from mountwright.web.schemas.gauges import GaugeQuerySchema
from mountwright.web.schemas.standards import StandardSchema, StandardsSchema
from mountwright.web.workshop import workshop

resource = Resource("standards", __name__, url_prefix="/v1", description="The installed mount standards.")

_PRINTED = "The gauge, to print at its true size: PDF, or SVG where the caller accepts that rather than PDF."


@resource.at("/standards")
@resource.answers(StandardsSchema(), "Every installed standard, and the plugins that were left out.")
def list_standards() -> dict[str, Any]:
    """List the installed standards."""
    shop = workshop()
    return standards_json(shop.registry, shop.messages)


@resource.at("/standards/<string:key>")
@resource.refuses(404)
@resource.answers(StandardSchema(), "One standard: what to measure, how, and how far sides spread.")
def show_standard(key: str) -> dict[str, Any]:
    """Show one standard."""
    return standard_json(standard_named(key, workshop()), workshop().registry, workshop().messages)


@resource.at("/standards/<string:key>/gauge")
@resource.refuses(404, 422)
@resource.prints(_PRINTED, TAGGED_SAID)
@resource.draws(_PRINTED, TAGGED_SAID)
@resource.answers(None, "It is still what the caller has.", status=304)
@resource.heeds(ASKED_AGAIN)
@resource.asks(GaugeQuerySchema())
def show_gauge(paper: Paper, key: str) -> Response:
    """Draw what the standard's lengths look like, beside its neighbours', to measure a skate with."""
    return gauge_shown(key, paper, workshop())
