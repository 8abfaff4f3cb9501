"""``GET /v1/standards`` and ``/v1/standards/{key}``: what is installed and how to measure it."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from mountwright.web.answers.standard_answers import standard_json, standards_json
from mountwright.web.blueprint import Resource
from mountwright.web.problems import Problem
from mountwright.web.schemas.standards import StandardSchema, StandardsSchema
from mountwright.web.workshop import workshop

resource = Resource("standards", __name__, url_prefix="/v1", description="The installed mount standards.")


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
    found = workshop().registry.standards.get(key)
    if found is None:
        installed = ", ".join(workshop().registry.standards)
        raise Problem(HTTPStatus.NOT_FOUND, "no_such_standard", {"key": key, "installed": installed})
    return standard_json(found, workshop().messages)
