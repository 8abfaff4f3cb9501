"""Keys to the service: which shop holds one, what it opens and until when.

No answer depends on a key, so making or revoking one leaves the version of the catalogue alone.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Final, NamedTuple

from sqlalchemy import Connection, bindparam, insert, select, update

from mountwright.catalogue.engines import Engines
from mountwright.catalogue.tables import API_KEYS
from mountwright.errors import CatalogueError


class Scope(StrEnum):
    """What a key opens; who may write may read."""

    READ = "read"
    WRITE = "write"


@dataclass(frozen=True)
class Key:
    """A key that was shown and is good.

    Parameters
    ----------
    id : str
    shop : str
        Code of the shop that holds it.
    scopes : frozenset of Scope
    expires_at : str or None
        ISO 8601, UTC; from this second on it opens nothing. None for never.
    """

    id: str
    shop: str
    scopes: frozenset[Scope]
    expires_at: str | None

    def opens(self, scope: Scope) -> bool:
        """Tell whether the key opens what needs a scope."""
        return scope in self.scopes

    def lasts(self, now: datetime) -> bool:
        """Tell whether the key has not expired."""
        return _lasts(self.expires_at, now)


class KeyState(StrEnum):
    """What has become of a key."""

    GOOD = "good"
    EXPIRED = "expired"
    REVOKED = "revoked"


class KeyRow(NamedTuple):
    """What there is to know of a key without holding it; times in ISO 8601, UTC, None for never."""

    id: str
    shop: str
    scopes: frozenset[Scope]
    created_at: str
    expires_at: str | None
    revoked_at: str | None

    def state(self, now: datetime) -> KeyState:
        """Tell what has become of the key."""
        if self.revoked_at is not None:
            return KeyState.REVOKED
        return KeyState.GOOD if _lasts(self.expires_at, now) else KeyState.EXPIRED


_SHOP: Final = re.compile(r"[a-z0-9-]{1,40}")
_TEXT: Final = re.compile(r"mw_([a-z0-9]{8})_[A-Za-z0-9_-]{43}")

#: Without those that are taken for one another: a person reads an id off a list and types it.
_ID_LETTERS: Final = "abcdefghjkmnpqrstuvwxyz23456789"
_ID_LENGTH: Final = 8
_SECRET_BYTES: Final = 32

#: What the key is compared with where there is no such id; no text has this digest that anybody could find.
_NO_DIGEST: Final = bytes(hashlib.sha256().digest_size)

_FOUND = select(
    API_KEYS.c.id, API_KEYS.c.shop, API_KEYS.c.scopes, API_KEYS.c.expires_at, API_KEYS.c.revoked_at, API_KEYS.c.digest
).where(API_KEYS.c.id == bindparam("key_id"))
_REVOKED = (
    update(API_KEYS)
    .where(API_KEYS.c.id == bindparam("key_id"), API_KEYS.c.revoked_at == "")
    .values(revoked_at=bindparam("at"))
)
_LISTED = select(
    API_KEYS.c.id,
    API_KEYS.c.shop,
    API_KEYS.c.scopes,
    API_KEYS.c.created_at,
    API_KEYS.c.expires_at,
    API_KEYS.c.revoked_at,
).order_by(API_KEYS.c.created_at, API_KEYS.c.id)


def created(engines: Engines, shop: str, scopes: Iterable[str], expires_at: datetime | None, now: datetime) -> str:
    """Make a key and give it whole; it is nowhere to be had again.

    Parameters
    ----------
    engines : Engines
    shop : str
        Code of the shop that will hold it: 1 to 40 of a to z, 0 to 9 and hyphens.
    scopes : Iterable of str
        One at least of :class:`Scope`; ``write`` brings ``read`` along.
    expires_at : datetime or None
        From this second on it opens nothing; None for never.
    now : datetime

    Raises
    ------
    CatalogueError
        For another shop code or scope, and for an end that is not ahead.
    CatalogueAwayError
        When the database cannot be reached.
    """
    if not _SHOP.fullmatch(shop):
        raise CatalogueError(f"shop: found {shop!r}, expected 1 to 40 of a to z, 0 to 9 and hyphens")
    granted, made, end = _granted(scopes), _written(now), "" if expires_at is None else _written(expires_at)
    if end and end <= made:
        raise CatalogueError(f"end of the key: found {end}, expected a time after {made}")
    key_id = "".join(secrets.choice(_ID_LETTERS) for _ in range(_ID_LENGTH))
    text = f"mw_{key_id}_{secrets.token_urlsafe(_SECRET_BYTES)}"
    row = {"id": key_id, "shop": shop, "digest": _digest(text), "scopes": " ".join(sorted(granted))}
    with engines.writing() as connection:
        connection.execute(insert(API_KEYS), {**row, "created_at": made, "expires_at": end, "revoked_at": ""})
    return text


def revoked(engines: Engines, key_id: str, now: datetime) -> bool:
    """Revoke a key; tell whether there was one to revoke.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached.
    """
    with engines.writing() as connection:
        return connection.execute(_REVOKED, {"key_id": key_id, "at": _written(now)}).rowcount == 1


def listed(engines: Engines) -> tuple[KeyRow, ...]:
    """Give every key that was ever made, the oldest first, without what would open anything.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached.
    """
    with engines.reading() as connection:
        rows = connection.execute(_LISTED).all()
    return tuple(
        KeyRow(row.id, row.shop, _scopes(row.scopes), row.created_at, row.expires_at or None, row.revoked_at or None)
        for row in rows
    )


def is_written_as_key(text: str) -> bool:
    """Tell whether a text has the form of a key; no other text can be one."""
    return _TEXT.fullmatch(text) is not None


def checked(connection: Connection, text: str, now: datetime) -> Key | None:
    """Give the key that a text is; None for one that is unknown, wrong, revoked or expired."""
    form = _TEXT.fullmatch(text)
    if form is None:
        return None
    row = connection.execute(_FOUND, {"key_id": form[1]}).one_or_none()
    # An unknown id is compared as well, so that how long the answer takes does not tell which ids there are.
    same = hmac.compare_digest(_digest(text), _NO_DIGEST if row is None else row.digest)
    if row is None or not same or row.revoked_at:
        return None
    key = Key(row.id, row.shop, _scopes(row.scopes), row.expires_at or None)
    return key if key.lasts(now) else None


def _digest(text: str) -> bytes:
    # One pass of SHA-256 is enough. A slow hash with salt guards passwords, which can be guessed from
    # their digests; 256 random bits cannot, and every call would pay for it.
    return hashlib.sha256(text.encode()).digest()


def _granted(scopes: Iterable[str]) -> frozenset[Scope]:
    named = set(scopes)
    if not named or not named <= set(Scope):
        raise CatalogueError(f"scopes: found {', '.join(sorted(named)) or 'none'}, expected {' or '.join(Scope)}")
    granted = frozenset(Scope(name) for name in named)
    return granted | {Scope.READ} if Scope.WRITE in granted else granted


def _scopes(text: str) -> frozenset[Scope]:
    return frozenset(Scope(name) for name in text.split())


def _lasts(expires_at: str | None, now: datetime) -> bool:
    return expires_at is None or _written(now) < expires_at


def _written(moment: datetime) -> str:
    """Give a moment as it is kept: texts of one form, that sort and compare as the moments do."""
    if moment.tzinfo is None:
        raise CatalogueError(f"time: found {moment.isoformat()} without a zone, expected one with it")
    return moment.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
