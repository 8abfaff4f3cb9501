"""Who may ask: a key in ``Authorization: Bearer`` (RFC 6750) where a call needs one."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Callable
from datetime import UTC, datetime
from http import HTTPStatus
from threading import Lock
from typing import NamedTuple

from cachetools import LRUCache
from flask import Flask, Response, after_this_request, current_app, g, request

from mountwright.catalogue.engines import Engines
from mountwright.catalogue.keys import Key, Scope, checked, is_written_as_key
from mountwright.errors import CatalogueAwayError, CatalogueBusyError
from mountwright.settings import Reads
from mountwright.web.blueprint import needed_scope
from mountwright.web.problems import Problem
from mountwright.web.shelf import RETRY_S, STALE_S

#: A key that was verified is taken without asking the database for so long, seconds: a revoked one stops by then.
TRUSTED_S = 10.0

#: Where what needs a key lies; health and the contract lie outside.
_KEYED_PATHS = "/v1/"


def _utc_now() -> datetime:
    return datetime.now(UTC)


class Verified(NamedTuple):
    """A key that was found good, and when, seconds of the clock."""

    key: Key
    at_s: float


class Keyring:
    """The keys that this process has verified of late, known by the digests of their texts.

    Parameters
    ----------
    engines : Engines
    most : int
        How many are remembered, the longest unused forgotten first.
    clock : callable
        Seconds, from any start, never set back.
    now : callable
        The time of day, by which keys expire.
    """

    def __init__(
        self,
        engines: Engines,
        most: int = 1024,
        clock: Callable[[], float] = time.monotonic,
        now: Callable[[], datetime] = _utc_now,
    ) -> None:
        self._engines, self._clock, self._now = engines, clock, now
        self._verified: LRUCache[bytes, Verified] = LRUCache(most)
        self._retry_at_s = float("-inf")
        self._lock = Lock()

    def key(self, text: str, scope: Scope) -> Key | None:
        """Give the key that a text is, None for none that is good.

        Parameters
        ----------
        text : str
        scope : Scope
            What it is shown for: without the database an old acquaintance opens reads only.

        Raises
        ------
        CatalogueAwayError
            When the database is away and the key may not be taken without it.
        """
        if not is_written_as_key(text):
            return None
        digest = hashlib.sha256(text.encode()).digest()
        held = self._held(digest)
        if held is not None and self._clock() - held.at_s < TRUSTED_S:
            return held.key
        try:
            return self._asked(text, digest)
        except CatalogueAwayError:
            if held is None or scope is not Scope.READ or self._clock() - held.at_s >= STALE_S:
                raise
            return held.key

    def _held(self, digest: bytes) -> Verified | None:
        with self._lock:
            held = self._verified.get(digest)
        return held if held is not None and held.key.lasts(self._now()) else None

    def _asked(self, text: str, digest: bytes) -> Key | None:
        # Taken before the question: what is revoked while it is answered is trusted no longer for that.
        at_s = self._clock()
        if at_s < self._retry_at_s:
            raise CatalogueAwayError("it was away a moment ago")
        try:
            with self._engines.reading() as connection:
                key = checked(connection, text, self._now())
        except CatalogueBusyError:
            raise
        except CatalogueAwayError:
            self._retry_at_s = self._clock() + RETRY_S
            raise
        self._note(digest, key, at_s)
        return key

    def _note(self, digest: bytes, key: Key | None, at_s: float) -> None:
        with self._lock:
            if key is None:
                self._verified.pop(digest, None)
            else:
                self._verified[digest] = Verified(key, at_s)


def register_security(app: Flask, keyring: Keyring, reads: Reads) -> None:
    """Ask for a key wherever one is needed, before anything else is done; it is then at hand as ``g.key``.

    Parameters
    ----------
    app : Flask
    keyring : Keyring
    reads : Reads
        Whether calls that no view keeps keyed need one as well.
    """

    def guard() -> None:
        scope = _needed(reads)
        g.key = None if scope is None else _admitted(keyring, scope)

    app.before_request(guard)


def _needed(reads: Reads) -> Scope | None:
    scope = needed_scope(current_app.view_functions.get(request.endpoint or ""))
    if scope is not None or reads is Reads.OPEN:
        return scope
    # The rule decides, not the path as it was written: there are several ways to write one. What leads nowhere
    # has no rule, and is kept as well, so that nobody finds out without a key what there is.
    place = request.path if request.url_rule is None else request.url_rule.rule
    return Scope.READ if place.startswith(_KEYED_PATHS) else None


def _admitted(keyring: Keyring, scope: Scope) -> Key:
    text = _shown()
    if not text:
        raise _challenged(Problem(HTTPStatus.UNAUTHORIZED, "no_key"), "Bearer")
    key = keyring.key(text, scope)
    if key is None:
        raise _challenged(Problem(HTTPStatus.UNAUTHORIZED, "bad_key"), 'Bearer error="invalid_token"')
    if not key.opens(scope):
        refusal = Problem(HTTPStatus.FORBIDDEN, "no_scope", {"scope": scope.value})
        raise _challenged(refusal, f'Bearer error="insufficient_scope", scope="{scope}"')
    return key


def _shown() -> str:
    """Give the text of the key that comes with the request, empty where none does."""
    scheme, _, text = request.headers.get("Authorization", "").partition(" ")
    return text.strip() if scheme.lower() == "bearer" else ""


def _challenged(refusal: Problem, challenge: str) -> Problem:
    """Say with a refusal how to come in, as RFC 6750 section 3 has it."""

    @after_this_request
    def challenged(answer: Response) -> Response:
        answer.headers["WWW-Authenticate"] = challenge
        return answer

    return refusal
