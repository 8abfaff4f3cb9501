"""The catalogue as one process sees it: one version an answer, and what was read of late while the database is away."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from itertools import product
from threading import Lock
from typing import Any, TypeVar

import orjson
from cachetools import LRUCache
from sqlalchemy import Connection

from mountwright.catalogue.baskets import BasketNamed, BasketRead, basket_read
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.outcomes import tallies_of
from mountwright.catalogue.reading import Kept, articles_of
from mountwright.catalogue.search import Wanted, page_of
from mountwright.catalogue.signatures import Signature
from mountwright.catalogue.spelling import near
from mountwright.catalogue.versions import Version, version_of
from mountwright.errors import CatalogueAwayError, CatalogueBusyError
from mountwright.mounts.mount import Part
from mountwright.mounts.registry import Registry
from mountwright.web.carts.articles import article_recorded
from mountwright.web.shelved import Model, Named, NamedBasket, Seen, SeenBasket, Shelved, is_askable
from mountwright.web.signed import part_signed

T = TypeVar("T")
K = TypeVar("K")
V = TypeVar("V")

#: What is read of one version, which stands first.
R = TypeVar("R", bound="tuple[Version, *tuple[Any, ...]]")

#: Versions of one model that are told apart; a name with more needs a size or a year beside it.
MOST_VERSIONS = 24

#: How often a reading is begun anew because the catalogue changed meanwhile.
_TRIES = 10

#: A version that was seen is taken for the newest so long, seconds.
FRESH_S = 1.0

#: What was read is given again while the database is away, for so long, seconds.
STALE_S = 600.0

#: While the database is away it is asked again so often, seconds.
RETRY_S = 2.0

#: A basket of more pairs of skate and part is read anew every time: remembered, they would push out all else.
MOST_PAIRS = 1024

#: What is remembered, by what it is of.
Key = tuple[str, Any]


class Shelf:
    """The catalogue's articles.

    Parameters
    ----------
    engines : Engines
    registry : Registry
    most : int
        How many answers, and how many distinct sets of mounts, are remembered.
    clock : callable
        Seconds, from any start.
    """

    def __init__(
        self, engines: Engines, registry: Registry, most: int = 4096, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._engines, self._registry, self._clock = engines, registry, clock
        self._read: LRUCache[Key, tuple[Version, Any]] = LRUCache(most)
        self._parts: LRUCache[str, Part] = LRUCache(most)
        self._version: Version | None = None
        self._confirmed_at = self._retry_at = float("-inf")
        self._lock = Lock()

    def seen(self, named: Named) -> Seen:
        """Give what a request names.

        Raises
        ------
        CatalogueAwayError
            When some of it was not read lately and the database is away.
        """
        named = named.askable
        version = self.version()
        try:
            return self._gathered(named, version, self._remembered(version))
        except KeyError:
            version, read = self.read(lambda connection: self._fetched(connection, named))
            self._remember(version, read)
            return self._gathered(named, version, read.__getitem__)

    def basket(self, named: NamedBasket) -> SeenBasket:
        """Give what a basket names; the database is asked once at most, whatever changes meanwhile.

        Raises
        ------
        CatalogueAwayError
            When some of it was not read lately and the database is away.
        """
        named = named.askable
        is_fresh = self._clock() - self._confirmed_at < FRESH_S
        seen = self._remembered_basket(named) if is_fresh else None
        if seen is not None:
            return seen
        try:
            return self._basket_read(named)
        except CatalogueAwayError:
            seen = self._remembered_basket(named)
            if seen is None or self._clock() - self._confirmed_at > STALE_S:
                raise
            return seen

    def version(self) -> Version:
        """Give the newest version, looked for at most once a second.

        Raises
        ------
        CatalogueAwayError
            When none was seen lately and the database is away.
        """
        known = self._version
        if known is not None and self._clock() - self._confirmed_at < FRESH_S:
            return known
        try:
            return self.read(lambda _: None)[0]
        except CatalogueAwayError:
            if known is None or self._clock() - self._confirmed_at > STALE_S:
                raise
            return known

    @property
    def confirmed(self) -> Version | None:
        """Give the newest version where it was looked for within the last second, else None."""
        return self._version if self._clock() - self._confirmed_at < FRESH_S else None

    def read(self, query: Callable[[Connection], T]) -> tuple[Version, T]:
        """Ask the database, and again if it changed meanwhile; give the version that the answer belongs to.

        Raises
        ------
        CatalogueAwayError
            When it is away; it is not asked again for a moment, so that nobody waits for it in turn.
        """
        return self._asked(lambda connection: _at_one_version(connection, query))

    def _asked(self, query: Callable[[Connection], R]) -> R:
        """Ask the database what tells the version as well, and take that for the newest."""
        asked_at = self._clock()
        if asked_at < self._retry_at:
            raise CatalogueAwayError("it was away a moment ago")
        try:
            with self._engines.reading() as connection:
                found = query(connection)
        except CatalogueBusyError:
            # One question that takes too long says nothing about the next.
            raise
        except CatalogueAwayError:
            self._retry_at = self._clock() + RETRY_S
            raise
        self._confirm(found[0], asked_at)
        return found

    def noted(self, version: Version) -> None:
        """Take note of a version that was just written, so that this process sees it at once."""
        self._confirm(version, self._clock())

    def _confirm(self, version: Version, at: float) -> None:
        """Take a version for the newest since a time; what was read before another was written does not undo that."""
        with self._lock:
            if at >= self._confirmed_at:
                self._version, self._confirmed_at = version, at

    def looked_up(self, key: tuple[str, str], query: Callable[[Connection], T]) -> tuple[Version, T]:
        """Give what a query finds and the version that it belongs to; it is remembered while that is the newest.

        Parameters
        ----------
        key : tuple of (str, str)
            What the query looks for, and of what; the same key always stands for the same query.
        query : callable

        Raises
        ------
        CatalogueAwayError
            When it was not read lately and the database is away.
        """
        version = self.version()
        try:
            found: T = self._remembered(version)(key)
        except KeyError:
            version, found = self.read(query)
            self._remember(version, {key: found})
        return version, found

    def near(self, sku: str) -> str | None:
        """Give the nearest SKU to one that is not there, or None."""
        return self.read(lambda connection: near(connection, sku))[1] if is_askable(sku) else None

    @property
    def stale_s(self) -> float:
        """Give for how long the version is unconfirmed, seconds; nought while the database answers."""
        since = self._clock() - self._confirmed_at
        # Nobody may have looked for a while: it is away only when it did not answer since.
        is_away = self._confirmed_at < self._retry_at
        return since if is_away and since >= FRESH_S else 0.0

    def part(self, signature: Signature) -> Part:
        """Give what a signature stands for, the same object every time, so that answers are remembered."""
        with self._lock:
            part = self._parts.get(signature.digest)
            if part is None:
                part = part_signed(signature, self._registry)
                self._parts[signature.digest] = part
            return part

    def shelved(self, kept: Kept) -> Shelved:
        """Give an article with what it is judged as."""
        record, part = orjson.loads(kept.document), self.part(kept.signature)
        return Shelved(kept.sku, record, kept.signature, part, article_recorded(record, part))

    def _fetched(self, connection: Connection, named: Named) -> dict[Key, Any]:
        """Read what is named; what is not there is noted as None."""
        articles = articles_of(connection, named.skus)
        found: dict[Key, Any] = {
            ("article", sku): self.shelved(articles[sku]) if sku in articles else None for sku in named.skus
        }
        if named.model is not None:
            page = page_of(connection, _of_model(named.model), "", MOST_VERSIONS)
            found["model", named.model] = tuple(self.shelved(kept) for kept in page.articles)
        for skate in _skates(named, found.__getitem__):
            tallies = tallies_of(connection, skate, named.parts) if named.parts else {}
            found |= {("tally", (skate, part)): tallies.get(part) for part in named.parts}
        return found

    def _basket_read(self, named: NamedBasket) -> SeenBasket:
        asked = BasketNamed(named.skates, tuple(map(_of_model, named.models)), named.parts)
        read = self._asked(lambda connection: basket_read(connection, asked, MOST_VERSIONS))
        found = self._found(named, read)
        looked_at: dict[Key, Any] = {}
        seen = _basket_gathered(named, read.version, lambda key: looked_at.setdefault(key, found.get(key)))
        self._remember(read.version, _worth_remembering(found | looked_at))
        return seen

    def _found(self, named: NamedBasket, read: BasketRead) -> dict[Key, Any]:
        articles = {sku: self._shelved_once(article, read.version) for sku, article in read.articles.items()}
        found: dict[Key, Any] = {("article", sku): article for sku, article in articles.items()}
        for model, skus in zip(named.models, read.versions, strict=True):
            found["model", model] = tuple(articles[sku] for sku in skus)
        found |= {("tally", pair): tally for pair, tally in read.tallies.items()}
        return found | {("paused", sku): True for sku in read.paused}

    def _shelved_once(self, article: Kept, version: Version) -> Shelved:
        """Give an article, the same object as it is remembered of a version, so that answers are remembered."""
        try:
            found: Shelved = self._remembered(version)(("article", article.sku))
        except KeyError:
            return self.shelved(article)
        return found

    def _remembered_basket(self, named: NamedBasket) -> SeenBasket | None:
        version = self._version
        try:
            return None if version is None else _basket_gathered(named, version, self._remembered(version))
        except KeyError:
            return None

    def _gathered(self, named: Named, version: Version, known: Callable[[Key], Any]) -> Seen:
        """Put together what was read.

        Raises
        ------
        KeyError
            For what was not.
        """
        articles = {sku: known(("article", sku)) for sku in named.skus}
        versions = known(("model", named.model)) if named.model is not None else ()
        pairs = [(skate, part) for skate in _skates(named, known) for part in named.parts]
        tallies = {pair: known(("tally", pair)) for pair in pairs}
        return Seen(version, _there(articles), versions, _there(tallies))

    def _remembered(self, version: Version) -> Callable[[Key], Any]:
        def known(key: Key) -> Any:
            with self._lock:
                of, value = self._read[key]
            if of != version:
                raise KeyError(key)
            return value

        return known

    def _remember(self, version: Version, read: Mapping[Key, Any]) -> None:
        with self._lock:
            self._read.update({key: (version, value) for key, value in read.items()})


def _at_one_version(connection: Connection, query: Callable[[Connection], T]) -> tuple[Version, T]:
    version = version_of(connection)
    for _ in range(_TRIES):
        found = query(connection)
        before, version = version, version_of(connection)
        if before == version:
            return version, found
    raise CatalogueBusyError("it changes faster than it can be read")


def _basket_gathered(named: NamedBasket, version: Version, known: Callable[[Key], Any]) -> SeenBasket:
    """Put together what was read.

    Raises
    ------
    KeyError
        For what was not.
    """
    articles = _there({sku: known(("article", sku)) for sku in named.skus})
    versions = {model: known(("model", model)) for model in named.models}
    skates = {skate.sku: skate for found in versions.values() for skate in found}
    skates |= {sku: articles[sku] for sku in named.skates if sku in articles}
    contents = {content["sku"] for skate in skates.values() for content in skate.record.get("comes_with", ())}
    articles |= _there({sku: known(("article", sku)) for sku in contents})
    tallies = {pair: known(("tally", pair)) for pair in product({*named.skates, *skates}, named.parts)}
    paused = frozenset(sku for sku in {*named.skus, *skates} if known(("paused", sku)))
    return SeenBasket(version, articles, versions, _there(tallies), paused)


def _worth_remembering(read: Mapping[Key, Any]) -> Mapping[Key, Any]:
    tallies = sum(sort == "tally" for sort, _ in read)
    return read if tallies <= MOST_PAIRS else {key: value for key, value in read.items() if key[0] != "tally"}


def _skates(named: Named, known: Callable[[Key], Any]) -> list[str]:
    if named.model is not None:
        return [version.sku for version in known(("model", named.model))]
    return [] if named.skate is None else [named.skate]


def _of_model(model: Model) -> Wanted:
    return Wanted(skates=True, model=model.name, maker=model.maker, eu_size=model.eu_size, made=model.made)


def _there(found: Mapping[K, V | None]) -> dict[K, V]:
    return {key: value for key, value in found.items() if value is not None}
