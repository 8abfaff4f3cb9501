"""Imports as JSON."""

from __future__ import annotations

from typing import Any

from mountwright.catalogue.import_job import Finding, ImportJob
from mountwright.messages import Messages

Json = dict[str, Any]


def import_json(job: ImportJob, messages: Messages) -> Json:
    """Give a file that was sent, how far its import is, and what became of it."""
    report = job.report
    return {
        "id": job.id,
        "state": job.state,
        "dry_run": report.dry_run,
        "created_at": job.created_at,
        "updated_at": job.updated_at,
        "rows_read": report.rows_read,
        "counts": None if report.counts is None else dict(report.counts),
        "changed": report.changed,
        "catalogue": report.catalogue,
        "fault_count": report.fault_count,
        "faults": [_finding(found, messages) for found in report.faults],
        "note_count": report.note_count,
        "notes": [_finding(found, messages) for found in report.notes],
    }


def _finding(found: Finding, messages: Messages) -> Json:
    params = dict(found.params)
    return {
        "row": found.row,
        "column": found.column,
        "code": found.code,
        "params": params,
        "detail": messages.text(found.code, params),
    }
