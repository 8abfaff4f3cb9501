"""Takes a file in and starts what brings it into the catalogue: a process of its own, so that answers stay fast."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from http import HTTPStatus
from pathlib import Path
from threading import Thread

from flask import Response, after_this_request, request

from mountwright.catalogue.engines import Engines
from mountwright.catalogue.import_job import ImportJob
from mountwright.catalogue.import_jobs import BETWEEN_WORDS_S, admitted, given_up, require_none, vouched_for
from mountwright.errors import CatalogueAwayError, ImportRunsError
from mountwright.web.importing.upload import received
from mountwright.web.problems import RETRY_AFTER_S, Problem
from mountwright.web.schemas.imports import Manner
from mountwright.web.workshop import Workshop

#: What a file's name ends in, by its media type.
SUFFIXES = {"text/csv": ".csv", "application/jsonl": ".jsonl", "application/x-ndjson": ".jsonl"}

#: The command of ours that runs an import.
_COMMAND = (sys.executable, "-c", "from mountwright.cli import main; main()", "catalogue", "run-import")

log = logging.getLogger(__name__)


def taken_in(workshop: Workshop, shop: str, manner: Manner) -> ImportJob:
    """Take the body of the current request in as a file, and start its import.

    Raises
    ------
    Problem
        415 for a media type of no such file, 409 while another import is under way, 413 for too much, 400 for a
        body that is cut short, 503 for a full disk.
    CatalogueAwayError
        When the database cannot be reached or is full.
    """
    suffix = SUFFIXES.get(request.mimetype)
    if suffix is None:
        raise Problem(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "no_file", {"known": ", ".join(SUFFIXES)})
    with _refusals():
        require_none(workshop.engines, _now())
        with received(suffix, workshop.settings.max_import_bytes) as file:
            job = admitted(workshop.engines, shop, _now(), dry_run=manner.dry_run)
            _start(job.id, file, manner, workshop)
    return job


def _start(job_id: str, file: Path, manner: Manner, workshop: Workshop) -> None:
    """Start the importer, and a thread that waits for its end.

    Raises
    ------
    OSError
        When the machine has no room for another process.
    """
    flags = [f"--{name.replace('_', '-')}" for name, is_wanted in manner._asdict().items() if is_wanted]
    command = [*_COMMAND, *flags, "--", job_id, str(file)]
    env = {**os.environ, **workshop.settings.to_env()}
    try:
        # In a session of its own: it outlives a worker that is told to go.
        process = subprocess.Popen(command, env=env, stdin=subprocess.DEVNULL, start_new_session=True)  # noqa: S603  # our own command
    except OSError:
        given_up(workshop.engines, job_id, _now())
        raise
    Thread(target=_await_end, args=(process, job_id, file, workshop.engines), daemon=True).start()


def _await_end(process: subprocess.Popen[bytes], job_id: str, file: Path, engines: Engines) -> None:
    """Vouch for an importer until it has begun, and clear up after one that dies without a word."""
    with _away_logged(job_id):
        _vouch(process, job_id, engines)
    if process.wait() == 0:
        return
    log.warning("the importer of %s ended with code %s", job_id, process.returncode)
    file.unlink(missing_ok=True)
    with _away_logged(job_id):
        given_up(engines, job_id, _now())


def _vouch(process: subprocess.Popen[bytes], job_id: str, engines: Engines) -> None:
    while True:
        try:
            process.wait(BETWEEN_WORDS_S)
            return
        except subprocess.TimeoutExpired:
            if not vouched_for(engines, job_id, _now()):
                return


@contextmanager
def _away_logged(job_id: str) -> Iterator[None]:
    """Let a database that is away pass: whoever asks for the import finds out by its silence."""
    try:
        yield
    except CatalogueAwayError as error:
        log.warning("import %s: %s", job_id, error)


@contextmanager
def _refusals() -> Iterator[None]:
    try:
        yield
    except ImportRunsError as error:
        raise _later(Problem(HTTPStatus.CONFLICT, "import_runs")) from error
    except OSError as error:
        reason = {"reason": error.strerror or str(error)}
        raise _later(Problem(HTTPStatus.SERVICE_UNAVAILABLE, "no_room", reason)) from error


def _later(refusal: Problem) -> Problem:
    """Say with a refusal when to ask again."""

    @after_this_request
    def told(answer: Response) -> Response:
        answer.headers["Retry-After"] = str(RETRY_AFTER_S)
        return answer

    return refusal


def _now() -> datetime:
    return datetime.now(UTC)
