"""A shop whose parts are bought for a skate that stands there, with the standards in the box."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import pytest

from mountwright.checkout.article import Article, Price
from mountwright.checkout.basket import Basket, Fitted, Owned, Version
from mountwright.checkout.joint_verdicts import JointMemory
from mountwright.checkout.till import Till, till_for
from mountwright.fitting.estimates import estimates
from mountwright.mounts.discovery import discovered
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.upgrading.customer import Candidate, Customer, Instalment, Money
from mountwright.upgrading.options import Choice, Terms, problem_of
from mountwright.upgrading.path import Path, Wanted, path_of

#: So the axles of frames lie, by how many there are, with room for wheels of 80 and of 110 mm.
ALONG_MM = {3: (112, 0, -112), 4: (123, 41, -41, -123)}


class UpgradeShop:
    """What the shop sells: articles of one kind and standard share their mounts, as on a shelf."""

    def __init__(self) -> None:
        self._parts: dict[object, Part] = {}

    def article(self, kind: str, sku: str, *mounts: tuple[str, str, str], **more: Any) -> Article:
        """Give an article that costs 10.00 EUR unless something else is said; figures go into its specs."""
        part = self._parts.setdefault((kind, mounts), Part(kind, tuple(_mount(*each) for each in mounts)))
        known = {name: more.pop(name) for name in tuple(more) if name in _FIELDS}
        given = {"price": Price(1000, "EUR"), "units_per_pack": 1, **known}
        return Article(kind, part, sku=sku, specs=more, **given)

    def boot(self, standard: str = "two-bolt-165", **specs: Any) -> Article:
        """Give a boot without anything under it."""
        return self.article("skate", "boot", ("frame", "boot", standard), **specs)

    def frame(self, sku: str = "frame", standard: str = "two-bolt-165", wheels: int = 4, **more: Any) -> Article:
        """Give a pair of frames, of four wheels for 80 and of three for 110 mm, for axles of 8 mm."""
        places = [{"along_mm": along, "down_mm": 46 if wheels == 4 else 61} for along in ALONG_MM[wheels]]
        given: dict[str, Any] = {"units_per_pack": 2, "takes_brake": True}
        given |= {"largest_wheel_mm": 80 if wheels == 4 else 110}
        given |= {"axle_places": places, "wheel_count": wheels, **more}
        hole = given.pop("axle_place", "axle-place-8")
        return self.article("frame", sku, ("frame", "frame", standard), ("axle_place", "frame", hole), **given)

    def wheel(self, sku: str = "wheel", diameter_mm: float = 80, **more: Any) -> Article:
        """Give a wheel."""
        given = {"hardness_shore_a": 84, **more}
        return self.article("wheel", sku, ("hub", "wheel", "hub-608"), diameter_mm=diameter_mm, **given)

    def bearing(self, sku: str = "bearing", axle: str = "axle-8", **more: Any) -> Article:
        """Give a pack of eight bearings."""
        mounts = ("hub", "bearing", "hub-608"), ("axle", "bearing", axle)
        return self.article("bearing", sku, *mounts, **{"units_per_pack": 8, "seal": "sealed", **more})

    def axle(self, sku: str = "axle", size: str = "8", **more: Any) -> Article:
        """Give an axle."""
        mounts = ("axle_place", "axle", f"axle-place-{size}"), ("axle", "axle", f"axle-{size}")
        return self.article("axle", sku, *mounts, **more)

    def pair(self, kind: str, sku: str = "", **more: Any) -> Article:
        """Give a pair of something without mounts."""
        return self.article(kind, sku or kind, **{"units_per_pack": 2, **more})

    def stands(self, *more: tuple[Article, int], wheel_mm: float = 76) -> tuple[Fitted, ...]:
        """Give what stands under a boot: a frame of four wheels, with bearings and axles."""
        parts = (
            (self.frame("own-frame"), 2),
            (self.wheel("own-wheel", wheel_mm), 8),
            (self.bearing("own-bearing"), 16),
            (self.axle("own-axle"), 8),
        )
        return tuple(Fitted(article, pieces, as_sold=True) for article, pieces in (*parts, *more))


_FIELDS = frozenset(("name", "sizes", "hand", "units_per_pack", "sold_as", "colour", "price"))


def _mount(position: str, side: str, standard: str) -> Mount:
    return Mount(position, side, (Pattern(standard=standard, claimed_by=Claimant.MAKER),))


@pytest.fixture(scope="session")
def upgrade_shop() -> UpgradeShop:
    """Give what the shop sells."""
    return UpgradeShop()


@pytest.fixture(scope="session")
def upgrade_till(upgrade_shop: UpgradeShop) -> Till:
    """Give where baskets are judged, by the standards in the box."""
    nothing = Basket((Owned((Version(upgrade_shop.boot()),)),), ())
    return till_for(nothing, discovered(), estimates(), JointMemory())


@pytest.fixture
def customer_of(upgrade_shop: UpgradeShop) -> Callable[..., Customer]:
    """Give a way to write a customer who has 300.00 EUR, a boot, and whatever is said to stand under it."""

    def written(*complaints: str, fitted: Sequence[Fitted] | None = None, **more: Any) -> Customer:
        boot, size = more.pop("boot", None) or upgrade_shop.boot(), more.pop("eu_size", 42)
        standing = upgrade_shop.stands() if fitted is None else tuple(fitted)
        given = {"money": Money("EUR", (Instalment(None, 30_000),)), **more}
        return Customer(Owned((Version(boot, standing),), eu_size=size), complaints, **given)

    return written


@pytest.fixture
def choose(upgrade_till: Till) -> Callable[..., Choice]:
    """Give a way to ask what a customer may choose from: articles in stock, and those that are not."""

    def asked(
        customer: Customer, *articles: Article, terms: Terms | None = None, away: Sequence[Article] = ()
    ) -> Choice:
        candidates: dict[str, list[Candidate]] = {}
        for article in (*articles, *away):
            candidates.setdefault(article.kind, []).append(Candidate(article, article not in away))
        given: Mapping[str, Sequence[Candidate]] = candidates
        return problem_of(customer, given, upgrade_till, terms)

    return asked


@pytest.fixture
def walk(upgrade_till: Till) -> Callable[..., Path]:
    """Give a way to ask for a customer's path with articles in stock and, if wanted, other skates."""

    def asked(
        customer: Customer, *articles: Article, skates: Sequence[Article] = (), trade_in_minor: int = 0, **more: Any
    ) -> Path:
        candidates: dict[str, list[Candidate]] = {}
        for article in articles:
            candidates.setdefault(article.kind, []).append(Candidate(article, in_stock=True))
        terms = more.pop("terms", None) or Terms()
        return path_of(customer, Wanted(candidates, skates, trade_in_minor, terms, **more), upgrade_till)

    return asked
