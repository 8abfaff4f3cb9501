"""Reads the mounts of the catalogue anew after the installed standards have changed."""

from __future__ import annotations

from sqlalchemy import Connection, bindparam, delete, insert, select, update

from mountwright.catalogue.documents import SKATE
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.signatures import MountReader, Signature, claim_rows, figure_rows
from mountwright.catalogue.tables import ARTICLES, SIGNATURE_FIGURES, SIGNATURE_MOUNTS, SIGNATURES

#: Signatures that are read in one transaction.
_AT_A_TIME = 500

_STALE = (
    select(SIGNATURES.c.id, SIGNATURES.c.digest, SIGNATURES.c.mounts)
    .where(SIGNATURES.c.rules != bindparam("now"))
    .order_by(SIGNATURES.c.id)
    .limit(_AT_A_TIME)
)


def reindexed(engines: Engines, read_mounts: MountReader, rules: str) -> int:
    """Bring the index of mounts to the rules at hand; give how many sets of mounts were read.

    Until it is done, a listing of candidates judges what it would else have left out: slower, but as right.

    Parameters
    ----------
    engines : Engines
    read_mounts : MountReader
    rules : str
        Version of the rules behind it.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached.
    """
    count = 0
    while True:
        with engines.writing() as connection:
            stale = connection.execute(_STALE, {"now": rules}).all()
            for number, digest, mounts in stale:
                _read_anew(connection, number, Signature(digest, mounts, False), read_mounts, rules)
        if not stale:
            return count
        count += len(stale)


def _read_anew(connection: Connection, number: int, signature: Signature, read_mounts: MountReader, rules: str) -> None:
    # Not from the index: rules that could read none of the mounts left nothing in it.
    kind = connection.scalar(select(ARTICLES.c.kind).where(ARTICLES.c.signature_id == number).limit(1))
    for table in (SIGNATURE_MOUNTS, SIGNATURE_FIGURES):
        connection.execute(delete(table).where(table.c.signature_id == number))
    mounts = read_mounts(signature.owned)
    if claims := claim_rows(number, mounts, kind != SKATE):
        connection.execute(insert(SIGNATURE_MOUNTS), claims)
    if figures := figure_rows(number, mounts):
        connection.execute(insert(SIGNATURE_FIGURES), figures)
    connection.execute(update(SIGNATURES).where(SIGNATURES.c.id == number).values(rules=rules))
