"""A counter where baskets are judged: the standards in the box, an invented skate, and short ways to write articles."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pytest

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Basket, Fitted, Lot, Owned, Policy, Status, Version
from mountwright.checkout.cart_check import CartAnswer, cart_checked
from mountwright.checkout.joint_verdicts import JointMemory
from mountwright.checkout.till import till_for
from mountwright.fitting.estimates import estimates
from mountwright.mounts.discovery import discovered
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry


def mount(position: str, side: str, standard: str, figures: dict[str, Any] | None = None) -> Mount:
    """Give a mount that its maker claims to follow a standard, with figures."""
    return Mount(position, side, (Pattern(standard=standard, claimed_by=Claimant.MAKER, figures=figures or {}),))


def article(kind: str, *mounts: Mount, sku: str = "", **more: Any) -> Article:
    """Give an article; figures that end in a unit or belong to a kind go into its specs."""
    known = {name: more.pop(name) for name in tuple(more) if name in _FIELDS}
    return Article(kind, Part(kind, mounts), sku=sku, specs=more, **known)


_FIELDS = frozenset(("name", "sizes", "hand", "units_per_pack", "sold_as", "colour", "colour_srgb", "price"))


class Trade:
    """What the invented shop sells: every call gives a new article."""

    def boot(
        self, standard: str = "two-bolt-165", more: tuple[Mount, ...] = (), figures: Any = None, **specs: Any
    ) -> Article:
        """Give a skate without anything under it, or with more mounts that it has for its own."""
        return Article("skate", Part("", (mount("frame", "boot", standard, figures), *more)), sku="boot", specs=specs)

    def frame(self, standard: str = "two-bolt-165", wheel_count: int = 4, figures: Any = None, **more: Any) -> Article:
        """Give a pair of frames for axles of 8 mm."""
        given = {"sku": "frame", "units_per_pack": 2, "largest_wheel_mm": 80, "takes_brake": True, **more}
        mounts = mount("frame", "frame", standard, figures), mount("axle_place", "frame", "axle-place-8")
        return article("frame", *mounts, wheel_count=wheel_count, **given)

    def wheel(self, diameter_mm: float = 80, hub: str = "hub-608", **more: Any) -> Article:
        """Give a single wheel."""
        given = {"sku": f"wheel-{diameter_mm}", "units_per_pack": 1, **more}
        return article("wheel", mount("hub", "wheel", hub), diameter_mm=diameter_mm, **given)

    def bearing(self, hub: str = "hub-608", axle: str = "axle-8", **more: Any) -> Article:
        """Give a pack of eight bearings."""
        given = {"sku": "bearing-x8", "units_per_pack": 8, **more}
        return article("bearing", mount("hub", "bearing", hub), mount("axle", "bearing", axle), **given)

    def axle(self, size: str = "8", **more: Any) -> Article:
        """Give a single axle."""
        given = {"sku": f"axle-{size}", "units_per_pack": 1, **more}
        mounts = mount("axle_place", "axle", f"axle-place-{size}"), mount("axle", "axle", f"axle-{size}")
        return article("axle", *mounts, **given)

    def adapter(self, converts_from: str = "two-bolt-195", converts_to: str = "two-bolt-165") -> Article:
        """Give a pair of plates between boot and frame."""
        mounts = (mount("frame", "frame", converts_from),)
        figures = {"converts_from": converts_from, "converts_to": converts_to}
        return article("adapter", *mounts, sku="adapter", units_per_pack=2, **figures)

    def other(self, kind: str, sku: str = "", **more: Any) -> Article:
        """Give an article without mounts."""
        return article(kind, sku=sku or kind, **more)


@pytest.fixture(scope="session")
def trade() -> Trade:
    """Give what the invented shop sells."""
    return Trade()


@pytest.fixture(scope="session")
def registry() -> Registry:
    """Give the standards in the box."""
    return discovered()


Buy = Callable[..., CartAnswer]


@pytest.fixture
def buy(registry: Registry) -> Buy:
    """Give a way to judge a basket: articles, or articles with how many packs, for one skate."""

    def judged(
        skate: Article,
        *lines: Article | tuple[Article, int],
        fitted: Sequence[tuple[Article, int]] = (),
        policy: Policy | None = None,
        **owned: Any,
    ) -> CartAnswer:
        standing = tuple(Fitted(each, pieces, as_sold=True) for each, pieces in fitted)
        lots = tuple(lot(line, 0) for line in lines)
        basket = Basket((Owned((Version(skate, standing),), **owned),), lots, policy or Policy())
        return cart_checked(basket, till_for(basket, registry, estimates(), JointMemory()))

    return judged


def lot(line: Article | tuple[Article, int], skate: int | None) -> Lot:
    """Give a lot of an article, or of an article and how many packs."""
    bought, packs = line if isinstance(line, tuple) else (line, 1)
    return Lot(bought.sku, bought, packs, Status.JUDGED, skate)
