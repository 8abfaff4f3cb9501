"""The set-up that a basket makes of a skate: what is new, what stays, and the mounts of both."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Fitted, Lot, Spot, Version
from mountwright.mounts.kinds import kinds
from mountwright.mounts.mount import Mount


class Piece(NamedTuple):
    """A mount of the set-up, and whose it is."""

    article: Article
    mount: Mount
    is_new: bool


@dataclass(frozen=True, eq=False)
class SetUp:
    """One skate with a basket applied to it.

    Parameters
    ----------
    version : Version
    new : tuple of Lot
    staying : tuple of Fitted
        What the basket does not take the place of.
    pieces : tuple of Piece
    """

    version: Version
    new: tuple[Lot, ...]
    staying: tuple[Fitted, ...]
    pieces: tuple[Piece, ...]

    @property
    def skate(self) -> Article:
        """Give the skate itself."""
        return self.version.skate

    def lots(self, kind: str) -> tuple[Lot, ...]:
        """Give the lots of a kind."""
        return tuple([lot for lot in self.new if lot.article.kind == kind])

    def stays(self, kind: str) -> tuple[Fitted, ...]:
        """Give what stays of a kind."""
        return tuple([fitted for fitted in self.staying if fitted.article.kind == kind])

    def lifting(self) -> tuple[Article, ...]:
        """Give the adapters that go on the boot itself, and so lift it; a sleeve on an axle does not."""
        # A side that is called after a kind is of a part; the boot's own are not.
        places = {mount.position for mount in self.skate.part.mounts if mount.side not in kinds()}
        adapters = self.articles("adapter")
        return tuple([each for each in adapters if any(mount.position in places for mount in each.part.mounts)])

    def articles(self, kind: str) -> tuple[Article, ...]:
        """Give the articles of a kind that the finished skate has, the new ones first."""
        return (*(lot.article for lot in self.lots(kind)), *(fitted.article for fitted in self.stays(kind)))


def set_up(version: Version, measured: frozenset[Spot], lots: Sequence[Lot]) -> SetUp:
    """Apply lots to a skate.

    Parameters
    ----------
    version : Version
    measured : frozenset of Spot
        What was measured on the skate in hand, and so stands whatever it was sold with.
    lots : sequence of Lot
        In order of their keys.
    """
    staying = tuple([fitted for fitted in version.fitted if _stays(fitted, version, lots)])
    pieces = [Piece(lot.article, mount, True) for lot in lots for mount in lot.article.part.mounts]
    pieces += _standing(version, measured, staying, lots)
    return SetUp(version, tuple(lots), staying, tuple(pieces))


def _stays(fitted: Fitted, version: Version, lots: Sequence[Lot]) -> bool:
    """Tell whether no lot takes the place of a part that stands on the skate."""
    if any(_replaces(lot.article, fitted.article) for lot in lots):
        return fitted.article.kind == "wheel" and _is_of_other_places(fitted, version, lots)
    return True


def _replaces(new: Article, old: Article) -> bool:
    if new.kind != old.kind or (new.hand and old.hand and new.hand is not old.hand):
        return False
    ours, theirs = _positions(new), _positions(old)
    return not ours or not theirs or bool(ours & theirs)


def _is_of_other_places(fitted: Fitted, version: Version, lots: Sequence[Lot]) -> bool:
    """Tell whether wheels stay because those bought are of another diameter on the skate, and not enough for all."""
    new = [lot for lot in lots if lot.article.kind == "wheel"]
    old = [each for each in version.fitted if each.article.kind == "wheel"]
    if sum(lot.pieces or 0 for lot in new) >= sum(each.pieces or 0 for each in old):
        return False
    bought = {lot.article.specs.get("diameter_mm") for lot in new}
    standing = {each.article.specs.get("diameter_mm") for each in old}
    return bought < standing and fitted.article.specs.get("diameter_mm") not in bought


def _positions(article: Article) -> frozenset[str]:
    return frozenset([mount.position for mount in article.part.mounts])


def _standing(
    version: Version, measured: frozenset[Spot], staying: Sequence[Fitted], lots: Sequence[Lot]
) -> Iterator[Piece]:
    """Give the mounts that stay: the skate's own, and those of what stands on it.

    Sides are called after kinds, so a mount of a side that the basket brings is of a part that goes.
    """
    told = {fitted.article.kind for fitted in version.fitted if not fitted.as_sold}
    gone = {lot.article.kind for lot in lots} - {fitted.article.kind for fitted in staying}
    places = set()
    for mount in version.skate.part.mounts:
        if mount.side not in gone and (mount.side not in told or (mount.position, mount.side) in measured):
            places.add((mount.position, mount.side))
            yield Piece(_owner(mount, version.skate, staying), mount, False)
    for fitted in staying:
        for mount in fitted.article.part.mounts:
            if (mount.position, mount.side) not in places:
                yield Piece(fitted.article, mount, False)


def _owner(mount: Mount, skate: Article, staying: Iterable[Fitted]) -> Article:
    return next((fitted.article for fitted in staying if fitted.article.kind == mount.side), skate)
