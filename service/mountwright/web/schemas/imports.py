"""Imports as the contract shows them."""

from __future__ import annotations

from typing import Any, NamedTuple

from marshmallow import Schema, fields, post_load

from mountwright.catalogue.import_job import JobState
from mountwright.web.faults import Choice, Strict, Text

_WORDS = ("true", "false")


class Manner(NamedTuple):
    """How a file is to be taken.

    Parameters
    ----------
    decimal_comma : bool
        CSV with semicolons between the cells and commas in the numbers.
    dry_run : bool
        Everything is judged and nothing kept.
    """

    decimal_comma: bool
    dry_run: bool


class ImportQuerySchema(Strict):
    """How a file is to be taken."""

    decimal_comma = Text(
        load_default="false",
        validate=Choice(_WORDS),
        metadata={"description": "CSV with semicolons between the cells and commas in the numbers."},
    )
    dry_run = Text(
        load_default="false",
        validate=Choice(_WORDS),
        metadata={"description": "Judge everything and keep nothing."},
    )

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Manner:
        """Give the words as what they say."""
        return Manner(**{name: word == "true" for name, word in data.items()})


class ImportFindingSchema(Schema):
    """A fault or a note, and where it stands."""

    row = fields.Integer(required=True, allow_none=True, metadata={"description": "The first is 1."})
    column = fields.String(
        required=True, metadata={"description": "A heading, or a JSON pointer; empty for the whole row."}
    )
    code = fields.String(required=True, metadata={"description": "Stable code of the finding."})
    params = fields.Dict(required=True, metadata={"description": "What the sentence was made from."})
    detail = fields.String(required=True, metadata={"description": "What was found, and what was expected."})


class ImportCountsSchema(Schema):
    """Good records by sort."""

    families = fields.Integer(required=True)
    parts = fields.Integer(required=True)
    skates = fields.Integer(required=True)


class ImportJobSchema(Schema):
    """A file that was sent, how far its import is, and what became of it."""

    id = fields.String(required=True)
    state = fields.String(
        required=True,
        metadata={
            "enum": [state.value for state in JobState],
            "description": "failed: the faults say why, and nothing was kept. interrupted: the importer ended without "
            "a word, and nothing was kept; send the file again.",
        },
    )
    dry_run = fields.Boolean(required=True)
    created_at = fields.String(required=True, metadata={"format": "date-time"})
    updated_at = fields.String(
        required=True, metadata={"format": "date-time", "description": "When its importer was last heard of."}
    )
    rows_read = fields.Integer(required=True)
    counts = fields.Nested(ImportCountsSchema, required=True, allow_none=True)
    changed = fields.Integer(
        required=True,
        allow_none=True,
        metadata={"description": "Rows that were not there in this form before; of a dry run, that would change."},
    )
    catalogue = fields.String(
        required=True, allow_none=True, metadata={"description": "Version of the catalogue that holds the file."}
    )
    fault_count = fields.Integer(required=True)
    faults = fields.List(fields.Nested(ImportFindingSchema), required=True, metadata={"description": "The first 1000."})
    note_count = fields.Integer(required=True)
    notes = fields.List(fields.Nested(ImportFindingSchema), required=True, metadata={"description": "The first 1000."})
