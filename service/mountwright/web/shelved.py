"""What a request names of the catalogue, and what was read of that."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from mountwright.catalogue.signatures import Signature
from mountwright.catalogue.versions import Version
from mountwright.checkout.article import Article
from mountwright.fitting.evidence import Tally
from mountwright.mounts.mount import Part

#: The least figure that no column of whole numbers holds; the engines do not take it even to compare with.
_TOO_LARGE = 2**31


class Model(NamedTuple):
    """A skate by its model's name, where the version is not known."""

    name: str
    maker: str | None = None
    eu_size: float | None = None
    made: int | None = None

    @property
    def is_askable(self) -> bool:
        """Tell whether there can be such a skate in the catalogue."""
        figures = (figure for figure in (self.eu_size, self.made) if figure is not None)
        return is_askable(self.name, self.maker) and all(abs(figure) < _TOO_LARGE for figure in figures)


class Named(NamedTuple):
    """What a request names of the catalogue: its skate, by SKU or by model, and its parts."""

    skate: str | None = None
    model: Model | None = None
    parts: tuple[str, ...] = ()

    @property
    def skus(self) -> set[str]:
        """Give every SKU that is named."""
        return {*self.parts, *([] if self.skate is None else [self.skate])}

    @property
    def askable(self) -> Named:
        """Give what is named without what nothing in the catalogue can be called."""
        skate = self.skate if self.skate is not None and is_askable(self.skate) else None
        model = self.model if self.model is not None and self.model.is_askable else None
        return Named(skate, model, tuple(filter(is_askable, self.parts)))


class NamedBasket(NamedTuple):
    """What a basket names of the catalogue: its skates, by SKU or by model, and its parts."""

    skates: tuple[str, ...] = ()
    models: tuple[Model, ...] = ()
    parts: tuple[str, ...] = ()

    @property
    def skus(self) -> set[str]:
        """Give every SKU that is named."""
        return {*self.skates, *self.parts}

    @property
    def askable(self) -> NamedBasket:
        """Give what is named without what nothing in the catalogue can be called."""
        models = tuple(model for model in self.models if model.is_askable)
        return NamedBasket(tuple(filter(is_askable, self.skates)), models, tuple(filter(is_askable, self.parts)))


class Shelved(NamedTuple):
    """An article: its record, as what it is judged by itself, and as what it is judged in a basket."""

    sku: str
    record: Mapping[str, Any]
    signature: Signature
    part: Part
    article: Article


class Seen(NamedTuple):
    """What was read of what a request names, all of one version.

    Parameters
    ----------
    version : Version
    articles : Mapping[str, Shelved]
        By SKU, those that there are.
    versions : tuple of Shelved
        Of the model that is named, by SKU.
    tallies : Mapping[tuple[str, str], Tally]
        What was told of a skate and a part, by SKU.
    """

    version: Version
    articles: Mapping[str, Shelved]
    versions: tuple[Shelved, ...]
    tallies: Mapping[tuple[str, str], Tally]


class SeenBasket(NamedTuple):
    """What was read of what a basket names, all of one version.

    Parameters
    ----------
    version : Version
    articles : Mapping[str, Shelved]
        By SKU, those that there are: what is named, and what each skate and each version of a model comes with.
    versions : Mapping[Model, tuple of Shelved]
        Of each model that is named, by SKU.
    tallies : Mapping[tuple[str, str], Tally]
        What was told of a skate and a part, by SKU.
    paused : frozenset of str
        What is named, or may be meant by a model, and is not to be sold at checkout until its row is put right.
    """

    version: Version
    articles: Mapping[str, Shelved]
    versions: Mapping[Model, tuple[Shelved, ...]]
    tallies: Mapping[tuple[str, str], Tally]
    paused: frozenset[str]


def is_askable(*texts: str | None) -> bool:
    """Tell whether texts can stand in the catalogue."""
    # PostgreSQL takes no NUL character in a text, not even to look for it.
    return not any("\0" in text for text in texts if text is not None)
