"""The version of the catalogue: every write raises it in its own transaction."""

from __future__ import annotations

import hashlib
from typing import NamedTuple

from sqlalchemy import Connection, select, update

from mountwright.catalogue.tables import STATE


class Version(NamedTuple):
    """One state of the catalogue; the digest tells two catalogues of the same number apart."""

    number: int
    digest: str

    @property
    def label(self) -> str:
        """Give the version as a receipt carries it."""
        return f"{self.number}-{self.digest}"


_FOUND = select(STATE.c.version, STATE.c.digest).where(STATE.c.id == 1)
_LOCKED = _FOUND.with_for_update()


def version_of(connection: Connection) -> Version:
    """Give the version that a connection sees."""
    return Version(*connection.execute(_FOUND).one())


def locked_version(connection: Connection) -> Version:
    """Give the version and hold it, so that no other write comes between until the transaction ends."""
    return Version(*connection.execute(_LOCKED).one())


def raised(connection: Connection, change: bytes) -> Version:
    """Raise the version within the transaction of a write.

    Parameters
    ----------
    connection : Connection
    change : bytes
        Digest of what was written: the same writes in the same order give the same versions.
    """
    before = locked_version(connection)
    digest = hashlib.sha256(before.digest.encode() + change).hexdigest()[:12]
    connection.execute(update(STATE).values(version=before.number + 1, digest=digest))
    return Version(before.number + 1, digest)
