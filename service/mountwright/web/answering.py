"""The straight way of a request: frozen request in, JSON with receipt out. Used over HTTP and by the command line."""

from __future__ import annotations

from typing import Any

from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.identification import identified
from mountwright.mounts.mount import Mount
from mountwright.web.answers.fit_answers import fit_json
from mountwright.web.answers.identification_answers import identification_json
from mountwright.web.workshop import Workshop

Json = dict[str, Any]


def fit_answered(asked: FitRequest, digest: str, workshop: Workshop) -> Json:
    """Give the answer to a fit check."""
    answer = fit_checked(asked, workshop.registry, workshop.estimates)
    return {**fit_json(answer, workshop.messages), "receipt": receipt(digest, workshop)}


def identification_answered(mount: Mount, digest: str, workshop: Workshop) -> Json:
    """Give the answer to an identification."""
    found = identified(mount, workshop.registry, workshop.estimates)
    rankings = [identification_json(each, workshop.messages) for each in found]
    return {"identifications": rankings, "receipt": receipt(digest, workshop)}


def receipt(digest: str, workshop: Workshop) -> Json:
    """Give what an answer can be traced by."""
    return {"request": digest, "catalogue": None, "rules": workshop.registry.rules_version}
