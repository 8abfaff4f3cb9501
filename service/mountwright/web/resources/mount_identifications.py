"""``POST /v1/mount-identifications``: which standard is this mount."""

from __future__ import annotations

from typing import Any

from mountwright.web.answering import identification_answered
from mountwright.web.blueprint import Resource
from mountwright.web.parsing import Question
from mountwright.web.schemas.mount_identifications import IdentificationAnswerSchema, IdentificationRequestSchema
from mountwright.web.workshop import workshop

resource = Resource(
    "mount-identifications", __name__, url_prefix="/v1", description="Which standard does a mount follow?"
)


@resource.at("/mount-identifications", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(IdentificationAnswerSchema(), "Every standard at the position and none of these, ranked.")
@resource.takes(IdentificationRequestSchema())
def identify_mount(question: Question) -> dict[str, Any]:
    """Rank the standards that a mount may follow, and say what would settle it."""
    return identification_answered(question, workshop())
