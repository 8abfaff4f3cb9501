"""Takes a body that is a file: on to the disk in blocks, never into memory, and away again if anything is wrong."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from http import HTTPStatus
from pathlib import Path

from flask import request
from werkzeug.exceptions import RequestEntityTooLarge

from mountwright.web.problems import Problem

#: Read at a time, bytes.
_BLOCK_BYTES = 64 * 1024

_PREFIX = "mountwright-import-"


@contextmanager
def received(suffix: str, most_bytes: int) -> Iterator[Path]:
    """Give the body of the current request as a file, which outlives the block if that ends well.

    Parameters
    ----------
    suffix : str
        What the file's name ends in.
    most_bytes : int
        Largest body, inclusive.

    Raises
    ------
    Problem
        413 for too much, 400 for a body that is cut short.
    OSError
        When the disk is full.
    """
    handle, name = tempfile.mkstemp(suffix, _PREFIX)
    path = Path(name)
    try:
        _fill(handle, most_bytes)
        yield path
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def _fill(handle: int, most_bytes: int) -> None:
    size = 0
    with os.fdopen(handle, "wb") as file:
        for block in _blocks(most_bytes):
            size += len(block)
            if size > most_bytes:
                raise _too_large(most_bytes)
            file.write(block)
    # A server that ends the stream by itself ends it where the sender went away, too.
    if request.content_length not in (None, size):
        raise Problem(HTTPStatus.BAD_REQUEST, "cut_short")


def _blocks(most_bytes: int) -> Iterator[bytes]:
    # One byte more than is taken: a body of just that size is not too large.
    request.max_content_length = most_bytes + 1
    try:
        stream = request.stream
        while block := stream.read(_BLOCK_BYTES):
            yield block
    except RequestEntityTooLarge as error:
        raise _too_large(most_bytes) from error
    except Exception as error:  # whatever it is that a server raises when there is no more
        raise Problem(HTTPStatus.BAD_REQUEST, "cut_short") from error


def _too_large(most_bytes: int) -> Problem:
    return Problem(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "too_large", {"limit": most_bytes})
