"""``POST /v1/imports`` and ``GET /v1/imports/{id}``: a file for the catalogue, and what became of it."""

from __future__ import annotations

from datetime import UTC, datetime
from http import HTTPStatus
from typing import Any

from flask import g, url_for

from mountwright.catalogue.import_job import ImportJob
from mountwright.catalogue.import_jobs import job_of
from mountwright.web.answers.import_answers import import_json
from mountwright.web.blueprint import Resource, View
from mountwright.web.importing.start import SUFFIXES, taken_in
from mountwright.web.problems import Problem
from mountwright.web.schemas.imports import ImportJobSchema, ImportQuerySchema, Manner
from mountwright.web.workshop import workshop

resource = Resource("imports", __name__, url_prefix="/v1", description="Files for the catalogue.")

_PLACE_SAID = {"Location": "Where to ask what became of it."}

#: The body in the contract: a file, which no schema describes.
_BODY = {
    "required": True,
    "description": "The file, all of which is kept or nothing; one at a time.",
    "content": {media_type: {"schema": {"type": "string", "format": "binary"}} for media_type in SUFFIXES},
}


def _takes_file(view: View) -> View:
    """Document a body that is a file."""
    documented: View = resource.doc(requestBody=_BODY)(view)
    return documented


@resource.at("/imports", "POST")
@resource.keyed("write")
@resource.refuses(400, 409, 413, 415, 422, 503)
@resource.answers(ImportJobSchema(), "The file is here; its import begins.", 202, headers=_PLACE_SAID)
@_takes_file
@resource.asks(ImportQuerySchema())
def take_import(manner: Manner) -> tuple[dict[str, Any], HTTPStatus, dict[str, str]]:
    """Take a file of skates, parts and families in, to be brought into the catalogue."""
    job = taken_in(workshop(), g.key.shop, manner)
    where = url_for(".show_import", job_id=job.id)
    return import_json(job, workshop().messages), HTTPStatus.ACCEPTED, {"Location": where}


@resource.at("/imports/<string:job_id>")
@resource.keyed("write")
@resource.refuses(404, 503)
@resource.answers(ImportJobSchema(), "How far the import is, or what became of it; told for 30 days.")
def show_import(job_id: str) -> dict[str, Any]:
    """Show what became of a file, to the shop that sent it."""
    return import_json(_job(job_id), workshop().messages)


def _job(job_id: str) -> ImportJob:
    """Give an import of the shop that asks.

    Raises
    ------
    Problem
        404 for none, and for that of another shop: nobody learns what others send.
    """
    job = job_of(workshop().engines, job_id, datetime.now(UTC))
    if job is None or job.shop != g.key.shop:
        raise Problem(HTTPStatus.NOT_FOUND, "no_such_import", {"id": job_id})
    return job
