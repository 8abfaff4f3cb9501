"""What of an article decides which others it goes with: articles that are alike in it are judged once.

What is named here are the figures that the basket's rules read, for each two kinds that meet.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.mounts.registry import Registry
from mountwright.upgrading.customer import KINDS

#: Kinds whose articles have to go together, in a fixed order.
LINKS = (
    ("frame", "wheel"),
    ("wheel", "bearing"),
    ("bearing", "axle"),
    ("frame", "axle"),
    ("wheel", "spacer"),
    ("liner", "insole"),
    ("frame", "brake"),
    ("wheel", "brake"),
    ("strap", "buckle"),
)

#: Figures that the rules read of a kind, whatever it meets.
_ALONE: Mapping[str, tuple[str, ...]] = MappingProxyType({"lace": ("length_mm",)})

#: Figures that they read of the first kind where it meets the second.
_BESIDE: Mapping[tuple[str, str], tuple[str, ...]] = MappingProxyType(
    {
        ("frame", "wheel"): ("largest_wheel_mm", "wheel_count", "axle_places"),
        ("wheel", "frame"): ("diameter_mm",),
        ("frame", "brake"): ("takes_brake",),
        ("wheel", "brake"): ("diameter_mm",),
        ("brake", "wheel"): ("smallest_wheel_mm", "largest_wheel_mm"),
        ("liner", "insole"): ("insole_room_mm",),
        ("insole", "liner"): ("thickness_mm",),
    }
)


class Interface(NamedTuple):
    """What of an article decides what it goes with. Two articles with equal ones are judged alike.

    It holds only while the articles that it was taken from are kept: a part is told by its identity.

    Parameters
    ----------
    alone : Hashable
        What decides whether it goes on the skate at all.
    beside : tuple of (str, Hashable)
        By linked kind, in order of :data:`LINKS`, what decides beside an article of that kind.
    """

    alone: Hashable
    beside: tuple[tuple[str, Hashable], ...]

    def toward(self, kind: str) -> Hashable:
        """Give what decides beside a linked kind."""
        return dict(self.beside)[kind]


def linked(kind: str) -> tuple[str, ...]:
    """Give the kinds that a kind is linked with, in order of :data:`LINKS`."""
    return tuple([other if kind == one else one for one, other in LINKS if kind in (one, other)])


def interface(article: Article, told: frozenset[str], registry: Registry) -> Interface:
    """Give the interface of an article.

    Parameters
    ----------
    article : Article
    told : frozenset of str
        SKUs that the skate knows by name: what it was sold with, and what was told to go on it or not. Each stands for
        itself.
    registry : Registry
        Its standards tell which figures an article lends to the mounts of others.
    """
    lent = _lent(registry).get(article.kind, ())
    sku = article.sku if article.sku in told else ""
    # Which mounts a part has is known by the part: a shelf holds equal ones as one.
    mounts = (id(article.part) if article.part.mounts else 0, article.hand, sku, _figures(article, lent))
    beside = tuple(
        [(kind, (mounts, _figures(article, _BESIDE.get((article.kind, kind), ())))) for kind in linked(article.kind)]
    )
    return Interface((mounts, article.sizes, _figures(article, _ALONE.get(article.kind, ()))), beside)


def _figures(article: Article, names: tuple[str, ...]) -> tuple[str, ...]:
    # Some are tables: as text each can be compared.
    return tuple([repr(article.specs.get(name)) for name in names])


@lru_cache(maxsize=8)
def _lent(registry: Registry) -> Mapping[str, tuple[str, ...]]:
    """Give the figures that articles of each kind lend to mounts."""
    found: dict[str, set[str]] = {kind: set() for kind in KINDS}
    for family in {standard.family for standard in registry.standards.values()}:
        for dimension in family.dimensions.values():
            loan = dimension.lent_by
            if loan is not None and loan.kind in found:
                found[loan.kind] |= {loan.spec, *loan.where}
    return {kind: tuple(sorted(names)) for kind, names in found.items()}
