"""What leads to the articles of a search, so that a page costs what the page costs and not the catalogue.

Articles are given in order of SKU. Where few of them match, going through all of them in that order until a page is
full takes long. A lead gives the SKUs that can match, in order and some at a time, out of an index that holds just
these: of a word, or of a set of mounts.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Select, and_, exists, func, select, union_all

from mountwright.catalogue.tables import ARTICLES, SIGNATURE_MOUNTS, WORDS

#: From so many articles on, a word is common.
COMMON = 2000

#: So many words, or sets of mounts, are followed side by side; what leads to more is looked for in each article.
MOST_SIDE_BY_SIDE = 64

#: Greater than every letter: the end of what begins with a text.
_LAST = "\U0010ffff"


class Lead(NamedTuple):
    """A condition on articles, and where the SKUs of those stand in order that meet it.

    Parameters
    ----------
    condition : ColumnElement of bool
        For when another lead is followed.
    ways : tuple of Select, or None
        Each finds SKUs by an index, one of several each SKU once; none of them where nothing meets the condition,
        None where they are too many.
    """

    condition: ColumnElement[bool]
    ways: tuple[Select[Any], ...] | None

    def skus_after(self, connection: Connection, after: str, most: int) -> list[str]:
        """Give the SKUs that come next, in order, each once: so many, or fewer where there are no more."""
        if not self.ways:
            return []
        parts = (_after(way, after, most).subquery() for way in self.ways)
        skus = connection.scalars(union_all(*(select(part.c.sku) for part in parts)))
        return sorted(set(skus))[:most]


def best_of(leads: Sequence[Lead]) -> Lead | None:
    """Give the lead with the fewest ways, the first of several; None where there is none to follow."""
    able = [lead for lead in leads if lead.ways is not None]
    return min(able, key=lambda lead: len(lead.ways or ()), default=None)


def word_leads(connection: Connection, beginnings: Sequence[str]) -> list[Lead]:
    """Give what leads to the articles that have words with some beginnings, folded; a rare word first."""
    rare = [word for word in beginnings if not _is_common(connection, word)]
    common = [word for word in beginnings if word not in rare]
    found = [Lead(has_word(word), (select(WORDS.c.sku).where(_begins(word)),)) for word in rare]
    return found + [Lead(has_word(word), _spelt(connection, word)) for word in common]


def has_word(beginning: str) -> ColumnElement[bool]:
    """Give the condition that an article has a word with a beginning."""
    return exists().where(WORDS.c.sku == ARTICLES.c.sku, _begins(beginning))


def mount_lead(connection: Connection, position: str | None, standard: str | None) -> Lead:
    """Give what leads to the articles that have a mount at a position, that follows a standard, or both."""
    mounts = SIGNATURE_MOUNTS.c
    asked = {mounts.position: position, mounts.standard: standard}
    conditions = [column == value for column, value in asked.items() if value is not None]
    numbers = select(mounts.signature_id).where(*conditions).distinct().limit(MOST_SIDE_BY_SIDE + 1)
    found = sorted(connection.scalars(numbers))
    ways = tuple(select(ARTICLES.c.sku).where(ARTICLES.c.signature_id == number) for number in found)
    condition = exists().where(mounts.signature_id == ARTICLES.c.signature_id, *conditions)
    return Lead(condition, None if len(ways) > MOST_SIDE_BY_SIDE else ways)


def _after(way: Select[Any], after: str, most: int) -> Select[Any]:
    sku = way.selected_columns.sku
    return way.where(sku > after).order_by(sku).limit(most)


def _is_common(connection: Connection, beginning: str) -> bool:
    some = select(WORDS.c.sku).where(_begins(beginning)).limit(COMMON).subquery()
    return connection.scalar(select(func.count()).select_from(some)) == COMMON


def _spelt(connection: Connection, beginning: str) -> tuple[Select[Any], ...] | None:
    """Give a way along each word that there is with a beginning."""
    found = list(_spellings(connection, beginning))
    ways = tuple(select(WORDS.c.sku).where(WORDS.c.word == word) for word in found)
    return None if len(found) > MOST_SIDE_BY_SIDE else ways


def _spellings(connection: Connection, beginning: str) -> Iterator[str]:
    """Yield the words there are, from one to the next by the index, one more at most than is followed."""
    lowest: ColumnElement[bool] = WORDS.c.word >= beginning
    for _ in range(MOST_SIDE_BY_SIDE + 1):
        word = connection.scalar(select(WORDS.c.word).where(lowest).order_by(WORDS.c.word).limit(1))
        if word is None or not word.startswith(beginning):
            return
        yield word
        lowest = WORDS.c.word > word


def _begins(beginning: str) -> ColumnElement[bool]:
    # No BETWEEN: SQLAlchemy gives bounds their collation, which PostgreSQL does not take there.
    return and_(WORDS.c.word >= beginning, WORDS.c.word <= beginning + _LAST)
