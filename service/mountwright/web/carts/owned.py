"""From a skate of a request to the skate that a customer has, with what stands on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

import orjson

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Fitted, Owned, Spot, Version
from mountwright.measure.quantity import thousandths
from mountwright.mounts.mount import Part
from mountwright.web.carts.articles import article_recorded
from mountwright.web.naming import skate_named, versions_left
from mountwright.web.reading import part_built
from mountwright.web.shelved import Model, Seen, SeenBasket, Shelved
from mountwright.web.workshop import Desk


class OwnedSkate(NamedTuple):
    """A customer's skate, and the SKU by which it was named."""

    owned: Owned
    sku: str | None


def owned_given(data: Mapping[str, Any], given: Mapping[str, Any], desk: Desk) -> OwnedSkate:
    """Give a skate.

    Parameters
    ----------
    data : Mapping
        As it was loaded.
    given : Mapping
        As it stood in the request.
    desk : Desk

    Raises
    ------
    ValidationError
        For what the catalogue or the installed standards have to say against it.
    """
    feet = data.get("foot_lengths_mm")
    owned = Owned(
        _versions(data, given, desk),
        data.get("eu_size"),
        None if feet is None else (thousandths(feet["left"]), thousandths(feet["right"])),
        _measured(data, desk),
    )
    return OwnedSkate(owned, data.get("sku"))


def version_shelved(shelved: Shelved, desk: Desk) -> Version:
    """Give a skate of the catalogue as it was sold."""
    return _version(shelved, shelved.article, (), desk)


def _versions(data: Mapping[str, Any], given: Mapping[str, Any], desk: Desk) -> tuple[Version, ...]:
    fitted = tuple(data.get("fitted", ()))
    if "model" in data:
        left = versions_left(data, _about(Model(**data["model"]), desk))
        return tuple(
            _version(one.shelved, _article(data, given, one.shelved, one.skate, desk), fitted, desk) for one in left
        )
    if "sku" in data:
        skate = skate_named(data, desk)
        shelved = _seen(desk).articles[data["sku"]]
        return (_version(shelved, _article(data, given, shelved, skate, desk), fitted, desk),)
    part, _ = part_built("", data["mounts"], data.get("name", ""), desk.workshop.registry)
    article = article_recorded({**data, "kind": "skate"}, part)
    return (Version(article, tuple(Fitted(each, None, False) for each in fitted)),)


def _about(model: Model, desk: Desk) -> Desk:
    """Give a desk at which only one model lies."""
    seen = _seen(desk)
    return desk._replace(seen=Seen(seen.version, seen.articles, seen.versions.get(model, ()), seen.tallies))


def _seen(desk: Desk) -> SeenBasket:
    assert desk.basket is not None  # noqa: S101  # a basket that names a skate was looked up
    return desk.basket


def _article(data: Mapping[str, Any], given: Mapping[str, Any], shelved: Shelved, skate: Part, desk: Desk) -> Article:
    """Give the skate with what was measured on it and what is said of it; the same object for the same text."""
    said = {name: given[name] for name in ("mounts", "specs") if name in given}
    if not said:
        return shelved.article
    text = shelved.sku + orjson.dumps(said, option=orjson.OPT_SORT_KEYS).decode()
    specs = {**shelved.record.get("specs", {}), **data.get("specs", {})}
    record = {**shelved.record, "specs": specs}
    return desk.workshop.memory.article(text, shelved, lambda: article_recorded(record, skate))


def _version(shelved: Shelved, skate: Article, told: Iterable[Article], desk: Desk) -> Version:
    seen, told = _seen(desk), tuple(told)
    kinds = {article.kind for article in told}
    fitted = [
        Fitted(article, content["count"], as_sold=True)
        for content in shelved.record.get("comes_with", ())
        if (found := seen.articles.get(content["sku"])) is not None and (article := found.article).kind not in kinds
    ]
    fitted += [Fitted(article, None, as_sold=False) for article in told]
    tallies = {part: tally for (of, part), tally in seen.tallies.items() if of == shelved.sku}
    mark = shelved.record.get("mark", "") or shelved.record.get("version", "")
    return Version(skate, tuple(fitted), tallies, mark, shelved.sku in seen.paused)


def _measured(data: Mapping[str, Any], desk: Desk) -> frozenset[Spot]:
    if "mounts" not in data:
        return frozenset()
    part, _ = part_built("", data["mounts"], "", desk.workshop.registry)
    return frozenset((mount.position, mount.side) for mount in part.mounts)
